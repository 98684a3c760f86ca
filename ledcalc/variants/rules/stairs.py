"""Functions that go by steps, asked at few of many values; and rules that ask for some of a fixture's numbers only."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.fixture import Fixture

__all__ = ["ArrayInput", "array_inputs", "each_fixture", "stepwise", "with_numbers"]

Step = TypeVar("Step")


def stepwise(function: Callable[[float], Step], values: FloatArray) -> tuple[list[Step], NDArray[np.intp]]:
    """Return what a function gives, and which of it belongs to each value; values between two alike are alike.

    For functions that, as their argument grows, never come back to what they gave before.

    Examples
    --------
    >>> found, which = stepwise(lambda amps: amps > 2.0, np.array([3.0, 1.0, 5.0]))
    >>> [found[number] for number in which]
    [True, False, True]
    """
    different, where = np.unique(values, return_inverse=True)
    known: list[Step] = []
    number = np.full(different.size, -1)

    def ask(place: int) -> int:
        if number[place] < 0:
            step = function(float(different[place]))
            number[place] = known.index(step) if step in known else len(known)
            if number[place] == len(known):
                known.append(step)
        return int(number[place])

    waiting = [(0, different.size - 1)] if different.size else []
    while waiting:
        low, high = waiting.pop()
        if ask(low) == ask(high):
            number[low : high + 1] = number[low]
        elif high - low > 1:
            middle = (low + high) // 2
            waiting += [(low, middle), (middle, high)]
    return known, number[where]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArrayInput:
    """A number of a fixture that is an array of variants. ``row``: -1 in a form."""

    sheet: str
    row: int
    field: str
    values: NDArray[Any]


def array_inputs(fixture: Fixture) -> list[ArrayInput]:
    """Return every number of a fixture that varies."""
    found = []
    places: list[tuple[str, int, Any]] = [("fixture", -1, fixture), ("site", -1, fixture.site)]
    for sheet in (entry.name for entry in fields(fixture)):
        rows = getattr(fixture, sheet)
        places += [(sheet, row, entry) for row, entry in enumerate(rows)] if isinstance(rows, tuple) else []
    for sheet, row, entry in places:
        for name in (own.name for own in fields(entry)):
            value = getattr(entry, name)
            if isinstance(value, np.ndarray):
                found.append(ArrayInput(sheet=sheet, row=row, field=name, values=value))
    return found


def each_fixture(
    function: Callable[[Fixture], int], base: Fixture, inputs: list[ArrayInput], asked: Collection[str], count: int
) -> NDArray[np.intp]:
    """Return a function of the fixture for every variant, asked once for each set of the numbers that it reads.

    Parameters
    ----------
    function : what is wanted
    base : the fixture without arrays
    inputs : all that varies
    asked : which fields (``cables.one_way_length_m``) it reads of those that may
    count : how many variants
    """
    own = [entry for entry in inputs if f"{entry.sheet}.{entry.field}" in asked]
    if not own:
        return np.full(count, function(base))
    keys = list(zip(*(entry.values.tolist() for entry in own), strict=True))
    known = {key: function(with_numbers(base, own, key)) for key in set(keys)}
    return np.array([known[key] for key in keys], dtype=np.intp)


def with_numbers(base: Fixture, inputs: list[ArrayInput], values: tuple[Any, ...]) -> Fixture:
    """Return a fixture with a number in place of each of its inputs that vary."""
    changed: dict[str, Any] = {}
    rows: dict[str, dict[int, dict[str, Any]]] = {}
    for entry, value in zip(inputs, values, strict=True):
        if entry.sheet == "fixture":
            changed[entry.field] = value
        else:
            rows.setdefault(entry.sheet, {}).setdefault(entry.row, {})[entry.field] = value
    for sheet, own in rows.items():
        present = getattr(base, sheet)
        if -1 in own:
            changed[sheet] = replace(present, **own[-1])
        else:
            changed[sheet] = tuple(replace(row, **own.get(number, {})) for number, row in enumerate(present))
    return replace(base, **changed)
