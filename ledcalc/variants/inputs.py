"""Variants as columns: each input that any of them changes, with the base's value where one does not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.errors import ArgumentError
from ledcalc.fixture import Fixture
from ledcalc.records import checked_value, parse_path, records_from_fixture
from ledcalc.schema import Value, default_value, sheet
from ledcalc.variants.rows import Variant

__all__ = ["Base", "Columns", "columns_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Base:
    """What all variants start from: the fixture without its bench readings, which say nothing of a variant."""

    fixture: Fixture
    records: Mapping[str, Sequence[Mapping[str, Value | None]]]
    known: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, fixture: Fixture) -> Base:
        """Return the base of a fixture."""
        plain = replace(fixture, current_log=(), light_readings=(), light_grids=(), light_rings=())
        return cls(fixture=plain, records=records_from_fixture(plain))

    def cells(self, path: str) -> tuple[str, ...]:
        """Return the paths of the single inputs that a path stands for: ``cables.size`` is one a row.

        Raises
        ------
        ArgumentError (a ValueError): unknown path, or a row that the sheet does not have
        """
        if path not in self.known:
            key, row, name = parse_path(path, self.records)
            rows = range(len(self.records[key])) if row is None else [row]
            is_form = sheet(key).shape == "form"
            self.known[path] = tuple(f"{key}.{name}" if is_form else f"{key}[{number}].{name}" for number in rows)
        return self.known[path]

    def value(self, cell: str) -> Value | None:
        """Return what the base has in a single input."""
        key, row, name = parse_path(cell, self.records)
        return self.records[key][row or 0][name]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Columns:
    """Variants by columns. ``problems``: why one can't be computed, empty where it can; ``cells``: path of a single
    input -> its values, an entry a variant."""

    names: Sequence[str]
    problems: list[str]
    cells: Mapping[str, NDArray[Any]]


def columns_of(base: Base, variants: Sequence[Variant]) -> Columns:
    """Return variants as columns; one with a change that no input takes carries the reason."""
    problems = [variant.problem for variant in variants]
    given: dict[str, dict[int, Value | None]] = {}
    for number, variant in enumerate(variants):
        if problems[number]:
            continue
        try:
            own = {cell: value for path, value in variant.changes.items() for cell, value in _set(base, path, value)}
        except ArgumentError as problem:
            problems[number] = str(problem)
            continue
        for cell, value in own.items():
            given.setdefault(cell, {})[number] = value
    cells = {cell: filled(base.value(cell), values, len(variants)) for cell, values in given.items()}
    return Columns(names=[variant.name for variant in variants], problems=problems, cells=cells)


def _set(base: Base, path: str, value: Value | None) -> list[tuple[str, Value | None]]:
    cells = base.cells(path)
    cleaned = checked_value(path, value)
    if cleaned is None:
        key, _, name = parse_path(path, base.records)
        cleaned = default_value(sheet(key).field(name))
    return [(cell, cleaned) for cell in cells]


def filled(present: Value | None, given: Mapping[int, Value | None], count: int) -> NDArray[Any]:
    """Return a column with some values given and the base's in all other variants; floats where all are numbers."""
    column: NDArray[Any] = np.full(count, present, dtype=object)
    column[list(given)] = list(given.values())
    return as_numbers(column)


def as_numbers(column: NDArray[Any]) -> NDArray[Any]:
    """Return a column of numbers as floats, any other as it is."""
    if all(isinstance(value, int | float) for value in column.tolist()):
        return column.astype(float)
    return column
