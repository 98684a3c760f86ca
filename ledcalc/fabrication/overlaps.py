"""Which flat boards, however turned and tilted, are in each other's way, and how far one has to move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["Overlap", "overlapping_boards"]

IndexArray: TypeAlias = NDArray[np.intp]
# Boards that touch are apart; an axis shorter than this is none.
TOUCHING_M = 1e-6
LEAST_AXIS = 1e-6
# Hundreds of boards on one heap: the first pairs say enough.
MOST_PAIRS = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """Two boards in each other's way, by their numbers; m.

    ``depth_m``: the shortest level way by which the second has to move to be clear of the first, ``along_x_m`` and
    ``along_y_m`` that way itself.
    """

    first: int
    second: int
    depth_m: float
    along_x_m: float
    along_y_m: float


def overlapping_boards(
    centres_m: ArrayLike, axes: ArrayLike, sizes_m: ArrayLike, *, thickness_m: float
) -> tuple[Overlap, ...]:
    """Return every pair of boards whose bodies overlap, the deepest first.

    Parameters
    ----------
    centres_m : m, shape (boards, 3): middles of the faces
    axes : shape (boards, 3, 3): unit vectors as rows: along the width, along the length, the way the face looks
    sizes_m : m, at least 0, shape (boards, 2): width and length
    thickness_m : m, above 0: how thick a board is, behind its face

    Returns
    -------
    an ``Overlap`` a pair; boards that only touch do not overlap

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not fit, or a number out of its range

    Validity
    --------
    Exact for boxes. Of more than 20,000 pairs that are near each other only so many are looked at.

    References
    ----------
    Separating axis theorem for convex bodies: two boxes are apart along one of 15 axes, or not at all.

    Examples
    --------
    >>> level = [[1, 0, 0], [0, 1, 0], [0, 0, -1]]
    >>> found = overlapping_boards([[0, 0, 1], [0.09, 0, 1]], [level, level], [[0.1, 0.3]] * 2, thickness_m=0.01)
    >>> [(pair.first, pair.second, round(pair.depth_m, 3)) for pair in found]
    [(0, 1, 0.01)]
    """
    centres, turned = numbers("centres_m", centres_m), numbers("axes", axes)
    sizes, count = numbers("sizes_m", sizes_m, at_least=0), len(centres)
    for name, array, shape in (("centres_m", centres, (3,)), ("axes", turned, (3, 3)), ("sizes_m", sizes, (2,))):
        if array.shape != (count, *shape):
            raise ArgumentError(name, array.shape, f"shape {(count, *shape)}")
    thickness = float(numbers("thickness_m", thickness_m, above=0))
    halves = np.column_stack([sizes, np.full(count, thickness)]) / 2.0
    middles = centres - turned[:, 2] * thickness / 2.0
    pairs = _near_pairs(middles, turned, halves)
    found = _overlaps(pairs, middles, turned, halves) if pairs.size else []
    return tuple(sorted(found, key=lambda pair: -pair.depth_m))


def _near_pairs(middles: FloatArray, axes: FloatArray, halves: FloatArray) -> IndexArray:
    """Return the pairs whose bounding boxes overlap, looking along x first: boards far apart are never compared."""
    reach = np.einsum("na,nac->nc", halves, np.abs(axes))
    low, high = middles - reach + TOUCHING_M / 2, middles + reach - TOUCHING_M / 2
    order = np.argsort(low[:, 0], kind="stable")
    ends = np.searchsorted(low[order, 0], high[order, 0])
    pairs: list[tuple[int, int]] = []
    for place, end in enumerate(ends.tolist()):
        own, others = order[place], order[place + 1 : end]
        near = ((low[others] < high[own]) & (high[others] > low[own])).all(axis=1)
        pairs += [(min(int(own), other), max(int(own), other)) for other in others[near].tolist()]
        if len(pairs) > MOST_PAIRS:
            break
    return np.array(sorted(pairs[:MOST_PAIRS]), dtype=np.intp)


def _overlaps(pairs: IndexArray, middles: FloatArray, axes: FloatArray, halves: FloatArray) -> list[Overlap]:
    """Return those of the pairs that no axis keeps apart."""
    first, second = pairs.T
    crossed = np.cross(axes[first][:, :, None], axes[second][:, None, :]).reshape(len(pairs), 9, 3)
    lengths = np.linalg.norm(crossed, axis=2, keepdims=True)
    # Edges that run alike have no axis of their own: another stands in.
    crossed = np.where(lengths > LEAST_AXIS, crossed / np.maximum(lengths, LEAST_AXIS), axes[first][:, :1])
    tried = np.concatenate([axes[first], axes[second], crossed], axis=1)
    apart = np.einsum("pac,pc->pa", tried, middles[second] - middles[first])
    room = sum(
        (np.abs(tried @ axes[one].transpose(0, 2, 1)) @ halves[one][:, :, None])[:, :, 0] for one in (first, second)
    )
    inside = room - np.abs(apart)
    # A level move d brings bodies d x (level part of the axis) further apart along it.
    level = np.hypot(tried[:, :, 0], tried[:, :, 1])
    ways = np.where(level > LEAST_AXIS, inside / np.maximum(level, LEAST_AXIS), np.inf)
    best = ways.argmin(axis=1)
    found = []
    for number in np.flatnonzero((inside > TOUCHING_M).all(axis=1)).tolist():
        axis = best[number]
        depth, sign = float(ways[number, axis]), 1.0 if apart[number, axis] >= 0 else -1.0
        x, y = (sign * depth / level[number, axis] * tried[number, axis, :2]).tolist()
        pair = {"first": int(first[number]), "second": int(second[number])}
        found.append(Overlap(**pair, depth_m=depth, along_x_m=x, along_y_m=y))
    return found
