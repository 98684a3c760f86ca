"""The command that evaluates many variants."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, STOP_FOUND, add_input, add_json, command, refuse

__all__ = ["add_commands"]

# Ranges that multiply out to more than this are mostly a slip: asked first.
ASKED_ABOVE = 1_000_000


def add_commands(commands: Any) -> None:
    """Add variants."""
    variants = command(commands, "variants", _variants, "ledcalc variants bench.xlsx --rows rows.csv --out table.csv")
    add_input(variants)
    variants.add_argument("--rows", type=Path, help="take the variants from this .csv or .parquet file, of any length")
    variants.add_argument("--out", type=Path, help="write the table as .csv or .xlsx (with --rows: .csv or .parquet)")
    variants.add_argument("--workers", type=int, metavar="N", help="processes at work (default: one a processor)")
    variants.add_argument("--cluster", metavar="ADDRESS", help="let the workers of this Dask scheduler do it")
    variants.add_argument("--anew", action="store_true", help="throw away what a stopped run left")
    variants.add_argument("--yes", action="store_true", help="do not ask before ranges multiply out past 1,000,000")
    add_json(variants)


def _variants(options: argparse.Namespace) -> int:
    """Evaluate each row of the Variants sheet, or of a file of rows."""
    if options.workers is not None and options.workers < 1:
        return refuse(options, f"--workers is {options.workers}; allowed: 1 or more")
    if options.rows is not None:
        return _of_rows(options)
    if options.cluster or options.workers or options.anew:
        return refuse(options, "--workers, --cluster and --anew go with --rows, a file of variants")
    return _of_sheet(options)


def _of_sheet(options: argparse.Namespace) -> int:
    from ledcalc.variants.table import table_of
    from ledcalc.workbook.reader import fixture_of, read_inputs
    from ledcalc.workbook.results import write_table

    inputs = read_inputs(options.input)
    fixture, variants = fixture_of(inputs), inputs.variants
    if not variants:
        return refuse(options, f"{options.input}: its Variants sheet is empty; add a row a variant")
    rows = list(_with_progress(fixture, variants))
    table = table_of(rows)
    if options.out:
        write_table(table, options.out)
    if options.json:
        print(table.to_json(orient="records", force_ascii=False))
    elif options.out:
        print(f"wrote {options.out}: {len(rows)} variants, {sum(bool(row.reason) for row in rows)} not computed")
    else:
        print(table.to_string(index=False))
    return STOP_FOUND if any(row.reason or row.counts["stop"] for row in rows) else FINE


def _with_progress(fixture: Any, variants: Sequence[Any]) -> Any:
    from tqdm import tqdm

    from ledcalc.variants import evaluate_variants

    done = evaluate_variants(fixture, variants)
    # A bar only where a person looks on, and only once it has taken two seconds.
    return tqdm(done, total=len(variants), unit="variant", delay=2, disable=None)


def _of_rows(options: argparse.Namespace) -> int:
    from tqdm import tqdm

    from ledcalc.streams import open_source, stream_variants
    from ledcalc.workbook.reader import read_workbook

    if options.out is None:
        return refuse(options, "--rows needs --out: a name ending in .csv or .parquet")
    if options.rows.exists() and options.rows.resolve() == options.out.resolve():
        return refuse(options, f"{options.out}: results never go into the input itself; choose another name for them")
    fixture, source = read_workbook(options.input), open_source(options.rows)
    if source.is_multiplied and source.variants_count > ASKED_ABOVE and not _agreed(options, source):
        return refuse(
            options,
            f"{options.rows}: its lists and ranges multiply out to {source.variants_count:,} variants; nothing was "
            "done; --yes does them, coarser steps make fewer",
        )
    for unknown in source.unknown:
        print(f"ledcalc: {options.rows}: {unknown}; rows that fill it are not computed", file=sys.stderr)
    with (
        _executor(options, source) as (executor, ahead),
        # A bar with rate and time left, only where a person looks on.
        tqdm(total=source.variants_count, unit="variant", disable=None) as bar,
    ):
        found = stream_variants(
            fixture, source, options.out, executor=executor, ahead=ahead, anew=options.anew, done=bar.update
        )
    resumed = f", {found.resumed_at_count:,} of them by an earlier run" if found.resumed_at_count else ""
    print(
        f"wrote {options.out}: {found.variants_count:,} variants{resumed}, {found.not_computed_count:,} not computed, "
        f"{found.stop_count:,} with findings of severity stop"
    )
    return STOP_FOUND if found.not_computed_count or found.stop_count else FINE


def _agreed(options: argparse.Namespace, source: Any) -> bool:
    if options.yes:
        return True
    if not sys.stdin.isatty():
        return False
    question = f"{options.rows} multiplies out to {source.variants_count:,} variants. Go on? [y/N] "
    return input(question).strip().casefold() in {"y", "yes"}


@contextmanager
def _executor(options: argparse.Namespace, source: Any) -> Iterator[tuple[Executor | None, int]]:
    """Give who does the work, and how many blocks to hand out at a time."""
    from ledcalc.variants.executors import cluster, processes

    if options.cluster:
        executor, threads_count = cluster(options.cluster)
        with executor:
            yield executor, 2 * threads_count
        return
    workers_count = min(options.workers or os.cpu_count() or 1, source.blocks_count)
    if workers_count == 1:
        yield None, 1
        return
    with processes(workers_count) as executor:
        yield executor, 2 * workers_count
