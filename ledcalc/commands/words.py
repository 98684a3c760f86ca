"""The command that explains a sheet or field."""

from __future__ import annotations

import argparse
from typing import Any

from ledcalc.commands.common import FINE, command

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add explain."""
    explain = command(commands, "explain", _explain, "ledcalc explain fixture.height_m")
    explain.add_argument("name", nargs="?", default="", help="a sheet, or sheet.field; nothing: the list of sheets")


def _explain(options: argparse.Namespace) -> int:
    """Say what a sheet or field means."""
    from ledcalc.explain import explain

    print(explain(options.name))
    return FINE
