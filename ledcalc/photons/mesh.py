"""The six surfaces of a room, each cut into rectangular patches by two sets of lines, finer towards the edges."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["SURFACES", "Surface", "room_surfaces"]

SURFACES = ("floor", "ceiling", "left", "right", "front", "back")
PLAN_COUNT = 8
MOST_PLAN_COUNT = 16
MOST_ROWS_COUNT = 32
ROWS_BELOW_COUNT = 8
ROWS_ABOVE_COUNT = 4
FEWEST_ROWS_COUNT = 3
# Share of cosine spacing in the lines; the rest is even.
GRADING = 0.4
# Fixture heights nearer to each other than this share of the room's height do not each get a line, nor more than three.
NEAREST_SPLIT = 0.05
NEAREST_TO_END = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """One side of the room: the plane ``axis`` = ``plane_m``, cut by lines along its other two axes.

    ``lines_m`` maps an axis (0 x, 1 y, 2 z) to rising places; patches are numbered with the last axis fastest.
    """

    name: str
    axis: int
    plane_m: float
    lines_m: Mapping[int, FloatArray]

    @property
    def across(self) -> tuple[int, int]:
        """Return the two axes that lie in the surface."""
        first, second = sorted(self.lines_m)
        return first, second

    @property
    def count(self) -> int:
        """Return the number of patches."""
        first, second = self.across
        return (self.lines_m[first].size - 1) * (self.lines_m[second].size - 1)

    def areas_m2(self) -> FloatArray:
        """Return each patch's area."""
        first, second = self.across
        return np.asarray(np.outer(np.diff(self.lines_m[first]), np.diff(self.lines_m[second])).ravel())

    def share_within(self, low_m: Sequence[float], high_m: Sequence[float]) -> FloatArray:
        """Return the share of each patch that lies in a rectangle of the surface."""
        shares = []
        for axis, low, high in zip(self.across, low_m, high_m, strict=True):
            lines = self.lines_m[axis]
            inside = np.minimum(lines[1:], high) - np.maximum(lines[:-1], low)
            shares.append(np.maximum(inside, 0.0) / np.diff(lines))
        return np.asarray(np.outer(*shares).ravel())


def room_surfaces(
    sizes_m: tuple[float, float, float],
    heights_m: Iterable[float],
    extra_lines_m: Mapping[str, Sequence[tuple[Sequence[float], Sequence[float]]]],
    refinement: float = 1.0,
) -> list[Surface]:
    """Return the six surfaces, the walls split at the fixture's heights, any surface split at its extra rectangles."""
    width, depth, height = sizes_m
    plan = [_graded(side, _plan_count(side, min(width, depth), refinement)) for side in (width, depth)]
    lines = {0: plan[0], 1: plan[1], 2: _wall_lines(height, min(width, depth), heights_m, refinement)}
    planes = ((2, 0.0), (2, height), (0, 0.0), (0, width), (1, 0.0), (1, depth))
    surfaces = []
    for name, (axis, plane) in zip(SURFACES, planes, strict=True):
        own = {other: lines[other] for other in range(3) if other != axis}
        for low, high in extra_lines_m.get(name, ()):
            for place, other in enumerate(sorted(own)):
                own[other] = _with_lines(own[other], (low[place], high[place]))
        surfaces.append(Surface(name=name, axis=axis, plane_m=plane, lines_m=own))
    return surfaces


def _plan_count(side_m: float, shorter_m: float, refinement: float) -> int:
    count = PLAN_COUNT * np.sqrt(side_m / shorter_m)
    return int(np.ceil(min(count, MOST_PLAN_COUNT) * refinement - 1e-9))


def _graded(side_m: float, count: int) -> FloatArray:
    even = np.linspace(0.0, 1.0, count + 1)
    lines = GRADING * (1.0 - np.cos(np.pi * even)) / 2.0 + (1.0 - GRADING) * even
    return np.asarray(side_m * lines)


def _wall_lines(height_m: float, shorter_m: float, heights_m: Iterable[float], refinement: float) -> FloatArray:
    """Return wall rows: below the lowest fixture, between fixtures, and above the highest; more where it is tall."""
    splits = [0.0, *_splits(height_m, sorted(set(heights_m))), height_m]
    bands = []
    for number, (low, high) in enumerate(pairwise(splits)):
        usual = ROWS_BELOW_COUNT if number == 0 else ROWS_ABOVE_COUNT if high == height_m else FEWEST_ROWS_COUNT
        rows = min(usual * max(1.0, (high - low) / shorter_m), MOST_ROWS_COUNT)
        bands.append(low + _graded(high - low, int(np.ceil(rows * refinement - 1e-9)))[:-1])
    return np.concatenate([*bands, [height_m]])


def _splits(height_m: float, rising_m: Sequence[float]) -> list[float]:
    if len(rising_m) > 3:
        rising_m = [rising_m[0], rising_m[len(rising_m) // 2], rising_m[-1]]
    kept: list[float] = []
    for place in rising_m:
        apart = not kept or place > kept[-1] + NEAREST_SPLIT * height_m
        if apart and NEAREST_TO_END * height_m < place < (1.0 - NEAREST_TO_END) * height_m:
            kept.append(place)
    return kept


def _with_lines(lines_m: FloatArray, places_m: Sequence[float]) -> FloatArray:
    """Return the lines with more of them; a line that nearly coincides moves there instead, the ends excepted."""
    least = 1e-9 * lines_m[-1]
    kept = [place for place in places_m if np.abs(lines_m - place).min() > least]
    return np.unique(np.concatenate([lines_m, kept]))
