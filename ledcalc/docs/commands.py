"""The page of commands, from the command line's own parser."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from ledcalc.cli import EXAMPLES, command_parser
from ledcalc.commands.common import CAUTION

__all__ = ["commands_page"]


def commands_page() -> str:
    """Return the whole page."""
    lines = [
        "# Commands",
        "",
        "Made from the command line's parser. `ledcalc COMMAND --help` says the same.",
        "",
        f"> **Caution.** {CAUTION}",
        "",
        "```text",
        *EXAMPLES.splitlines(),
        "```",
    ]
    for name, parser in _commands(command_parser()):
        lines += ["", f"## {name}", "", *_one(parser)]
    return "\n".join([*lines, ""])


def _commands(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    # argparse offers no other way to its own list than these private names; they have stood since Python 2.7.
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()


def _one(parser: argparse.ArgumentParser) -> Iterator[str]:
    yield from (parser.description or "").splitlines()
    yield from ("", "| Argument | What it is |", "|---|---|")
    for action in parser._actions:
        if not isinstance(action, argparse._HelpAction):
            yield f"| {_written(action)} | {_cell(action.help or '')} |"
    example = (parser.epilog or "").split("\n\n")[0].removeprefix("example:").strip()
    yield from ("", "```text", example, "```")


def _written(action: argparse.Action) -> str:
    value = action.metavar or action.dest.upper()
    if not action.option_strings:
        return f"`{action.metavar or action.dest}`" + (" (may be left out)" if action.nargs in {"?", "*"} else "")
    takes = "" if action.nargs == 0 else f" {value}"
    more = " ..." if action.nargs in {"*", "+"} else ""
    needed = " (needed)" if action.required else ""
    return f"`{', '.join(action.option_strings)}{takes}{more}`{needed}"


def _cell(text: str) -> str:
    return text.replace("%%", "%").replace("|", "/")
