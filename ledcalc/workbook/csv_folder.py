"""A folder of CSV files as grids: one file a sheet, named by its key or title."""

from __future__ import annotations

import csv
import hashlib
import io
import os
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.workbook.grid import LONGEST_TEXT, Book, Cell, Grid, long_text
from ledcalc.workbook.layout import input_key
from ledcalc.workbook.package import file_bytes

__all__ = ["delimiter_of", "is_quoted", "read_csv_folder", "unquoted"]

# Of one file; filled cells are those of all input sheets together.
MOST_FILE_BYTES = 50_000_000
MOST_FILLED = 750_000
# What may start a formula in a spreadsheet; an apostrophe before it in a CSV file is taken off again.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def read_csv_folder(path: Path) -> Book:
    """Return the filled cells of every CSV file of a folder.

    Raises
    ------
    FileProblem: no CSV file in it, or one that cannot be read as UTF-8 text
    """
    try:
        entries = sorted(path.iterdir())
    except OSError as problem:
        raise FileProblem(f"{path}: cannot be read ({problem.strerror or problem})") from None
    files = [entry for entry in entries if entry.suffix.lower() == ".csv" and not entry.name.startswith(".")]
    if not files:
        raise FileProblem(f"{path}: holds no CSV file; `ledcalc blank {path.name}` makes a folder to fill in")
    digest = hashlib.sha256()
    grids, filled_count = [], 0
    for file in files:
        if input_key(file.stem) is None:
            grids.append(Grid(title=file.stem, rows={}))
            continue
        data = file_bytes(file, MOST_FILE_BYTES)
        digest.update(os.fsencode(file.name) + b"\0" + len(data).to_bytes(8, "big") + data)
        grids.append(_grid(file, data, MOST_FILLED - filled_count))
        filled_count += sum(map(len, grids[-1].rows.values()))
    return Book(name=path.name, sha256=digest.hexdigest(), grids=tuple(grids))


def _grid(file: Path, data: bytes, most_filled_count: int) -> Grid:
    try:
        data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise FileProblem(f"{file}: is not UTF-8 text (byte {problem.start}); save it as CSV UTF-8") from None
    if b"\0" in data:
        raise FileProblem(f"{file}: holds zero bytes, so it is no CSV text; save it as CSV UTF-8")
    rows: dict[int, dict[int, Cell]] = {}
    try:
        for number, row in enumerate(csv.reader(_lines(data), delimiter=delimiter_of(_first_line(data))), start=1):
            cells = {column: _cell(value) for column, value in enumerate(row, start=1) if value.strip()}
            if cells:
                rows[number] = cells
                most_filled_count -= len(cells)
            if most_filled_count < 0:
                raise FileProblem(f"{file}: more than {MOST_FILLED:,} filled cells in all; delete what is no input")
    except csv.Error as problem:
        raise FileProblem(f"{file}: is no CSV text ({problem})") from None
    return Grid(title=file.stem, rows=rows)


def _lines(data: bytes) -> io.TextIOWrapper:
    """Return a file's lines one after another: as one text, it would take four times its bytes."""
    return io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", newline="")


def _first_line(data: bytes) -> str:
    return next((line for line in _lines(data) if line.strip()), "")


def _cell(value: str) -> Cell:
    text = unquoted(value)
    return long_text(text) if len(text) > LONGEST_TEXT else Cell(value=text)


def delimiter_of(text: str) -> str:
    """Return what parts the columns: the commonest of comma, semicolon and tab in the first filled line."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max((",", ";", "\t"), key=first.count)


def unquoted(value: str) -> str:
    """Return a cell's text without the apostrophe that kept it from being a formula."""
    return value[1:] if is_quoted(value) else value


def is_quoted(value: str) -> bool:
    """Return whether a formula's start comes after one apostrophe or several."""
    return value[:1] == "'" and value.lstrip("'").startswith(FORMULA_STARTS)
