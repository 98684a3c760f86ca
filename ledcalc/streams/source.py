"""A file of variants: its columns, how many variants it comes to, and these in blocks."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from itertools import count as count_from
from pathlib import Path

from ledcalc.errors import CellProblem, FileProblem
from ledcalc.schema import CellValue, sheet
from ledcalc.streams.files import file_rows, first_rows
from ledcalc.variants.varied import rows_at_a_time
from ledcalc.workbook.grid import Cell, Grid, coordinate
from ledcalc.workbook.layout import ROWS_SEARCHED, FoundRow, find_header
from ledcalc.workbook.multiplied import Choices, combination, combinations_count
from ledcalc.workbook.variant_rows import Targets, multiplied, name_of, targets_of, twice

__all__ = ["Columns", "RawVariant", "Source", "open_source"]

NAME_BYTES = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """A file's columns that are used: title of the file for places, and of each its header, number and unit."""

    title: str
    names: tuple[str, ...]
    numbers: tuple[int, ...]
    units: tuple[str, ...]

    def found(self, number: int, cells: Sequence[CellValue]) -> FoundRow:
        """Return a row as those of sheets are."""
        letters = _letters(self.numbers)
        return FoundRow(
            cells={
                name: None if cell == "" else Cell(value=cell) for name, cell in zip(self.names, cells, strict=True)
            },
            places={name: f"{letter}{number}" for name, letter in zip(self.names, letters, strict=True)},
            units=dict(zip(self.names, self.units, strict=True)),
        )

    def picked(self, row: Sequence[CellValue]) -> list[CellValue]:
        """Return a row's cells in these columns."""
        return [row[number - 1] if number <= len(row) else "" for number in self.numbers]


@lru_cache
def _letters(numbers: tuple[int, ...]) -> tuple[str, ...]:
    return tuple(coordinate(0, number)[:-1] for number in numbers)


@dataclass(frozen=True, slots=True)
class RawVariant:
    """One variant as it stands in its file: row, name, one value a column; ``problem``: what is known to be wrong."""

    row: int
    name: str
    cells: Sequence[CellValue]
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A file of variants. ``is_multiplied``: whether any of its cells holds a list or a range."""

    path: Path
    columns: Columns
    first_row: int
    variants_count: int
    is_multiplied: bool
    sha256: str

    @property
    def targets(self) -> Targets:
        """What each column is headed by."""
        return targets_of(self.columns.names)

    @property
    def unknown(self) -> list[str]:
        """What is wrong with the columns that head no input."""
        return [target for target in self.targets.values() if isinstance(target, str)]

    @property
    def block_size_count(self) -> int:
        """How many variants make a block."""
        return rows_at_a_time(target[0] for target in self.targets.values() if not isinstance(target, str))

    @property
    def blocks_count(self) -> int:
        """How many blocks there are."""
        return -(-self.variants_count // self.block_size_count)

    def blocks(self) -> Iterator[list[RawVariant]]:
        """Yield the variants in blocks, always the same ones; a name that stood before is marked."""
        most, seen, block = self.block_size_count, set[bytes](), list[RawVariant]()
        for variant in self._variants():
            key = blake2b(variant.name.encode(), digest_size=NAME_BYTES).digest()
            is_twice = bool(variant.name) and key in seen
            seen.add(key)
            block.append(
                RawVariant(variant.row, variant.name, variant.cells, twice(variant.name)) if is_twice else variant
            )
            if len(block) == most:
                yield block
                block = []
        if block:
            yield block

    def _variants(self) -> Iterator[RawVariant]:
        place = {name: number for number, name in enumerate(self.columns.names)}
        for number, cells, name, choices in _rows(self.path, self.columns, self.first_row):
            count = combinations_count(choices) if choices else 1
            if count == 1:
                yield RawVariant(number, name, cells)
                continue
            for which in range(count):
                own = list(cells)
                for text, value in combination(choices, which).items():
                    own[place[text]] = value
                yield RawVariant(number, name_of(name, which, count), own)


def open_source(path: Path) -> Source:
    """Read a file of variants through once: its columns, what it comes to, its hash.

    Raises
    ------
    FileProblem: it cannot be read, or has no column of names
    """
    rows = first_rows(path, ROWS_SEARCHED)
    grid = Grid(title=path.stem, rows={number: _cells(row) for number, row in rows})
    problems: list[CellProblem] = []
    header = find_header(grid, sheet("variants"), problems, extra=True)
    if header is None or problems:
        raise FileProblem(f"{path}: " + "; ".join(str(problem) for problem in problems))
    columns = Columns(
        title=path.stem,
        names=tuple(header.columns.values()),
        numbers=tuple(header.columns),
        units=tuple(header.units.get(column, "") for column in header.columns),
    )
    first_row, total, filled = (header.unit_row or header.row) + 1, 0, 0
    for _, _, _, choices in _rows(path, columns, first_row):
        total += combinations_count(choices) if choices else 1
        filled += 1
    if not filled:
        raise FileProblem(f"{path}: holds no variant; add a row a variant under the headers")
    return Source(
        path=path,
        columns=columns,
        first_row=first_row,
        variants_count=total,
        is_multiplied=total > filled,
        sha256=_digest(path),
    )


def _rows(
    path: Path, columns: Columns, first_row: int
) -> Iterator[tuple[int, list[CellValue], str, dict[str, Choices]]]:
    """Yield each filled row: its number, cells, name, and its choices where any cell may hold a list or a range."""
    targets, named = targets_of(columns.names), columns.names.index("variant")
    for number, row in file_rows(path):
        if number < first_row:
            continue
        cells = columns.picked(row)
        if not any(cell != "" for cell in cells):
            continue
        if any(isinstance(cell, str) and (";" in cell or " by " in cell.lower()) for cell in cells):
            name, choices = multiplied(columns.found(number, cells), targets)
        else:
            name, choices = str(cells[named]).strip(), {}
        yield number, cells, name, choices


def _cells(row: Sequence[CellValue]) -> dict[int, Cell]:
    return {column: Cell(value=value) for column, value in zip(count_from(1), row, strict=False) if value != ""}


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
