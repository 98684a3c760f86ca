"""The command that says which input moves which result most, and how far the verdict holds."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from typing import Any

from ledcalc.commands.common import FINE, add_input, add_json, command

__all__ = ["add_commands"]

INPUTS = (
    "fixture.current_setting_a",
    "fixture.height_m",
    "fixture.row_pitch_m",
    "fixture.column_pitch_m",
    "site.air_temperature_c",
    "heat_sinks.sink_resistance_k_per_w",
    "cables.one_way_length_m",
)
FIGURES = ("ppfd_mean_umol_m2_s", "min_over_mean_fraction", "highest_board_temperature_c", "energy_cost")


def add_commands(commands: Any) -> None:
    """Add sway."""
    sway = command(
        commands, "sway", _sway, "ledcalc sway bench.xlsx --within 10 --inputs fixture.height_m site.air_temperature_c"
    )
    add_input(sway)
    sway.add_argument("--within", type=float, default=10.0, help="how far inputs move, in per cent; default: 10")
    sway.add_argument("--inputs", nargs="+", metavar="SHEET.FIELD", help="numbers to move; default: the usual ones")
    sway.add_argument("--figures", nargs="+", default=FIGURES, help=f"results to look at; default: {' '.join(FIGURES)}")
    sway.add_argument(
        "--shares",
        type=int,
        metavar="SAMPLES",
        help="all at once: shares of the variance, from a power of 2 of samples",
    )
    sway.add_argument("--seed", type=int, default=1, help="of those samples; default: 1")
    sway.add_argument("--verdict", action="store_true", help="how far each may move before a finding comes or goes")
    add_json(sway)


def _sway(options: argparse.Namespace) -> int:
    """Move inputs, and say which sways which result most."""
    from ledcalc.variants.fixture_model import FixtureModel
    from ledcalc.variants.full_rows import without_readings
    from ledcalc.variants.sensitivity import one_at_a_time
    from ledcalc.variants.sobol import sobol_indices
    from ledcalc.variants.verdict import verdict_tolerance
    from ledcalc.workbook.reader import read_workbook

    fixture = without_readings(read_workbook(options.input))
    figures = tuple(options.figures)
    factors, left_out = _factors(fixture, options)
    if options.verdict:
        flips = verdict_tolerance(fixture, factors)
        return _told(options, [flip.line for flip in flips], [asdict(flip) for flip in flips], left_out)
    model = FixtureModel(fixture=fixture, factors=factors, figures=figures)
    if options.shares:
        found = sobol_indices(model, factors, figures, sample_count=options.shares, seed=options.seed)
        rows = _shares(found)
        lines = [f"seed {options.seed}, {found.evaluations_count} variants, {found.dropped_count} samples left out"]
        lines += [
            f"{row['figure']}: {row['path']} {row['first']:.2f} by itself, {row['total']:.2f} with all it does together"
            for row in rows
        ]
        return _told(options, lines, rows, left_out)
    effects = one_at_a_time(model, factors, figures, currency=fixture.site.currency).effects
    return _told(options, [effect.line for effect in effects], [asdict(effect) for effect in effects], left_out)


def _factors(fixture: Any, options: argparse.Namespace) -> tuple[tuple[Any, ...], list[str]]:
    """Return the inputs with their ends; of the usual ones those that are filled in, and which were not."""
    from ledcalc.errors import ArgumentError
    from ledcalc.variants.fixture_model import factor_of

    make: Callable[[str], Any] = partial(factor_of, fixture, tolerance_fraction=options.within / 100.0)
    if options.inputs:
        return tuple(make(path) for path in options.inputs), []
    found, left_out = [], []
    for path in INPUTS:
        try:
            found.append(make(path))
        except ArgumentError as problem:
            left_out.append(f"left out: {problem}")
    return tuple(found), left_out


def _shares(found: Any) -> list[dict[str, Any]]:
    """Return the shares, those of one figure from the largest down."""
    rows = [
        {
            "figure": figure,
            "path": path,
            "first": float(found.first[row, column]),
            "total": float(found.total[row, column]),
            "total_low": float(found.total_low[row, column]),
            "total_high": float(found.total_high[row, column]),
        }
        for column, figure in enumerate(found.figures)
        for row, path in enumerate(found.paths)
    ]
    return sorted(rows, key=lambda row: (found.figures.index(row["figure"]), -row["total"]))


def _told(options: argparse.Namespace, lines: list[str], rows: list[dict[str, Any]], left_out: list[str]) -> int:
    if options.json:
        known = [{key: None if value != value else value for key, value in row.items()} for row in rows]
        print(json.dumps({"found": known, "left_out": left_out}, ensure_ascii=False))
    else:
        print("\n".join([*lines, *left_out]))
    return FINE
