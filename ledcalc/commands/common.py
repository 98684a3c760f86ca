"""What all commands share: exit statuses, the caution, how a command is added, how one is refused."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from ledcalc.errors import CellProblem

__all__ = [
    "BAD_INPUT",
    "CAUTION",
    "FINE",
    "STOP_FOUND",
    "add_formulas_first",
    "add_input",
    "add_json",
    "command",
    "refuse",
]

FINE, STOP_FOUND, BAD_INPUT = 0, 1, 2

CAUTION = (
    "ledcalc advises; it replaces neither your local electrical code nor a licensed electrician. Mains and DC above "
    "touch limits can kill, heat sinks burn, and bright light harms eyes."
)


def command(
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


def add_input(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("input", type=Path, help="a filled workbook (.xlsx, .xlsm) or a folder of CSV files")


def add_formulas_first(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--formulas-first",
        action="store_true",
        help="have LibreOffice work the workbook's formulas out first, on a copy; the file stays as it is",
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for scripts on standard output")


def refuse(options: argparse.Namespace, text: str, problems: Sequence[CellProblem] = ()) -> int:
    if options.json:
        print(json.dumps({"error": text, "problems": [_as_dict(problem) for problem in problems]}, ensure_ascii=False))
    print(f"ledcalc: {text}", file=sys.stderr)
    return BAD_INPUT


def _as_dict(problem: CellProblem) -> dict[str, str]:
    names = ("sheet", "cell", "field", "path", "value", "problem", "allowed", "remedy")
    return {name: str(getattr(problem, name)) for name in names}
