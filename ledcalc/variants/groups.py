"""Variants of one structure: found in a block of rows, each structure prepared once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.schema import Value
from ledcalc.variants.inputs import Base, Columns
from ledcalc.variants.varied import may_vary

__all__ = ["Group", "groups_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """Some rows of a block: what they have in common, and what varies within them, an entry a row."""

    rows: NDArray[np.intp]
    fixed: Mapping[str, Value | None]
    arrays: Mapping[str, NDArray[Any]]

    def only(self, numbers: NDArray[np.intp]) -> Group:
        """Return some of the rows, by their numbers within the group."""
        if numbers.size == self.rows.size:
            return self
        arrays = {cell: values[numbers] for cell, values in self.arrays.items()}
        return Group(rows=self.rows[numbers], fixed=self.fixed, arrays=arrays)

    def changes(self, number: int) -> dict[str, Value | None]:
        """Return one row's inputs that differ from the base's, or may."""
        return {**self.fixed, **{cell: _plain(values[number]) for cell, values in self.arrays.items()}}


def groups_of(base: Base, columns: Columns) -> list[Group]:
    """Return the rows that can be computed, in groups of one structure; no input is named that nobody changed."""
    rows = np.array([number for number, problem in enumerate(columns.problems) if not problem], dtype=np.intp)
    cells = {cell: values[rows] for cell, values in columns.cells.items()}
    cells = {cell: values for cell, values in cells.items() if _differs(values, base.value(cell))}
    varied = {cell: values for cell, values in cells.items() if may_vary(cell, values)}
    fixed = {cell: values for cell, values in cells.items() if cell not in varied}
    return [
        Group(
            rows=rows[own],
            fixed={cell: _plain(values[own[0]]) for cell, values in fixed.items()},
            arrays={cell: values[own] for cell, values in varied.items()},
        )
        for own in _alike(list(fixed.values()), rows.size)
    ]


def _differs(values: NDArray[Any], present: Value | None) -> bool:
    return any(value != present for value in set(values.tolist()))


def _alike(columns: Sequence[NDArray[Any]], count: int) -> list[NDArray[np.intp]]:
    """Return the numbers of the rows that have the same in every column, group by group."""
    if not count:
        return []
    code = np.zeros(count, dtype=np.intp)
    for column in columns:
        known: dict[Any, int] = {}
        own = np.array([known.setdefault(value, len(known)) for value in column.tolist()])
        _, code = np.unique(code * len(known) + own, return_inverse=True)
    order = np.argsort(code, kind="stable")
    return np.split(order, np.cumsum(np.bincount(code))[:-1])


def _plain(value: Any) -> Value | None:
    plain: Value | None = value.item() if isinstance(value, np.generic) else value
    return plain
