"""The command line: make a blank workbook, recalculate one, check one, evaluate its variants, explain a field."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from ledcalc.errors import CellProblem, InputErrors, LedcalcError
from ledcalc.findings import count_by_severity
from ledcalc.results import Evaluation
from ledcalc.version import __version__

__all__ = ["main"]

FINE, STOP_FOUND, BAD_INPUT = 0, 1, 2

CAUTION = (
    "ledcalc advises; it replaces neither your local electrical code nor a licensed electrician. Mains and DC above "
    "touch limits can kill, heat sinks burn, and bright light harms eyes."
)
EXAMPLES = """examples:
  ledcalc blank bench.xlsx                      a blank workbook to fill in
  ledcalc blank bench --example                 a folder of CSV files, filled with the invented example
  ledcalc check bench.xlsx                      read it and say what is wrong, without computing
  ledcalc recalculate bench.xlsx                results into bench-results.xlsx beside it
  ledcalc recalculate bench.xlsx --json         the same, figures also as JSON on standard output
  ledcalc variants bench.xlsx --out table.csv   one row of figures for each row of its Variants sheet

exit status: 0 done, 1 done but something must be mended before the light is energised, 2 bad input"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return its exit status (0 done, 1 findings of severity stop, 2 bad input)."""
    options = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        return run(options)
    except InputErrors as problem:
        return _refuse(options, str(problem), problem.problems)
    except LedcalcError as problem:
        return _refuse(options, str(problem))
    except OSError as problem:
        return _refuse(options, f"{problem.filename or 'file'}: {problem.strerror or problem}")
    except KeyboardInterrupt:
        return _refuse(options, "stopped by the keyboard; nothing was written")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="ledcalc",
        description="Plan, wire, test and tune multi-board LED plant lights from a workbook or a folder of CSV files.",
        epilog=f"{EXAMPLES}\n\n{CAUTION}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"ledcalc {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_blank(commands)
    recalculate = _command(commands, "recalculate", _recalculate, "ledcalc recalculate bench.xlsx")
    _add_input(recalculate)
    recalculate.add_argument("--out", type=Path, help="result workbook (.xlsx) or folder; default: beside the input")
    _add_json(recalculate)
    check = _command(commands, "check", _check, "ledcalc check bench.xlsx")
    _add_input(check)
    _add_json(check)
    variants = _command(commands, "variants", _variants, "ledcalc variants bench.xlsx --out table.csv")
    _add_input(variants)
    variants.add_argument("--out", type=Path, help="write the table as .csv or .xlsx instead of printing it")
    _add_json(variants)
    picture = _command(commands, "picture", _picture, "ledcalc picture bench.xlsx --out field.png")
    _add_input(picture)
    picture.add_argument("--out", type=Path, required=True, help="a name ending in .png, .pdf or .svg")
    report = _command(commands, "report", _report, "ledcalc report bench.xlsx --out bench.html")
    _add_input(report)
    report.add_argument("--out", type=Path, required=True, help="a name ending in .html or .pdf")
    explain = _command(commands, "explain", _explain, "ledcalc explain fixture.height_m")
    explain.add_argument("name", nargs="?", default="", help="a sheet, or sheet.field; nothing: the list of sheets")
    return parser


def _add_blank(commands: Any) -> None:
    blank = _command(commands, "blank", _blank, "ledcalc blank bench.xlsx")
    blank.add_argument("path", type=Path, help="what to make: a name ending in .xlsx, or a folder name for CSV files")
    blank.add_argument("--example", action="store_true", help="fill it with the invented example")
    blank.add_argument("--filled-from", type=Path, metavar="INPUT", help="fill it with the inputs of this workbook")
    blank.add_argument("--replace", action="store_true", help="replace what already has that name")


def _command(
    commands: Any, name: str, run: Callable[[argparse.Namespace], int], example: str
) -> argparse.ArgumentParser:
    """Add a command; what it does stands in its function's docstring."""
    what = (run.__doc__ or "").strip()
    parser: argparse.ArgumentParser = commands.add_parser(
        name,
        help=what[0].lower() + what[1:].rstrip("."),
        description=what,
        epilog=f"example:\n  {example}\n\n{CAUTION}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run, json=False)
    return parser


def _add_input(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("input", type=Path, help="a filled workbook (.xlsx, .xlsm) or a folder of CSV files")


def _add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for scripts on standard output")


def _blank(options: argparse.Namespace) -> int:
    """Make a blank workbook, or a folder of CSV files."""
    from ledcalc.workbook.template import copy_inputs, write_blank

    if options.example and options.filled_from:
        return _refuse(options, "choose one of --example and --filled-from")
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
    from ledcalc.workbook.results import evaluation_as_dict

    out = options.out or default_results_path(options.input)
    results = recalculate(options.input, out)
    if options.json:
        print(json.dumps({"results": str(out), **evaluation_as_dict(results)}, ensure_ascii=False, allow_nan=False))
    else:
        print(_verdict(results))
        print(f"wrote {out}")
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

    inputs = read_inputs(options.input)
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


def _variants(options: argparse.Namespace) -> int:
    """Evaluate each row of the Variants sheet."""
    from ledcalc.variants.table import table_of
    from ledcalc.workbook.reader import fixture_of, read_inputs
    from ledcalc.workbook.results import write_table

    inputs = read_inputs(options.input)
    fixture, variants = fixture_of(inputs), inputs.variants
    if not variants:
        return _refuse(options, f"{options.input}: its Variants sheet is empty; add a row a variant")
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


def _explain(options: argparse.Namespace) -> int:
    """Say what a sheet or field means."""
    from ledcalc.explain import explain

    print(explain(options.name))
    return FINE


def _with_progress(fixture: Any, variants: Sequence[Any]) -> Any:
    from tqdm import tqdm

    from ledcalc.variants import evaluate_variants

    done = evaluate_variants(fixture, variants)
    # A bar only where a person looks on, and only once it has taken two seconds.
    return tqdm(done, total=len(variants), unit="variant", delay=2, disable=None)


def _refuse(options: argparse.Namespace, text: str, problems: Sequence[CellProblem] = ()) -> int:
    if options.json:
        print(json.dumps({"error": text, "problems": [_as_dict(problem) for problem in problems]}, ensure_ascii=False))
    print(f"ledcalc: {text}", file=sys.stderr)
    return BAD_INPUT


def _as_dict(problem: CellProblem) -> dict[str, str]:
    names = ("sheet", "cell", "field", "value", "problem", "allowed", "remedy")
    return {name: str(getattr(problem, name)) for name in names}


if __name__ == "__main__":
    sys.exit(main())
