"""The page of functions: everything a script may call, by field of work."""

from __future__ import annotations

from collections.abc import Iterator

from ledcalc.docs.public_names import folder_sentence, public_by_folder
from ledcalc.docs.source_reading import Documented, Function, signature_text
from ledcalc.docs.theory import first_sentence

__all__ = ["functions_page"]

HEAD = """# Functions for Python

Made from the functions themselves: for each field of work what it offers, a line each, with the call below it. Units
stand in brackets behind the arguments; what comes back stands behind the arrow. Numbers, lists, arrays and Series are
taken and broadcast; a number in gives a number out. A star: what follows is given by name. `help(...)` in Python has
ranges, validity, sources and an example; [theory.md](theory.md) has the formulas. Impossible input is refused with a
`ledcalc.ArgumentError`, which is a `ValueError`; what no table has is never made up.
"""


def functions_page() -> str:
    """Return the whole page."""
    folders = public_by_folder()
    lines = [HEAD, "## Fields of work", ""]
    lines += [
        f"- [{_title(folder)}](#{_title(folder).replace('.', '')}): {folder_sentence(folder)}" for folder in folders
    ]
    for folder, names in folders.items():
        lines += ["", f"## {_title(folder)}", "", folder_sentence(folder)]
        functions = [found for found in names if isinstance(found.node, Function)]
        classes = [found for found in names if not isinstance(found.node, Function)]
        if functions:
            lines += ["", *(line for found in functions for line in _entry(found))]
        if classes:
            lines += ["", "What goes in and comes out:", ""]
            lines += [f"- `{found.name}`: {first_sentence(found)}" for found in classes]
    return "\n".join([*lines, ""])


def _title(folder: str) -> str:
    return f"ledcalc.{folder}" if folder else "ledcalc"


def _entry(found: Documented) -> Iterator[str]:
    yield f"- **{found.name}**: {first_sentence(found)}"
    yield f"  `{signature_text(found)}`"
