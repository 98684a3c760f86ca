"""Which of many points no other betters in everything: the Pareto set, its layers, and who dominates whom."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError

__all__ = ["ParetoLayers", "on_pareto_front", "pareto_layers"]

IndexArray: TypeAlias = NDArray[np.intp]
BoolArray: TypeAlias = NDArray[np.bool_]
# Points looked at together: few enough that a comparison of all pairs stays in the processor's cache.
BLOCK = 256
FAR = 1e9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ParetoLayers:
    """An entry a point. ``layer``: 1 for the Pareto set, 2 for what is left without it, ...; 0 for points with a NaN.

    ``dominated_by``: the point of the Pareto set that dominates it and is nearest to it, each objective counted by its
    range; -1 for points of the set, and for points with a NaN.
    """

    layer: IndexArray
    dominated_by: IndexArray


def on_pareto_front(values: ArrayLike) -> BoolArray:
    """Return which points no other point dominates: as low in every objective, and lower in one.

    Parameters
    ----------
    values : shape (points, objectives), each the lower the better; a point with a NaN is not judged, and not on the
        front

    Returns
    -------
    one truth value a point; points alike in everything are on the front together

    Raises
    ------
    ArgumentError (a ValueError): not a table of numbers

    Examples
    --------
    >>> on_pareto_front([[1, 5], [2, 2], [3, 3], [2, 2]]).tolist()
    [True, True, False, True]
    """
    table = _table(values)
    judged = np.flatnonzero(~np.isnan(table).any(axis=1))
    found = np.zeros(len(table), dtype=bool)
    found[judged[_front(table[judged])]] = True
    return found


def pareto_layers(values: ArrayLike) -> ParetoLayers:
    """Return the layer of every point, and for dominated ones a point of the Pareto set that dominates it.

    Parameters
    ----------
    values : as ``on_pareto_front``

    Returns
    -------
    ParetoLayers

    Raises
    ------
    ArgumentError (a ValueError): not a table of numbers

    Validity
    --------
    A point's layer is one more than the highest of those that dominate it. All pairs are compared, in blocks: memory
    stays small, and time goes with the square of the points.

    Examples
    --------
    >>> layers = pareto_layers([[1, 5], [2, 2], [3, 3], [4, float("nan")]])
    >>> layers.layer.tolist(), layers.dominated_by.tolist()
    ([1, 1, 2, 0], [-1, -1, 1, -1])
    """
    table = _table(values)
    layer = np.zeros(len(table), dtype=np.intp)
    judged = np.flatnonzero(~np.isnan(table).any(axis=1))
    order = judged[_rising(table[judged])]
    for start in range(0, order.size, BLOCK):
        block = order[start : start + BLOCK]
        # Whatever dominates a point stands before it in rising order.
        highest = np.zeros(block.size, dtype=np.intp)
        for first in range(0, start, BLOCK):
            before = order[first : first + BLOCK]
            above = _dominance(table[block], table[before])
            highest = np.maximum(highest, np.where(above, layer[before], 0).max(axis=1))
        within = _dominance(table[block], table[block])
        for number, point in enumerate(block):
            layer[point] = 1 + max(highest[number], layer[block[within[number]]].max(initial=0))
    return ParetoLayers(layer=layer, dominated_by=_dominators(table, layer))


def _table(values: ArrayLike) -> FloatArray:
    table = np.asarray(values, dtype=float)
    if table.ndim != 2 or table.shape[1] == 0:
        raise ArgumentError("values", table.shape, "a row a point, a column an objective")
    # Minus zero and zero are one number.
    return table + 0.0


def _rising(table: FloatArray) -> IndexArray:
    """Return the order by the first objective, those alike by the second, and so on."""
    return np.lexsort(table.T[::-1])


def _front(table: FloatArray) -> IndexArray:
    """Return the places of the Pareto set: block by block in rising order, each against the set so far and itself."""
    order = _rising(table)
    front = np.empty(0, dtype=np.intp)
    for start in range(0, len(order), BLOCK):
        block = order[start : start + BLOCK]
        for first in range(0, len(front), BLOCK):
            block = block[~_dominated(table[block], table[front[first : first + BLOCK]])]
        front = np.concatenate([front, block[~_dominated(table[block], table[block])]])
    return front


def _dominated(points: FloatArray, by: FloatArray) -> BoolArray:
    """Return which points one of the others dominates."""
    return np.asarray(_dominance(points, by).any(axis=1))


def _dominance(points: FloatArray, by: FloatArray) -> BoolArray:
    """Return for each point (rows) which of the others (columns) dominate it."""
    no_worse = np.ones((len(points), len(by)), dtype=bool)
    better = np.zeros_like(no_worse)
    for own, other in zip(points.T, by.T, strict=True):
        no_worse &= other <= own[:, None]
        better |= other < own[:, None]
    return no_worse & better


def _dominators(table: FloatArray, layer: IndexArray) -> IndexArray:
    """Return for each dominated point the nearest point of the Pareto set that dominates it, -1 for the others."""
    found = np.full(len(table), -1, dtype=np.intp)
    front, lower = np.flatnonzero(layer == 1), np.flatnonzero(layer > 1)
    if not lower.size:
        return found
    judged = table[layer > 0]
    finite = np.where(np.isfinite(judged), judged, np.nan)
    spread = np.nanmax(finite, axis=0, initial=-np.inf) - np.nanmin(finite, axis=0, initial=np.inf)
    scale = np.where(np.isfinite(spread) & (spread > 0), spread, 1.0)
    for start in range(0, lower.size, BLOCK):
        block = lower[start : start + BLOCK]
        above = _dominance(table[block], table[front])
        distance = np.zeros(above.shape)
        for own, other, width in zip(table[block].T, table[front].T, scale, strict=True):
            with np.errstate(invalid="ignore"):
                apart = np.abs(own[:, None] - other) / width
            # Two infinities are no distance apart, and an infinity is far from any number.
            distance += np.where(own[:, None] == other, 0.0, np.minimum(apart, FAR))
        found[block] = front[np.where(above, distance, np.inf).argmin(axis=1)]
    return found
