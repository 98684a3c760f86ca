"""A sheet as cells, whichever kind of file it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.schema import CellValue

__all__ = ["CHANGES", "NOT_READ", "Book", "Cell", "Grid", "coordinate", "sheet_place"]

# The builder's own log; and what titles, in small letters, go with the inputs and hold none.
CHANGES = "Changes"
NOT_READ = ("about", "help", CHANGES.casefold())


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
