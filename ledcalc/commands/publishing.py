"""Commands that make something to show: a picture of the light field, a report."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, add_input, command

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add picture and report."""
    picture = command(commands, "picture", _picture, "ledcalc picture bench.xlsx --out field.png")
    add_input(picture)
    picture.add_argument("--out", type=Path, required=True, help="a name ending in .png, .pdf or .svg")
    report = command(commands, "report", _report, "ledcalc report bench.xlsx --out bench.html")
    add_input(report)
    report.add_argument("--out", type=Path, required=True, help="a name ending in .html or .pdf")


def _picture(options: argparse.Namespace) -> int:
    """Write the light field as a picture: map, isolines, boards, figures, conditions."""
    from ledcalc.evaluate import evaluate
    from ledcalc.picture import save_picture
    from ledcalc.workbook.reader import fixture_of, read_inputs

    save_picture(evaluate(fixture_of(read_inputs(options.input))), options.out)
    print(f"wrote {options.out}")
    return FINE


def _report(options: argparse.Namespace) -> int:
    """Write a report fit to publish: conditions, instruments, light, currents, temperatures, doubts."""
    from ledcalc.evaluate import evaluate
    from ledcalc.report import write_report
    from ledcalc.workbook.reader import fixture_of, read_inputs

    write_report(evaluate(fixture_of(read_inputs(options.input))), options.out)
    print(f"wrote {options.out}")
    return FINE
