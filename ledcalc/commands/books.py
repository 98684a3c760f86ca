"""Commands about one workbook: make a blank one, recalculate it, check it."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from ledcalc.commands.common import (
    BAD_INPUT,
    CAUTION,
    FINE,
    STOP_FOUND,
    add_formulas_first,
    add_input,
    add_json,
    command,
    refuse,
)
from ledcalc.findings import count_by_severity
from ledcalc.results import Evaluation

__all__ = ["add_commands"]

CALCULATE_AGAIN = (
    "your formulas that read result sheets: Excel works them out when it opens the file; in LibreOffice press "
    "Ctrl+Shift+F9 once"
)


def add_commands(commands: Any) -> None:
    """Add blank, recalculate and check."""
    _add_blank(commands)
    recalculate = command(commands, "recalculate", _recalculate, "ledcalc recalculate bench.xlsx")
    add_input(recalculate)
    where = recalculate.add_mutually_exclusive_group()
    where.add_argument("--out", type=Path, help="result workbook (.xlsx) or folder; default: beside the input")
    where.add_argument(
        "--into",
        action="store_true",
        help="put the result sheets into the input workbook; it is kept beside as it was before this run",
    )
    recalculate.add_argument("--with-picture", action="store_true", help="draw the light field as a picture as well")
    add_formulas_first(recalculate)
    add_json(recalculate)
    check = command(commands, "check", _check, "ledcalc check bench.xlsx")
    add_input(check)
    add_formulas_first(check)
    add_json(check)


def _add_blank(commands: Any) -> None:
    blank = command(commands, "blank", _blank, "ledcalc blank bench.xlsx")
    blank.add_argument("path", type=Path, help="what to make: a name ending in .xlsx, or a folder name for CSV files")
    blank.add_argument("--example", action="store_true", help="fill it with the invented example")
    blank.add_argument("--filled-from", type=Path, metavar="INPUT", help="fill it with the inputs of this workbook")
    blank.add_argument("--replace", action="store_true", help="replace what already has that name")


def _blank(options: argparse.Namespace) -> int:
    """Make a blank workbook, or a folder of CSV files."""
    from ledcalc.workbook.template import copy_inputs, write_blank

    if options.example and options.filled_from:
        return refuse(options, "choose one of --example and --filled-from")
    if options.example or options.filled_from:
        from ledcalc.demo import DEMO_FOLDER

        source = DEMO_FOLDER if options.example else options.filled_from
        copy_inputs(source, options.path, overwrite=options.replace)
    else:
        write_blank(options.path, overwrite=options.replace)
    print(f"wrote {options.path}")
    return FINE


def _recalculate(options: argparse.Namespace) -> int:
    """Work everything out and write result sheets."""
    from ledcalc.workbook import default_results_path, recalculate
    from ledcalc.workbook.recalculate import recalculate_into
    from ledcalc.workbook.results import evaluation_as_dict, picture_path

    out = options.input if options.into else options.out or default_results_path(options.input)
    with_picture, remarks = options.with_picture or None, []
    if options.into:
        written = recalculate_into(options.input, with_picture=with_picture, formulas_first=options.formulas_first)
        results = written.results
        remarks.append(f"as it was before this run: {written.backup}")
        if written.is_calculated_on_load:
            remarks.append(CALCULATE_AGAIN)
    else:
        results = recalculate(options.input, out, with_picture=with_picture, formulas_first=options.formulas_first)
    if (options.with_picture or results.fixture.picture == "yes") and picture_path(out).exists():
        remarks.append(f"wrote {picture_path(out)}")
    if options.json:
        print(json.dumps({"results": str(out), **evaluation_as_dict(results)}, ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join([_verdict(results), f"wrote {out}", *remarks]))
    return STOP_FOUND if results.severity == "stop" else FINE


def _verdict(results: Evaluation) -> str:
    counts = count_by_severity(results.findings)
    lines = [
        f"{results.fixture.name}: {counts['stop']} to stop for, {counts['act']} to act on, {counts['note']} to note",
        results.operating.explanation,
    ]
    for found in results.findings:
        place = f" [{found.cell}]" if found.cell else ""
        lines.append(f"{found.severity:>4}  {found.code}{place}: {found.message} Remedy: {found.remedy}")
    lines.append(CAUTION)
    return "\n".join(lines)


def _check(options: argparse.Namespace) -> int:
    """Read the inputs and say what is wrong, without computing."""
    from ledcalc.workbook.reader import fixture_of, read_inputs

    inputs = read_inputs(options.input, formulas_first=options.formulas_first)
    fixture_of(inputs)
    assumed, odd = inputs.origin.assumed, [variant for variant in inputs.variants if variant.problem]
    if options.json:
        lines = [{"variant": variant.name, "problem": variant.problem} for variant in odd]
        print(
            json.dumps({"input": str(options.input), "problems": lines, "assumed": list(assumed)}, ensure_ascii=False)
        )
    else:
        for variant in odd:
            print(f"variant {variant.name}: {variant.problem}")
        print(f"{options.input}: readable and complete; {len(assumed)} blank cells take their usual values")
    return BAD_INPUT if odd else FINE
