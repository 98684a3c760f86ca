"""A sheet as cells, whichever kind of file it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.schema import CellValue

__all__ = [
    "CHANGES",
    "LONGEST_TEXT",
    "NOT_READ",
    "Book",
    "Cell",
    "Grid",
    "coordinate",
    "echo",
    "long_text",
    "sheet_place",
]

# The builder's own log; and what titles, in small letters, go with the inputs and hold none.
CHANGES = "Changes"
NOT_READ = ("about", "help", CHANGES.casefold())
# What a spreadsheet's cell can hold.
LONGEST_TEXT = 32_767
LONGEST_ECHO = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What stands in one cell.

    ``is_percent``: formatted as a percentage. ``trouble``: why it cannot be used as it is. ``formula`` is what it was
    worked out by, ``basis`` when or by whom, ``caution`` what to mind about that.
    """

    value: CellValue
    is_percent: bool = False
    formula: str = ""
    trouble: str = ""
    remedy: str = ""
    caution: str = ""
    basis: str = "last saved"

    @property
    def from_formula(self) -> bool:
        """Whether the value is the result of a formula."""
        return bool(self.formula)


def long_text(text: str) -> Cell:
    """Return the cell of a text that is too long to be one; its beginning stands for it in messages."""
    problem = f"a text of {len(text):,} characters"
    return Cell(value=text[:LONGEST_ECHO], trouble=problem, remedy=f"keep it under {LONGEST_TEXT:,}")


def echo(value: CellValue) -> str:
    """Return a value as messages repeat it: texts quoted, so that nothing in them is acted on, long ones cut.

    Examples
    --------
    >>> echo("x" * 100), echo(12)
    ("'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx ...", '12')
    """
    text = repr(value[: LONGEST_ECHO + 1]) if isinstance(value, str) else str(value)
    return text if len(text) <= LONGEST_ECHO else f"{text[: LONGEST_ECHO - 4]} ..."


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A sheet's filled cells: row number -> column number -> cell, both from 1. Blank cells are not there."""

    title: str
    rows: Mapping[int, Mapping[int, Cell]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """All sheets of a workbook or folder, and the hash of its bytes."""

    name: str
    sha256: str
    grids: tuple[Grid, ...]


def coordinate(row: int, column: int) -> str:
    """Return a cell's address.

    Examples
    --------
    >>> coordinate(9, 28)
    'AB9'
    """
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{row}"


def sheet_place(title: str, cell: str) -> str:
    """Return ``Sheet!A1``, as findings write it."""
    return f"{title}!{cell}"
