"""Finds a sheet's fields in its grid: headers by name in any order, the units, the rows that hold data."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from ledcalc.errors import ArgumentError, CellProblem
from ledcalc.schema import Field, Sheet
from ledcalc.units import unit
from ledcalc.workbook.grid import Cell, Grid, coordinate

__all__ = ["FoundRow", "Header", "data_rows", "find_header", "form_row", "plain"]

# A header stands within the first filled rows; above it there may be a title and hints.
ROWS_SEARCHED = 15
_UNIT_IN_HEADER = re.compile(r"^(.*?)\s*[\[(]([^\[\]()]+)[\])]$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """Where a table's columns are: the header row, the unit row if any, and per column its field's name and unit."""

    row: int
    unit_row: int | None
    columns: Mapping[int, str]
    units: Mapping[int, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundRow:
    """One record as it stands in the sheet: per field name its cell (None if blank), address and unit text."""

    cells: Mapping[str, Cell | None]
    places: Mapping[str, str]
    units: Mapping[str, str]


def plain(text: object) -> str:
    """Return a label as it is compared: case, spaces and a trailing mark set aside."""
    return " ".join(str(text).casefold().replace("\N{NO-BREAK SPACE}", " ").split()).rstrip("*: ").strip()


def find_header(grid: Grid, part: Sheet, problems: list[CellProblem], *, extra: bool = False) -> Header | None:
    """Return a table's header, None (and a problem) where there is none.

    ``extra``: further columns are the caller's business; they are returned under their own text.
    """
    best, known = None, 0
    for row in list(grid.rows)[:ROWS_SEARCHED]:
        hits = sum(_field_of(cell.value, part) is not None for cell in grid.rows[row].values())
        if hits > known:
            best, known = row, hits
    if best is None:
        wanted = ", ".join(field.label for field in part.fields if field.required)
        problems.append(_problem(grid, "", "", "", "no header row found", f"a row with {wanted}"))
        return None
    columns: dict[int, str] = {}
    units: dict[int, str] = {}
    for column, cell in grid.rows[best].items():
        field = _field_of(cell.value, part)
        name = field.name if field else str(cell.value).strip()
        if field is None and not extra:
            problems.append(_unknown(grid, coordinate(best, column), cell.value, part))
        elif name in columns.values():
            problems.append(
                _problem(
                    grid,
                    coordinate(best, column),
                    name,
                    str(cell.value),
                    "this column stands twice",
                    "each column once",
                )
            )
        else:
            columns[column] = name
            units[column] = _header_unit(cell.value, part)
    unit_row = _unit_row(grid, best, columns)
    if unit_row is not None:
        units.update(
            {column: str(cell.value).strip() for column, cell in grid.rows[unit_row].items() if column in columns}
        )
    return Header(row=best, unit_row=unit_row, columns=columns, units=units)


def data_rows(grid: Grid, header: Header) -> Iterator[FoundRow]:
    """Yield the table's filled rows in order."""
    column_of = {name: column for column, name in header.columns.items()}
    units = {name: header.units.get(column, "") for name, column in column_of.items()}
    for row, cells in grid.rows.items():
        if row <= (header.unit_row or header.row) or not any(column in cells for column in header.columns):
            continue
        yield FoundRow(
            cells={name: cells.get(column) for name, column in column_of.items()},
            places={name: coordinate(row, column) for name, column in column_of.items()},
            units=units,
        )


def form_row(grid: Grid, part: Sheet, problems: list[CellProblem]) -> FoundRow | None:
    """Return a form's one record: a field a row, under a header with Field, Value and Unit."""
    header = _form_header(grid)
    if header is None:
        problems.append(_problem(grid, "", "", "", "no header row found", "a row with Field, Value and Unit"))
        return None
    start, field_column, value_column, unit_column = header
    cells: dict[str, Cell | None] = {}
    places: dict[str, str] = {}
    units: dict[str, str] = {}
    for row, entries in grid.rows.items():
        if row <= start or not ({field_column, value_column} & set(entries)):
            continue
        if field_column not in entries:
            value = entries[value_column].value
            problems.append(
                _problem(
                    grid,
                    coordinate(row, value_column),
                    "",
                    str(value),
                    "a value without a field name",
                    "a field name beside it",
                )
            )
            continue
        field = _field_of(entries[field_column].value, part)
        if field is None:
            problems.append(_unknown(grid, coordinate(row, field_column), entries[field_column].value, part))
        elif field.name in cells:
            problems.append(
                _problem(
                    grid, coordinate(row, field_column), field.label, "", "this field stands twice", "each field once"
                )
            )
        else:
            cells[field.name] = entries.get(value_column)
            places[field.name] = coordinate(row, value_column)
            units[field.name] = str(entries[unit_column].value).strip() if unit_column in entries else ""
    return FoundRow(cells=cells, places=places, units=units)


def _form_header(grid: Grid) -> tuple[int, int, int, int] | None:
    for row in list(grid.rows)[:ROWS_SEARCHED]:
        names = {plain(cell.value): column for column, cell in grid.rows[row].items()}
        if "field" in names and "value" in names:
            return row, names["field"], names["value"], names.get("unit", 0)
    return None


def _field_of(text: object, part: Sheet) -> Field | None:
    words = plain(text)
    for candidate in (words, plain(match.group(1)) if (match := _UNIT_IN_HEADER.match(words)) else words):
        for field in part.fields:
            if candidate in {plain(field.label), field.name}:
                return field
    return None


def _header_unit(text: object, part: Sheet) -> str:
    """Return the unit in brackets behind a header such as ``Current (mA)``; brackets of the label itself are none."""
    match = _UNIT_IN_HEADER.match(" ".join(str(text).split()))
    if match is None or any(plain(text) == plain(field.label) for field in part.fields):
        return ""
    return match.group(2).strip()


def _unit_row(grid: Grid, header_row: int, columns: Mapping[int, str]) -> int | None:
    """Return the row under the header if all that stands in it spells units."""
    row = next((number for number in grid.rows if number > header_row), None)
    if row is None:
        return None
    filled = [cell.value for column, cell in grid.rows[row].items() if column in columns]
    return row if filled and all(isinstance(value, str) and _is_unit(value) for value in filled) else None


def _is_unit(text: str) -> bool:
    words = text.strip()
    if not words or (words[0].isdigit() and words != "1" and not words.startswith("1/")):
        return False
    try:
        unit(words)
    except ArgumentError:
        return False
    return True


def _unknown(grid: Grid, cell: str, value: object, part: Sheet) -> CellProblem:
    labels = [field.label for field in part.fields]
    near = get_close_matches(str(value), labels, n=1, cutoff=0.3)
    return _problem(
        grid, cell, "", str(value), "unknown field", ", ".join(labels), f"nearest: {near[0]}" if near else "take it out"
    )


def _problem(
    grid: Grid, cell: str, field: str, value: str, problem: str, allowed: str, remedy: str = ""
) -> CellProblem:
    return CellProblem(
        sheet=grid.title, cell=cell, field=field, value=value, problem=problem, allowed=allowed, remedy=remedy
    )
