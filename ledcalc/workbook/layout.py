"""Finds a sheet's fields in its grid: headers by name in any order, the units, the rows that hold data."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from ledcalc.errors import ArgumentError, CellProblem
from ledcalc.schema import CellValue, Field, Sheet, sheet, sheets
from ledcalc.units import unit
from ledcalc.workbook.grid import Cell, Grid, coordinate, echo

__all__ = ["MOST_GUESSES", "FoundRow", "Header", "data_rows", "find_header", "form_row", "input_key", "plain"]

# A header stands within the first filled rows; above it there may be a title and hints.
ROWS_SEARCHED = 15
# Nearest names are looked for so many times in a sheet: of more there is something else wrong with it.
MOST_GUESSES = 200
MOST_FORM_ROWS = 5_000
_UNIT_IN_HEADER = re.compile(r"^(.*)[\[(]([^\[\]()]+)[\])]$")


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


def input_key(title: str) -> str | None:
    """Return the key of the input sheet that a title names, None where it names none: such a sheet is not read."""
    return _keys().get(plain(title))


@cache
def _keys() -> dict[str, str]:
    return {plain(name): part.key for part in sheets() for name in (part.title, part.key)}


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
        problems.append(_problem(grid, "", "", "", "no header row found", f"a row with {wanted}", _if_own(part)))
        return None
    columns: dict[int, str] = {}
    units: dict[int, str] = {}
    for column, cell in grid.rows[best].items():
        field = _field_of(cell.value, part)
        name = field.name if field else str(cell.value).strip()
        if field is None and not extra:
            problems.append(_unknown(grid, coordinate(best, column), cell.value, part, guess=column <= MOST_GUESSES))
        elif name in columns.values():
            problems.append(
                _problem(
                    grid,
                    coordinate(best, column),
                    name,
                    echo(cell.value),
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
            {column: _unit_text(cell.value) for column, cell in grid.rows[unit_row].items() if column in columns}
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
        wanted = "a row with Field, Value and Unit"
        problems.append(_problem(grid, "", "", "", "no header row found", wanted, _if_own(part)))
        return None
    start, field_column, value_column, unit_column = header
    cells: dict[str, Cell | None] = {}
    places: dict[str, str] = {}
    units: dict[str, str] = {}
    for row, entries in _form_rows(grid, header, problems):
        if field_column not in entries:
            value = entries[value_column].value
            problems.append(
                _problem(
                    grid,
                    coordinate(row, value_column),
                    "",
                    echo(value),
                    "a value without a field name",
                    "a field name beside it",
                )
            )
            continue
        field = _field_of(entries[field_column].value, part)
        if field is None:
            place, text = coordinate(row, field_column), entries[field_column].value
            problems.append(_unknown(grid, place, text, part, guess=row <= start + MOST_GUESSES))
        elif field.name in cells:
            problems.append(
                _problem(
                    grid, coordinate(row, field_column), field.label, "", "this field stands twice", "each field once"
                )
            )
        else:
            cells[field.name] = entries.get(value_column)
            places[field.name] = coordinate(row, value_column)
            units[field.name] = _unit_text(entries[unit_column].value) if unit_column in entries else ""
    return FoundRow(cells=cells, places=places, units=units)


def _if_own(part: Sheet) -> str:
    """Return what to do with a sheet that only happens to bear the title of an input sheet."""
    return "" if part.required else "this title belongs to ledcalc's own sheet: rename yours"


def _form_rows(
    grid: Grid, header: tuple[int, int, int, int], problems: list[CellProblem]
) -> Iterator[tuple[int, Mapping[int, Cell]]]:
    """Yield the rows of a form that have a field or a value, as long as it is one."""
    start, field_column, value_column, _ = header
    for row, entries in grid.rows.items():
        if row > start + MOST_FORM_ROWS:
            words = "more rows than a form has", "one row a field", "take out the rows from here on"
            problems.append(_problem(grid, coordinate(row, field_column), "", "", *words))
            return
        if row > start and {field_column, value_column} & set(entries):
            yield row, entries


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
    are_units = any(isinstance(value, str) for value in filled) and all(_is_unit(value) for value in filled)
    return row if are_units else None


def _unit_text(value: object) -> str:
    """Return a unit as text: a spreadsheet makes the number 1 of the unit of shares."""
    return "1" if value == 1 and not isinstance(value, bool) else str(value).strip()


def _is_unit(value: object) -> bool:
    words = _unit_text(value)
    if not words or (words[0].isdigit() and words != "1" and not words.startswith("1/")):
        return False
    try:
        unit(words)
    except ArgumentError:
        return False
    return True


def _unknown(grid: Grid, cell: str, value: CellValue, part: Sheet, *, guess: bool) -> CellProblem:
    near = get_close_matches(str(value), [field.label for field in part.fields], n=1, cutoff=0.3) if guess else []
    remedy = f"nearest: {near[0]}" if near else "take it out"
    return _problem(grid, cell, "", echo(value), "unknown field", _labels(part.key), remedy)


@cache
def _labels(key: str) -> str:
    return ", ".join(field.label for field in sheet(key).fields)


def _problem(
    grid: Grid, cell: str, field: str, value: str, problem: str, allowed: str, remedy: str = ""
) -> CellProblem:
    return CellProblem(
        sheet=grid.title, cell=cell, field=field, value=value, problem=problem, allowed=allowed, remedy=remedy
    )
