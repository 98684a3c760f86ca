"""A folder of CSV files as grids: one file a sheet, named by its key or title."""

from __future__ import annotations

import csv
import hashlib
import io
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.workbook.grid import Book, Cell, Grid

__all__ = ["delimiter_of", "read_csv_folder", "unquoted"]

MOST_FILE_BYTES = 100_000_000
# What may start a formula in a spreadsheet; an apostrophe before it in a CSV file is taken off again.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def read_csv_folder(path: Path) -> Book:
    """Return the filled cells of every CSV file of a folder.

    Raises
    ------
    FileProblem: no CSV file in it, or one that cannot be read as UTF-8 text
    """
    files = sorted(
        entry for entry in path.iterdir() if entry.suffix.lower() == ".csv" and not entry.name.startswith(".")
    )
    if not files:
        raise FileProblem(f"{path}: holds no CSV file; `ledcalc blank {path.name}` makes a folder to fill in")
    digest = hashlib.sha256()
    grids = []
    for file in files:
        data = _bytes(file)
        digest.update(file.name.encode() + b"\0" + len(data).to_bytes(8, "big") + data)
        grids.append(_grid(file, data))
    return Book(name=path.name, sha256=digest.hexdigest(), grids=tuple(grids))


def _bytes(file: Path) -> bytes:
    try:
        if file.stat().st_size > MOST_FILE_BYTES:
            raise FileProblem(f"{file}: larger than {MOST_FILE_BYTES // 1_000_000} MB")
        return file.read_bytes()
    except OSError as problem:
        raise FileProblem(f"{file}: cannot be read ({problem.strerror or problem})") from None


def _grid(file: Path, data: bytes) -> Grid:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise FileProblem(f"{file}: is not UTF-8 text (byte {problem.start}); save it as CSV UTF-8") from None
    if "\0" in text:
        raise FileProblem(f"{file}: holds zero bytes, so it is no CSV text; save it as CSV UTF-8")
    rows: dict[int, dict[int, Cell]] = {}
    try:
        for number, row in enumerate(csv.reader(io.StringIO(text), delimiter=delimiter_of(text)), start=1):
            cells = {column: Cell(value=unquoted(value)) for column, value in enumerate(row, start=1) if value.strip()}
            if cells:
                rows[number] = cells
    except csv.Error as problem:
        raise FileProblem(f"{file}: is no CSV text ({problem})") from None
    return Grid(title=file.stem, rows=rows)


def delimiter_of(text: str) -> str:
    """Return what parts the columns: the commonest of comma, semicolon and tab in the first filled line."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max((",", ";", "\t"), key=first.count)


def unquoted(value: str) -> str:
    """Return a cell's text without the apostrophe that kept it from being a formula."""
    return value[1:] if value[:1] == "'" and value[1:2] in FORMULA_STARTS else value
