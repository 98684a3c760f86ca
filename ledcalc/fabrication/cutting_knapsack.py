"""Filling one stock length: the most valuable pattern, and all patterns that leave no room for another piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.fabrication.cutting_task import Pattern, Task

__all__ = ["Fill", "all_patterns", "best_fills"]

# Cells that a stock is divided into where its length in whole units is more than that.
CELL_COUNT = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """The best pattern found for one stock, its value, and a value that none exceeds."""

    pattern: Pattern
    value: float
    most: float


def best_fills(task: Task, values: Sequence[float], demand: Sequence[int] | None = None) -> list[Fill]:
    """Return the most valuable pattern of each stock, with one value a size (dynamic programming over the length).

    ``demand``: how many of each size may be taken, None: all there are.
    """
    wanted = task.demand if demand is None else demand
    cell = max(1, -(-max(task.room) // CELL_COUNT))
    room = [one // cell for one in task.room]
    kept, found = _table(values, wanted, [-(-size // cell) for size in task.sizes], max(room))
    # Sizes rounded down to cells can only hold too much: a bound, and the same table where a cell is a unit.
    most = found if cell == 1 else _table(values, wanted, [size // cell for size in task.sizes], max(room))[1]
    fills = []
    for stock, capacity in enumerate(room):
        pattern = (stock, _taken(kept, len(task.sizes), capacity))
        value = float(np.dot(values, pattern[1]))
        fills.append(Fill(pattern=pattern, value=value, most=max(value, float(most[capacity]))))
    return fills


def _table(
    values: Sequence[float], demand: Sequence[int], cells: Sequence[int], capacity: int
) -> tuple[list[tuple[int, int, int, NDArray[np.bool_]]], FloatArray]:
    """Best value within each capacity; and for each bundle of pieces of one size, where it was taken."""
    best = np.zeros(capacity + 1)
    kept = []
    for size, (cell_count, value) in enumerate(zip(cells, values, strict=True)):
        for bundle in _bundles(demand[size]):
            weight = bundle * cell_count
            if value <= 0.0 or weight > capacity:
                continue
            with_it = best[: capacity + 1 - weight] + bundle * value
            better = np.zeros(capacity + 1, dtype=bool)
            better[weight:] = with_it > best[weight:] + 1e-12
            best[weight:] = np.maximum(best[weight:], with_it)
            kept.append((size, bundle, weight, better))
    return kept, best


def _bundles(count: int) -> Iterator[int]:
    """Bundles 1, 2, 4 and so on that make up every number to ``count``."""
    bundle = 1
    while count > 0:
        yield min(bundle, count)
        count -= bundle
        bundle *= 2


def _taken(kept: Sequence[tuple[int, int, int, NDArray[np.bool_]]], size_count: int, capacity: int) -> tuple[int, ...]:
    counts = [0] * size_count
    for size, bundle, weight, better in reversed(kept):
        if better[capacity]:
            counts[size] += bundle
            capacity -= weight
    return tuple(counts)


def all_patterns(task: Task, at_most: int) -> list[Pattern] | None:
    """Return every pattern that leaves no room for another piece wanted, or None where there are too many to list."""
    found: list[Pattern] = []
    for stock, room in enumerate(task.room):
        if not task.limits[stock]:
            continue
        for steps, counts in enumerate(_fillings(task, room)):
            if steps > 20 * at_most or len(found) > at_most:
                return None
            left = room - sum(count * size for count, size in zip(counts, task.sizes, strict=True))
            wanted = zip(counts, task.demand, task.sizes, strict=True)
            if any(counts) and not any(count < most and size <= left for count, most, size in wanted):
                found.append((stock, counts))
    return found


def _fillings(task: Task, room: int) -> Iterator[tuple[int, ...]]:
    """Every choice of counts that fits, the last size always as often as it goes."""
    last = len(task.sizes) - 1
    stack: list[tuple[tuple[int, ...], int]] = [((), room)]
    while stack:
        counts, left = stack.pop()
        size = len(counts)
        if size > last:
            yield counts
            continue
        most = min(task.demand[size], left // task.sizes[size])
        choices = range(most if size == last else 0, most + 1)
        stack += [((*counts, count), left - count * task.sizes[size]) for count in choices]
