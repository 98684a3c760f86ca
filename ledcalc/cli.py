"""The command line: reads the arguments, runs one command, tells a refusal plainly."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from ledcalc.commands import GROUPS
from ledcalc.commands.common import CAUTION, refuse
from ledcalc.errors import InputErrors, LedcalcError
from ledcalc.version import __version__

__all__ = ["EXAMPLES", "command_parser", "main"]

EXAMPLES = """examples:
  ledcalc blank bench.xlsx                      a blank workbook to fill in
  ledcalc blank bench --example                 a folder of CSV files, filled with the invented example
  ledcalc check bench.xlsx                      read it and say what is wrong, without computing
  ledcalc recalculate bench.xlsx                results into bench-results.xlsx beside it
  ledcalc recalculate bench.xlsx --json         the same, figures also as JSON on standard output
  ledcalc variants bench.xlsx --out table.csv   one row of figures for each row of its Variants sheet
  ledcalc beam board.ies --out beams.csv        a photometric file (LM-63) as rows of the Beams sheet
  ledcalc calibrate bench.xlsx --out fitted.xlsx   the fixture fitted to what was measured on it
  ledcalc rank bench.xlsx --out ranking.xlsx    its variants ranked, and why each won or lost
  ledcalc find parts.xlsx --heights 0.2 0.4     the best fixtures for the Site sheet's target
  ledcalc report bench.xlsx --out bench.html    a report fit to publish, also as .pdf

exit status: 0 done, 1 done but something must be mended before the light is energised, 2 bad input"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return its exit status (0 done, 1 findings of severity stop, 2 bad input)."""
    options = command_parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        return run(options)
    except InputErrors as problem:
        return refuse(options, str(problem), problem.problems)
    except LedcalcError as problem:
        return refuse(options, str(problem))
    except OSError as problem:
        return refuse(options, f"{problem.filename or 'file'}: {problem.strerror or problem}")
    except KeyboardInterrupt:
        return refuse(options, "stopped by the keyboard; nothing was written")


def command_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    parser = argparse.ArgumentParser(
        prog="ledcalc",
        description="Plan, wire, test and tune multi-board LED plant lights from a workbook or a folder of CSV files.",
        epilog=f"{EXAMPLES}\n\n{CAUTION}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"ledcalc {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for group in GROUPS:
        group.add_commands(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
