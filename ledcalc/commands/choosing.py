"""Commands that choose among versions: variants ranked, two of them side by side."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from math import isfinite
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, add_input, add_json, command, refuse

__all__ = ["add_commands"]

# What a bench is mostly chosen by: light for the energy, evenness, and what it costs, by the first of these known.
COSTS = ("owning_cost_per_mol", "energy_cost_per_mol", "energy_cost")
LIGHT = {"canopy_efficacy_umol_per_j": "highest", "min_over_mean_fraction": "highest"}


def add_commands(commands: Any) -> None:
    """Add rank and pair."""
    rank = command(commands, "rank", _rank, "ledcalc rank bench.xlsx --by energy_cost:lowest --out ranking.xlsx")
    rank.add_argument(
        "input", type=Path, help="a filled workbook or CSV folder with variants, or a .csv or .parquet of their results"
    )
    rank.add_argument(
        "--by",
        action="append",
        metavar="FIGURE:WAY",
        help="a figure and lowest or highest; once for each, the first deciding among equals; "
        "without it: cost, photon efficacy on the crop, min/mean",
    )
    rank.add_argument("--out", type=Path, help="result workbook (.xlsx) or folder; without it the ranking is printed")
    add_json(rank)
    pair = command(commands, "pair", _pair, "ledcalc pair bench.xlsx --versions softer harder --out pair.xlsx")
    add_input(pair)
    pair.add_argument("other", type=Path, nargs="?", help="another workbook or CSV folder to set beside it")
    pair.add_argument(
        "--versions", nargs="+", metavar="NAME", help="one or two rows of the Variants sheet; one: against the base"
    )
    pair.add_argument("--out", type=Path, help="result workbook (.xlsx) or folder; without it a summary is printed")
    add_json(pair)


def _rank(options: argparse.Namespace) -> int:
    """Rank variants, and say of each why it won or lost."""
    from ledcalc.variants.ranking import frontier
    from ledcalc.workbook.results import write_pages
    from ledcalc.workbook.results.ranking import frontier_page, ranking_page

    name, rows, changes, currency = _versions(options)
    figures = _figures(rows)
    objectives = dict(_objective(text) for text in options.by) if options.by else _usual(figures)
    found = frontier(rows, objectives, currency=currency)
    if options.out:
        pages = [ranking_page(found, figures, changes, currency), frontier_page(found, figures, currency)]
        write_pages([page for page in pages if page], options.out, footer=_footer(name))
    if options.json:
        print(json.dumps({"best": found.best, "variants": [asdict(one) for one in found.ranked()]}, ensure_ascii=False))
    elif options.out:
        print(f"wrote {options.out}: {len(found.standings)} variants, {len(found.best)} on the frontier")
    else:
        for one in found.ranked():
            print(f"{one.rank or '-':>5}  {one.name}: {one.line}")
    return FINE


def _footer(name: str) -> str:
    from ledcalc.version import __version__
    from ledcalc.workbook.results.write import footer_text

    return footer_text(name, __version__)


def _objective(text: str) -> tuple[str, str]:
    figure, _, way = text.partition(":")
    return figure.strip(), way.strip()


def _usual(figures: list[Any]) -> dict[str, str]:
    """Return what to rank by where nothing is said."""
    known = (figure for figure in COSTS if any(isfinite(float(own.get(figure, "nan"))) for own in figures))
    return {**dict.fromkeys([next(known, COSTS[-1])], "lowest"), **LIGHT}


def _versions(options: argparse.Namespace) -> tuple[str, Any, list[str], str]:
    """Return a name, the results of the variants, what differs in each, and the currency."""
    if options.input.is_file() and options.input.suffix.lower() in {".csv", ".parquet"}:
        import pandas as pd

        read = pd.read_csv if options.input.suffix.lower() == ".csv" else pd.read_parquet
        return options.input.name, read(options.input), [], ""
    from ledcalc.errors import FileProblem
    from ledcalc.variants import Variant
    from ledcalc.variants.full_rows import full_rows
    from ledcalc.workbook.reader import fixture_of, read_inputs

    inputs = read_inputs(options.input)
    fixture = fixture_of(inputs)
    if not inputs.variants:
        raise FileProblem(f"{options.input}: its Variants sheet is empty; add a row a variant")
    rows = list(full_rows(fixture, [Variant(name="base"), *inputs.variants]))
    changes = [", ".join(f"{path} = {value}" for path, value in row.changes.items()) for row in rows]
    return fixture.name, rows, changes, fixture.site.currency


def _figures(rows: Any) -> list[Any]:
    return rows.to_dict("records") if hasattr(rows, "to_dict") else [row.figures for row in rows]


def _pair(options: argparse.Namespace) -> int:
    """Set two versions side by side: every difference, what they cost, and why one wins."""
    from ledcalc.evaluation.evaluate import evaluate
    from ledcalc.variants.compare import compare_fixtures
    from ledcalc.workbook.results import write_pages
    from ledcalc.workbook.results.side_by_side import side_by_side_pages

    versions = _two(options)
    if isinstance(versions, str):
        return refuse(options, versions)
    (one_name, one), (other_name, other) = versions
    found = compare_fixtures(evaluate(one), evaluate(other), one_name=one_name, other_name=other_name)
    if options.out:
        write_pages(side_by_side_pages(found), options.out, footer=_footer(f"{one_name} and {other_name}"))
    if options.json:
        print(json.dumps(_plain(asdict(found)), ensure_ascii=False))
        return FINE
    print(found.line)
    if found.payback_note:
        print(found.payback_note)
    if options.out:
        print(f"wrote {options.out}")
    else:
        for figure in found.figures:
            print(f"  {figure.label}: {figure.one:.4g} against {figure.other:.4g} {figure.unit}".rstrip())
    return FINE


def _two(options: argparse.Namespace) -> Any:
    """Return two names with their fixtures, or why there are not two."""
    from ledcalc.records import with_values
    from ledcalc.variants.full_rows import without_readings
    from ledcalc.workbook.reader import fixture_of, read_inputs

    inputs = read_inputs(options.input)
    base = without_readings(fixture_of(inputs))
    if options.other:
        if options.versions:
            return "give another workbook or --versions, not both"
        other = without_readings(fixture_of(read_inputs(options.other)))
        names = base.name, other.name
        if base.name == other.name:
            names = f"{base.name} ({options.input.stem})", f"{other.name} ({options.other.stem})"
        return (names[0], base), (names[1], other)
    if len(options.versions or ()) not in {1, 2}:
        return "give another workbook, or one or two names behind --versions"
    known = {variant.name: variant for variant in inputs.variants}
    lacking = [name for name in options.versions if name not in known or known[name].problem]
    if lacking:
        problem = known[lacking[0]].problem if lacking[0] in known else "no row of the Variants sheet has that name"
        return f"{lacking[0]}: {problem}"
    made = [(name, with_values(base, known[name].changes)) for name in options.versions]
    return made if len(made) == 2 else [("base", base), *made]


def _plain(value: Any) -> Any:
    """Return figures that are not known as null, which is what JSON has for them."""
    if isinstance(value, dict):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    return None if isinstance(value, float) and not abs(value) < float("inf") else value
