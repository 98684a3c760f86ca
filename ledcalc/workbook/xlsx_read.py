"""A workbook's sheets as grids, through openpyxl, read-only."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import repeat
from pathlib import Path
from typing import Any

from ledcalc.errors import FileProblem
from ledcalc.schema import CellValue
from ledcalc.workbook.grid import LONGEST_TEXT, Book, Cell, Grid, long_text
from ledcalc.workbook.layout import input_key
from ledcalc.workbook.package import CALCULATION_NAME, OWN_NAME, checked_bytes

__all__ = ["caution_about", "filled_cell", "read_xlsx", "saved_values"]

LAST_ROW = 1_048_576
# Of all input sheets together: filled cells; cells in rows between the first and the last of each row; rows.
MOST_FILLED = 400_000
MOST_SEEN = 10_000_000
MOST_ROWS = 2_500_000
# Formatted rows cost time though nothing stands in them; gaps without format cost nothing.
MOST_EMPTY_ROWS = 300_000
MOST_COLUMNS = 256
ERROR_TEXTS = {"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"}
RECALCULATES = re.compile(rb"""fullCalcOnLoad\s*=\s*["'](?:1|true)["']""")
VOLATILE = re.compile(r"\b(?:NOW|TODAY|RAND|RANDBETWEEN|RANDARRAY|OFFSET|INDIRECT|INFO|CELL)\s*\(", re.IGNORECASE)
UNCALCULATED = (
    "open the file in the spreadsheet, let it calculate, save it, and run again; or have LibreOffice work it out: "
    "--formulas-first"
)


def read_xlsx(path: Path) -> Book:
    """Return the filled cells of every visible or hidden worksheet.

    A cell with a formula counts by the value that the spreadsheet last saved; where it saved none, or what it saved is
    no longer right, the cell is in trouble.

    Raises
    ------
    FileProblem: as ``package.checked_bytes``, or the workbook cannot be parsed
    """
    data, digest = checked_bytes(path)
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        book = package.read("xl/workbook.xml")
    try:
        with warnings.catch_warnings():
            # openpyxl warns of parts it does not keep; nothing is saved through it here.
            warnings.simplefilter("ignore")
            grids = _grids(data, book)
    except FileProblem:
        raise
    except Exception as problem:
        # Whatever the parser trips over in a damaged or foreign file: the user needs the file named, not the parser.
        raise FileProblem(
            f"{path}: cannot be read as a workbook ({type(problem).__name__}: {problem}); save it again as .xlsx"
        ) from None
    return Book(name=path.name, sha256=digest, grids=grids)


class _FormulaFound(Exception):
    """A cell holds a formula: its value is in another reading of the file."""


def saved_values(path: Path) -> dict[str, Grid]:
    """Return the cells of every worksheet by its title, formulas by their saved values alone.

    Raises
    ------
    FileProblem: as ``package.checked_bytes``
    """
    data, _ = checked_bytes(path)
    seen = _Seen()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        sheets = _load(data, data_only=True).worksheets
        return {sheet.title: _grid(sheet, None, _is_never_stale, seen) for sheet in sheets}


def _grids(data: bytes, book: bytes) -> tuple[Grid, ...]:
    written, seen = _load(data, data_only=False), _Seen()
    is_stale = _staleness(book, [sheet.title for sheet in written.worksheets if OWN_NAME in sheet.defined_names])
    try:
        return tuple(_grid(sheet, None, is_stale, seen) for sheet in written.worksheets)
    except _FormulaFound:
        # A second reading, beside the first, for the values that the spreadsheet last saved beside its formulas.
        saved, seen = _load(data, data_only=True), _Seen()
        return tuple(_grid(sheet, saved[sheet.title], is_stale, seen) for sheet in written.worksheets)


def _is_never_stale(_formula: str) -> bool:
    return False


def _staleness(book: bytes, results: Sequence[str]) -> Callable[[str], bool]:
    """Return what tells whether a formula's saved value is no longer right; ``results``: titles of result sheets."""
    if RECALCULATES.search(book) is None:
        return _is_never_stale
    if CALCULATION_NAME.encode() not in book:
        return lambda _formula: True
    said = [title.replace("'", "''").casefold() for title in results]
    return lambda formula: any(f"{title}{mark}" in formula.casefold() for title in said for mark in ("!", "'!"))


def _load(data: bytes, *, data_only: bool) -> Any:
    import openpyxl

    if not openpyxl.DEFUSEDXML:
        raise FileProblem(
            "defusedxml is not in effect; unset OPENPYXL_DEFUSEDXML and install ledcalc with its dependencies"
        )
    return openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=data_only, keep_links=False)


@dataclass(slots=True)
class _Seen:
    """What of a workbook was gone through so far: rows, cells in them, filled cells."""

    rows_count: int = 0
    cells_count: int = 0
    filled_count: int = 0

    def add(self, title: str, number: int, cells_count: int, filled_count: int) -> None:
        """Count a row; more than what can be read in reasonable time is refused."""
        self.rows_count += 1
        self.cells_count += cells_count
        self.filled_count += filled_count
        if self.rows_count > MOST_ROWS or self.cells_count > MOST_SEEN or self.filled_count > MOST_FILLED:
            raise FileProblem(
                f"sheet {title!r} goes on at row {number:,}, after {self.filled_count:,} filled cells in "
                f"{self.rows_count:,} rows of input sheets; delete what is no input, or use a folder of CSV files"
            )


def _grid(sheet: Any, saved: Any, is_stale: Callable[[str], bool], seen: _Seen) -> Grid:
    if input_key(sheet.title) is None:
        return Grid(title=sheet.title, rows={})
    sheet.reset_dimensions()
    saved_rows: Iterator[Any] | None = None
    if saved is not None:
        saved.reset_dimensions()
        saved_rows = saved.iter_rows(max_row=LAST_ROW)
    rows: dict[int, dict[int, Cell]] = {}
    empty = 0
    for number, row in enumerate(sheet.iter_rows(max_row=LAST_ROW), start=1):
        saved_row = next(saved_rows) if saved_rows is not None else repeat(None)
        cells = {
            column: _cell(cell, last, is_stale)
            for column, (cell, last) in enumerate(zip(row[:MOST_COLUMNS], saved_row, strict=False), start=1)
            if _is_filled(cell.value)
        }
        seen.add(sheet.title, number, len(row), len(cells))
        empty = 0 if cells or not row else empty + 1
        if empty > MOST_EMPTY_ROWS:
            raise FileProblem(
                f"sheet {sheet.title!r} has {empty:,} formatted but empty rows up to row {number:,}; delete them"
            )
        if cells:
            rows[number] = cells
    return Grid(title=sheet.title, rows=rows)


def _is_filled(value: object) -> bool:
    return value is not None and not (isinstance(value, str) and not value.strip())


def _cell(cell: Any, saved: Any, is_stale: Callable[[str], bool]) -> Cell:
    value, formula = cell.value, ""
    if cell.data_type == "f":
        if saved is None:
            raise _FormulaFound
        formula = str(getattr(cell.value, "text", cell.value))
        value = saved.value
        if value is None or is_stale(formula):
            return Cell(value=formula, formula=formula, trouble="a formula not yet calculated", remedy=UNCALCULATED)
    return filled_cell(
        value, formula=formula, is_error=cell.data_type == "e", is_percent="%" in str(cell.number_format or "")
    )


def filled_cell(value: CellValue, *, formula: str = "", is_error: bool = False, is_percent: bool = False) -> Cell:
    """Return what stands in a filled cell, and why it cannot be used where it cannot.

    Parameters
    ----------
    value : a formula's value where there is one
    is_error, is_percent : whether it shows an error; whether it is formatted as a percentage
    """
    if is_error or (isinstance(value, str) and value.strip().upper() in ERROR_TEXTS):
        return Cell(
            value=str(value), formula=formula, trouble="an error value", remedy="mend the formula or type the value"
        )
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return long_text(value)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return Cell(value=value, is_percent=is_number and is_percent, formula=formula, caution=caution_about(formula))


def caution_about(formula: str) -> str:
    """Return why a formula's saved value may not be what the user sees tomorrow."""
    if VOLATILE.search(formula):
        return "it changes at every calculation"
    return "it reads another file" if "[" in formula and "]" in formula and "!" in formula else ""
