"""A workbook's sheets as grids, through openpyxl, read-only."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ledcalc.errors import FileProblem
from ledcalc.schema import CellValue
from ledcalc.workbook.grid import Book, Cell, Grid
from ledcalc.workbook.package import checked_bytes

__all__ = ["caution_about", "filled_cell", "read_xlsx", "saved_values"]

MOST_FILLED_ROWS = 250_000
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

    A cell with a formula counts by the value that the spreadsheet last saved; where it saved none, the cell is in
    trouble.

    Raises
    ------
    FileProblem: as ``package.checked_bytes``, or the workbook cannot be parsed
    """
    data, digest = checked_bytes(path)
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        recalculates = RECALCULATES.search(package.read("xl/workbook.xml")) is not None
    try:
        grids = tuple(_grid(sheet, None, recalculates) for sheet in _load(data, data_only=False).worksheets)
        if any(cell.from_formula for grid in grids for row in grid.rows.values() for cell in row.values()):
            # A second pass for the values that the spreadsheet last saved beside its formulas.
            written, saved = (_load(data, data_only=only) for only in (False, True))
            grids = tuple(_grid(sheet, saved[sheet.title], recalculates) for sheet in written.worksheets)
    except FileProblem:
        raise
    except Exception as problem:
        # Whatever the parser trips over in a damaged or foreign file: the user needs the file named, not the parser.
        raise FileProblem(
            f"{path}: cannot be read as a workbook ({type(problem).__name__}: {problem}); save it again as .xlsx"
        ) from None
    return Book(name=path.name, sha256=digest, grids=grids)


def saved_values(path: Path) -> dict[str, Grid]:
    """Return the cells of every worksheet by its title, formulas by their saved values alone.

    Raises
    ------
    FileProblem: as ``package.checked_bytes``
    """
    data, _ = checked_bytes(path)
    return {sheet.title: _grid(sheet, None, False) for sheet in _load(data, data_only=True).worksheets}


def _load(data: bytes, *, data_only: bool) -> Any:
    import warnings

    import openpyxl

    if not openpyxl.DEFUSEDXML:
        raise FileProblem(
            "defusedxml is not in effect; unset OPENPYXL_DEFUSEDXML and install ledcalc with its dependencies"
        )
    with warnings.catch_warnings():
        # openpyxl warns of parts it does not keep; nothing is saved through it here.
        warnings.simplefilter("ignore")
        return openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=data_only, keep_links=False)


def _grid(sheet: Any, saved: Any, recalculates: bool) -> Grid:
    sheet.reset_dimensions()
    saved_rows: Iterator[Any] | None = None
    if saved is not None:
        saved.reset_dimensions()
        saved_rows = saved.iter_rows()
    rows: dict[int, dict[int, Cell]] = {}
    empty = 0
    for number, row in enumerate(sheet.iter_rows(), start=1):
        saved_row = next(saved_rows) if saved_rows is not None else row
        cells = {
            column: _cell(cell, last, recalculates)
            for column, (cell, last) in enumerate(zip(row[:MOST_COLUMNS], saved_row, strict=False), start=1)
            if _is_filled(cell.value)
        }
        empty = 0 if cells or not row else empty + 1
        if empty > MOST_EMPTY_ROWS:
            raise FileProblem(
                f"sheet {sheet.title!r} has {empty:,} formatted but empty rows up to row {number:,}; delete them"
            )
        if cells:
            rows[number] = cells
            if len(rows) > MOST_FILLED_ROWS:
                raise FileProblem(f"sheet {sheet.title!r} has more than {MOST_FILLED_ROWS:,} filled rows")
    return Grid(title=sheet.title, rows=rows)


def _is_filled(value: object) -> bool:
    return value is not None and not (isinstance(value, str) and not value.strip())


def _cell(cell: Any, saved: Any, recalculates: bool) -> Cell:
    value, formula = cell.value, ""
    if cell.data_type == "f":
        formula = str(getattr(cell.value, "text", cell.value))
        value = saved.value if saved is not None else None
        if value is None or recalculates:
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
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return Cell(value=value, is_percent=is_number and is_percent, formula=formula, caution=caution_about(formula))


def caution_about(formula: str) -> str:
    """Return why a formula's saved value may not be what the user sees tomorrow."""
    if VOLATILE.search(formula):
        return "it changes at every calculation"
    return "it reads another file" if "[" in formula and "]" in formula and "!" in formula else ""
