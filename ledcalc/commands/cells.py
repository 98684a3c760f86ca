"""The command about functions in cells: list them, build the Calc add-in, put it into LibreOffice, take it out."""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, command

__all__ = ["add_commands"]

NOTES = (
    "An argument in square brackets may be left out; what a blank means stands beside it.",
    "Errors come as text that begins with LC error: ISERROR does not catch them, and SUM skips text: check the column.",
    "In Calc a single blank cell arrives as 0, not as blank.",
    "",
)
FOR_ALL = "; as the superuser runs this, that holds for all users of this machine"


def add_commands(commands: Any) -> None:
    """Add cells."""
    cells = command(commands, "cells", _cells, "ledcalc cells --into-libreoffice")
    what = cells.add_mutually_exclusive_group()
    what.add_argument("--addin", type=Path, metavar="FILE.oxt", help="build the LibreOffice Calc add-in as a file")
    what.add_argument("--into-libreoffice", action="store_true", help="build the add-in and put it into LibreOffice")
    what.add_argument("--out-of-libreoffice", action="store_true", help="take the add-in out of LibreOffice")


def _cells(options: argparse.Namespace) -> int:
    """List the functions for a spreadsheet's cells, or put them into LibreOffice Calc."""
    from ledcalc.cells.addin import build_addin, install_addin, is_shared, remove_addin

    if options.addin:
        build_addin(options.addin)
        print(f"wrote {options.addin}")
    elif options.into_libreoffice:
        with tempfile.TemporaryDirectory() as folder:
            package = Path(folder) / "ledcalc-cells.oxt"
            build_addin(package)
            install_addin(package)
        print(
            "LibreOffice Calc has, from its next start, the functions (their names begin with LC_) "
            f"and the entry Recalculate plant light under Tools, Add-Ons{FOR_ALL if is_shared() else ''}"
        )
    elif options.out_of_libreoffice:
        remove_addin()
        print(
            "LibreOffice Calc has the functions and the menu entry no longer, from its next start; cells that use them "
            f"keep their values until they are recalculated{FOR_ALL if is_shared() else ''}"
        )
    else:
        print("\n".join(_listed()))
    return FINE


def _listed() -> list[str]:
    from ledcalc.cells import cell_functions

    lines = [*NOTES]
    for function in cell_functions():
        lines.append(f"{function.name}({'; '.join(argument.bracketed for argument in function.arguments)})")
        lines.append(f"    {function.description}")
        lines += [f"    {argument.name}: {argument.description}" for argument in function.arguments]
    return lines
