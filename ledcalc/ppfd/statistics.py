"""How even a light field is: mean, extremes, variation, area-weighted mean, ring means."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError
from ledcalc.ppfd.cells import cell_areas

__all__ = ["GridStatistics", "middle_of", "ppfd_grid_statistics", "ring_members", "share_above", "size_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GridStatistics:
    """Statistics of a set of PPFD readings; PPFD in umol m-2 s-1, areas in m2.

    ``coefficient_of_variation`` is the sample's (n - 1; NaN for one reading). ``area_weights`` sum to 1, an entry a
    reading.
    ``area_m2`` and ``area_basis`` say which area the weights are for; ``reading_count`` how many readings. min/mean
    depends on the grid: print the grid with it.
    """

    mean: float
    minimum: float
    maximum: float
    min_over_mean: float
    min_over_max: float
    coefficient_of_variation: float
    area_weighted_mean: float
    area_weights: FloatArray
    ring_means: FloatArray
    ring_counts: FloatArray
    reading_count: int
    area_m2: float
    area_basis: str


def ppfd_grid_statistics(
    x_m: ArrayLike,
    y_m: ArrayLike,
    ppfd: ArrayLike,
    *,
    area_m: tuple[float, float] | None = None,
    ring_sides_m: ArrayLike | None = None,
    ring_tolerance_m: float = 0.08,
    centre_m: tuple[float, float] | None = None,
) -> GridStatistics:
    """Return the statistics of PPFD readings taken at points of a plane.

    Parameters
    ----------
    x_m, y_m : m, same shape as ``ppfd``
    ppfd : umol m-2 s-1, at least 0
    area_m : m: width (x) and depth (y) of the lit area, about the centre; None: the readings' bounding rectangle
    ring_sides_m : m, above 0: full side of each square ring; None: no rings
    ring_tolerance_m : m, at least 0: how far off its ring a reading may lie
    centre_m : m: centre of area and rings; None: the middle of the readings' bounding rectangle

    Returns
    -------
    GridStatistics

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, no reading, or a number out of its range

    Validity
    --------
    A reading's weight is the share of the area that is nearer to it than to any other reading; readings at one place
    share it. A reading belongs to the nearest ring whose half side its max(|dx|, |dy|) matches within the tolerance; an
    empty ring is NaN with count 0. Where the readings span no area (one reading, or all on a line) and none is given,
    they weigh alike.

    References
    ----------
    Sample statistics by definition; weights by clipped Voronoi cells (common practice in areal averaging).

    Examples
    --------
    >>> statistics = ppfd_grid_statistics([0.0, 1.0, 0.0, 1.0], [0.0, 0.0, 1.0, 1.0], [80.0, 100.0, 100.0, 120.0])
    >>> statistics.mean, statistics.min_over_mean
    (100.0, 0.8)
    """
    x, y, readings = (np.ravel(numbers(name, value)) for name, value in (("x_m", x_m), ("y_m", y_m), ("ppfd", ppfd)))
    numbers("ppfd", readings, at_least=0)
    if readings.size == 0:
        raise ArgumentError("ppfd", [], "at least one reading")
    if not x.size == y.size == readings.size:
        counts = (x.size, y.size, readings.size)
        raise ArgumentError("the count of x_m, y_m and ppfd", counts, "as many of each: a reading a point")
    centre = middle_of(x, y, centre_m)
    size, basis = size_of(x, y, area_m)
    weights = _weights(x, y, centre, size)
    rings = np.ravel(numbers("ring_sides_m", [] if ring_sides_m is None else ring_sides_m, above=0))
    tolerance = float(numbers("ring_tolerance_m", ring_tolerance_m, at_least=0))
    member = ring_members(np.maximum(np.abs(x - centre[0]), np.abs(y - centre[1])), rings, tolerance)
    counts = member.sum(axis=1).astype(float)
    mean, low, high = float(readings.mean()), float(readings.min()), float(readings.max())
    return GridStatistics(
        mean=mean,
        minimum=low,
        maximum=high,
        min_over_mean=low / mean if mean > 0 else float("nan"),
        min_over_max=low / high if high > 0 else float("nan"),
        coefficient_of_variation=_variation(readings, mean),
        area_weighted_mean=float(weights @ readings),
        area_weights=weights,
        ring_means=np.where(counts > 0, member @ readings / np.maximum(counts, 1.0), np.nan),
        ring_counts=counts,
        reading_count=int(readings.size),
        area_m2=float(size[0] * size[1]),
        area_basis=basis,
    )


def middle_of(x: FloatArray, y: FloatArray, centre_m: tuple[float, float] | None) -> FloatArray:
    """Return the middle of the lit area, by default of the readings' bounding rectangle."""
    if centre_m is not None:
        given = numbers("centre_m", centre_m)
        if given.shape != (2,):
            raise ArgumentError("centre_m", centre_m, "two numbers: x and y")
        return given
    return np.array([(x.min() + x.max()) / 2, (y.min() + y.max()) / 2])


def size_of(x: FloatArray, y: FloatArray, area_m: tuple[float, float] | None) -> tuple[FloatArray, str]:
    """Return width and depth of the lit area, by default of the readings' bounding rectangle, and which it is."""
    if area_m is not None:
        given = numbers("area_m", area_m, above=0)
        if given.shape != (2,):
            raise ArgumentError("area_m", area_m, "two numbers: width (x) and depth (y)")
        return given, "the area given"
    return np.array([np.ptp(x), np.ptp(y)]), "the readings' bounding rectangle"


def _weights(x: FloatArray, y: FloatArray, centre: FloatArray, size: FloatArray) -> FloatArray:
    if (size <= 0).any():
        return np.full(x.size, 1.0 / x.size)
    areas = cell_areas(x - centre[0], y - centre[1], size)
    return np.asarray(areas / areas.sum())


def ring_members(distance: FloatArray, rings: FloatArray, tolerance: float) -> FloatArray:
    """Return 1 where a reading (column) belongs to a ring (row of full sides), by its larger offset from the middle."""
    if rings.size == 0:
        return np.zeros((0, distance.size))
    off = np.abs(distance[None, :] - rings[:, None] / 2.0)
    nearest = off.argmin(axis=0)
    # A hair of slack: a reading typed at exactly the tolerance belongs.
    within = off <= tolerance + 1e-9
    return np.where((np.arange(rings.size)[:, None] == nearest) & within, 1.0, 0.0)


def _variation(readings: FloatArray, mean: float) -> float:
    if readings.size < 2 or mean <= 0:
        return float("nan")
    return float(readings.std(ddof=1)) / mean


def share_above(ppfd: ArrayLike, level: ArrayLike, *, area_weights: ArrayLike | None = None) -> Numbers:
    """Return the share of the area whose PPFD is at least a level.

    Parameters
    ----------
    ppfd : umol m-2 s-1, at least 0, one or more readings
    level : umol m-2 s-1, one or several
    area_weights : at least 0, as many as readings (``GridStatistics.area_weights``); None: all weigh alike

    Returns
    -------
    from 0 to 1, the level's shape

    Raises
    ------
    ArgumentError (a ValueError): no reading, or weights that do not fit

    Validity
    --------
    Each reading stands for its whole cell: no finer than one cell's share.

    Examples
    --------
    >>> share_above([80.0, 100.0, 120.0, 140.0], 100.0)
    0.75
    """
    readings, levels = np.ravel(numbers("ppfd", ppfd, at_least=0)), numbers("level", level)
    given = (
        np.ones(readings.size) if area_weights is None else np.ravel(numbers("area_weights", area_weights, at_least=0))
    )
    if readings.size == 0 or given.size != readings.size or given.sum() <= 0:
        raise ArgumentError("area_weights", given.tolist(), f"one for each of {readings.size} readings, not all 0")
    return answer((readings >= levels[..., None]) @ (given / given.sum()))
