"""What can go wrong, as one tree.

    LedcalcError
    ├── ArgumentError (ValueError)      a value no formula can take
    │   └── TableRangeError             outside what a published table covers
    ├── NotSettledError                 no steady state exists between currents and heat
    ├── InputErrors (ValueError)        the bad cells of a workbook or CSV folder, all in one pass
    └── FileProblem                     a file that cannot be read or written as asked

Impossible input raises; input that is legal but unwise becomes a finding (``ledcalc.findings``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = [
    "CELL_ERROR",
    "ArgumentError",
    "CellProblem",
    "FileProblem",
    "InputErrors",
    "LedcalcError",
    "NotSettledError",
    "TableRangeError",
]

# How the text begins that a cell function shows where it has no answer.
CELL_ERROR = "LC error: "


class LedcalcError(Exception):
    """Everything ledcalc raises on purpose."""


# Of a value that no formula can take, so many characters are repeated.
LONGEST_SHOWN = 300


class ArgumentError(LedcalcError, ValueError):
    """A value no formula can take; the text names the argument, the value and what is allowed."""

    def __init__(self, argument: str, value: object, allowed: str) -> None:
        super().__init__(f"{argument} is {_shown(value)}; allowed: {allowed}")
        self.argument = argument
        self.value = value
        self.allowed = allowed


def _shown(value: object) -> str:
    """Return a value as Python writes it, cut where it goes on and on; an integer may have too many digits to write."""
    try:
        text = repr(value)
    except ValueError:
        return f"{type(value).__name__} of very many digits"
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]} ..."


class TableRangeError(ArgumentError):
    """A value outside what the published table covers: there is no answer, so none is given."""


class NotSettledError(LedcalcError):
    """No steady state exists between currents, heat and wires, so there is nothing to report."""


class FileProblem(LedcalcError):
    """A file that cannot be read or written as asked; the text says which, why, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CellProblem:
    """One bad cell: where it is, what stands in it, what is allowed, what to do.

    ``field`` is its label, ``path`` what ``ledcalc explain`` tells more by (``fixture.height_m``).
    """

    sheet: str
    cell: str
    field: str
    value: str
    problem: str
    allowed: str = ""
    remedy: str = ""
    path: str = ""

    def __str__(self) -> str:
        place = f"{self.sheet}!{self.cell}" if self.cell else self.sheet
        names = ", ".join(name for name in (self.field, self.path) if name)
        name = f" ({names})" if names else ""
        parts = [f"{place}{name}: {self.problem}"]
        if self.value:
            parts.append(f"got {self.value}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        if self.remedy:
            parts.append(f"remedy: {self.remedy}")
        return "; ".join(parts)


# A list of more bad cells than that helps nobody; ``problems`` has them all.
MOST_LINES = 200


class InputErrors(LedcalcError, ValueError):
    """Every bad cell found in one pass over a workbook or CSV folder (``problems``).

    ``rest``: where results of what could be worked out all the same were written to; empty where nothing could.
    ``has_unread``: among them are cells without a value, so that what rests on these is still to be checked.
    ``unwritten``: why none were written, where they were asked for.
    """

    def __init__(
        self,
        source: str,
        problems: Sequence[CellProblem],
        *,
        rest: str = "",
        has_unread: bool = False,
        unwritten: str = "",
    ) -> None:
        self.source = source
        self.rest = rest
        self.problems = tuple(problems)
        count = len(self.problems)
        head = f"{source}: {count} problem{'s' if count != 1 else ''} in the input"
        lines = [head, *(f"  {problem}" for problem in self.problems[:MOST_LINES])]
        if count > MOST_LINES:
            lines.append(f"  and {count - MOST_LINES:,} more; mend these and run it again")
        if has_unread:
            lines.append("  cells that depend on a bad cell are checked after it is mended")
        if rest:
            lines.append(f"  the rest was worked out without them: {rest}; its figures may rest on stand-ins")
        if unwritten:
            lines.append(f"  no results were written: {unwritten}")
        super().__init__("\n".join(lines))
