"""Commands that make something to show: a picture of the light field, a report."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, add_input, command
from ledcalc.errors import ArgumentError
from ledcalc.schema import Refusal, parse, sheet

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add picture and report."""
    picture = command(commands, "picture", _picture, "ledcalc picture bench.xlsx --out field.png")
    add_input(picture)
    picture.add_argument("--out", type=Path, required=True, help="a name ending in .png, .pdf or .svg")
    picture.add_argument(
        "--heights",
        nargs="*",
        metavar="HEIGHT",
        help="maps at several heights over the canopy on one scale, in m or as '12 in'; none named: 0.6, 1 and 1.6 "
        "times the fixture's",
    )
    report = command(commands, "report", _report, "ledcalc report bench.xlsx --out bench.html")
    add_input(report)
    report.add_argument("--out", type=Path, required=True, help="a name ending in .html or .pdf")
    report.add_argument(
        "--since", type=Path, metavar="EARLIER", help="the workbook of the version before: tells what has changed"
    )


def _picture(options: argparse.Namespace) -> int:
    """Write the light field as a picture: map, isolines, boards, figures, conditions."""
    from ledcalc.evaluation.evaluate import evaluate
    from ledcalc.picture import save_heights_picture, save_picture
    from ledcalc.workbook.reader import fixture_of, read_inputs

    heights = None if options.heights is None else [_height_m(text) for text in options.heights]
    results = evaluate(fixture_of(read_inputs(options.input)))
    if heights is None:
        save_picture(results, options.out)
    else:
        save_heights_picture(results, options.out, heights_m=heights or None)
    print(f"wrote {options.out}")
    return FINE


def _height_m(text: str) -> float:
    field = sheet("fixture").field("height_m")
    value = parse(field, text, "m")
    if isinstance(value, Refusal):
        raise ArgumentError("--heights", text, f"{field.allowed}, or with its own unit")
    return float(value)


def _report(options: argparse.Namespace) -> int:
    """Write a report fit to publish: conditions, instruments, light, currents, temperatures, doubts."""
    from ledcalc.evaluation.evaluate import evaluate
    from ledcalc.report import write_report
    from ledcalc.workbook.reader import fixture_of, read_inputs

    earlier = evaluate(fixture_of(read_inputs(options.since))) if options.since else None
    write_report(evaluate(fixture_of(read_inputs(options.input))), options.out, earlier=earlier)
    print(f"wrote {options.out}")
    return FINE
