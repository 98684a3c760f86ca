"""The command that explains a sheet, a field or a finding."""

from __future__ import annotations

import argparse
from typing import Any

from ledcalc.commands.common import FINE, command

__all__ = ["add_commands"]

NAME_HELP = "a sheet, sheet.field, a field's label or a finding's code; nothing: the list of sheets"


def add_commands(commands: Any) -> None:
    """Add explain."""
    explain = command(commands, "explain", _explain, "ledcalc explain fixture.height_m")
    explain.add_argument("name", nargs="?", default="", help=NAME_HELP)


def _explain(options: argparse.Namespace) -> int:
    """Say what a sheet, a field or a finding means."""
    from ledcalc.explain import explain

    print(explain(options.name))
    return FINE
