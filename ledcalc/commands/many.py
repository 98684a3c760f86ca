"""The command that evaluates many variants."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, STOP_FOUND, add_input, add_json, command, refuse

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add variants."""
    variants = command(commands, "variants", _variants, "ledcalc variants bench.xlsx --out table.csv")
    add_input(variants)
    variants.add_argument("--out", type=Path, help="write the table as .csv or .xlsx instead of printing it")
    add_json(variants)


def _variants(options: argparse.Namespace) -> int:
    """Evaluate each row of the Variants sheet."""
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
