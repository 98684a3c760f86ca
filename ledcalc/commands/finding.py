"""The command that finds fixtures for a target among a catalogue's parts."""

from __future__ import annotations

import argparse
import json
import math
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, STOP_FOUND, add_input, add_json, command

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add find."""
    find = command(commands, "find", _find, "ledcalc find parts.xlsx --heights 0.2 0.4 --boards 4 10 --out winner.xlsx")
    add_input(find)
    find.add_argument("--ppfd", type=float, help="mean PPFD in umol m-2 s-1; default: the Site sheet's target")
    find.add_argument("--dli", type=float, help="mean DLI in mol m-2 d-1 instead, at the Site sheet's photoperiod")
    find.add_argument("--min-over-mean", type=float, help="from 0 to 1; default: the Site sheet's target")
    find.add_argument("--most-cost", type=float, default=math.inf, help="of all parts, landed, in the site's currency")
    find.add_argument("--most-board-temperature", type=float, default=math.inf, help="in degC")
    find.add_argument("--most-weight", type=float, default=math.inf, help="of all that hangs, in kg")
    find.add_argument("--least", default="owning_cost", help="owning_cost (a year), purchase_cost or mains_power_w")
    find.add_argument("--boards", type=int, nargs=2, default=(1, 12), metavar=("FROM", "TO"), help="default: 1 12")
    find.add_argument("--in-series", type=int, nargs="+", default=(1,), help="boards of a string; 1: in parallel")
    find.add_argument("--wires", nargs="+", default=(), help="wire sizes to try; default: that of the first cable")
    find.add_argument("--heights", type=float, nargs=2, required=True, metavar=("FROM", "TO"), help="over canopy, in m")
    find.add_argument("--overhang", type=float, default=0.0, help="how far boards may stand out over the crop, in m")
    find.add_argument("--best", type=int, default=5, help="how many to name; default: 5")
    find.add_argument("--out", type=Path, help="write the best as filled inputs: a name ending in .xlsx, or a folder")
    find.add_argument("--replace", action="store_true", help="replace what already has that name")
    add_json(find)


def _find(options: argparse.Namespace) -> int:
    """Find the best fixtures for a target among the boards, heat sinks and drivers of a workbook."""
    from ledcalc.variants.search import DesignSpace, find_fixtures
    from ledcalc.workbook.reader import read_workbook
    from ledcalc.workbook.template import write_inputs

    catalogue = read_workbook(options.input)
    space = DesignSpace(
        least_boards_count=options.boards[0],
        most_boards_count=options.boards[1],
        in_series_counts=tuple(options.in_series),
        wire_sizes=tuple(options.wires),
        least_height_m=options.heights[0],
        most_height_m=options.heights[1],
        overhang_m=options.overhang,
    )
    found = find_fixtures(
        catalogue, _target(catalogue, options), space, objective=options.least, best_count=options.best
    )
    if options.out and found.best:
        write_inputs(found.best[0].fixture, options.out, overwrite=options.replace)
    if options.json:
        print(json.dumps(_as_dict(found), ensure_ascii=False))
    else:
        print("\n".join(_lines(found, catalogue.site.currency)))
        if options.out and found.best:
            print(f"wrote {options.out}")
    return FINE if found.best else STOP_FOUND


def _target(catalogue: Any, options: argparse.Namespace) -> Any:
    from ledcalc.photons import ppfd_for_dose
    from ledcalc.variants.search import DesignTarget, target_of_site

    limits = {
        "most_purchase_cost": options.most_cost,
        "most_board_c": options.most_board_temperature,
        "most_weight_kg": options.most_weight,
    }
    site = catalogue.site
    even = options.min_over_mean
    if even is None:
        even = site.target_min_over_mean_fraction or 0.0
    mean = options.ppfd
    if options.dli is not None:
        mean = float(ppfd_for_dose(options.dli, site.photoperiod_h))
    if mean is None:
        return target_of_site(catalogue, least_min_over_mean=even, **limits)
    return DesignTarget(mean_ppfd_umol_m2_s=mean, least_min_over_mean=even, **limits)


def _lines(found: Any, currency: str) -> list[str]:
    from ledcalc.variants.figure_names import figure_name, figure_text

    lines = [
        f"{found.candidates_count} candidates, {found.bounded_count} within bounds, {found.tried_count} worked out; "
        f"the least {figure_name(found.objective).label} first"
    ]
    for number, one in enumerate(found.best, start=1):
        fixture = one.fixture
        lines += [
            f"{number}. {one.parts}: {figure_text(found.objective, one.objective, currency)}",
            f"   driver at {fixture.current_setting_a:g} A, rows {fixture.row_pitch_m:g} m and columns "
            f"{fixture.column_pitch_m:g} m apart, {fixture.height_m:g} m over the canopy",
            f"   {one.line}",
        ]
    if not found.best:
        lines.append("nothing of these parts meets the target")
    if not found.is_certain:
        least = figure_text(found.objective, found.least_possible, currency)
        lines.append(f"stopped before all were worked out: what is left comes to {least} or more")
    lines += [f"not {one.parts}: {one.reason}" for one in found.near_misses[:5]]
    lines += [f"{one.board}, {one.count} times: {one.reason} ({one.example})" for one in found.refused[:10]]
    return [*lines, *found.notes]


def _as_dict(found: Any) -> dict[str, Any]:
    return {
        "objective": found.objective,
        "candidates": found.candidates_count,
        "tried": found.tried_count,
        "is_certain": found.is_certain,
        "best": [
            {
                "parts": one.parts,
                "objective": one.objective,
                "line": one.line,
                "figures": dict(one.results.summary()),
                "limits": [
                    {"label": limit.label, "value": limit.value, "limit": limit.limit, "unit": limit.unit}
                    for limit in one.limits
                ],
            }
            for one in found.best
        ],
        "near_misses": [{"parts": one.parts, "reason": one.reason} for one in found.near_misses],
        "refused": [
            {"board": one.board, "reason": one.reason, "count": one.count, "example": one.example}
            for one in found.refused
        ],
        "notes": list(found.notes),
    }
