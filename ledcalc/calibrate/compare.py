"""Readings against prediction: every one of them, by kind, and the light maps with their rings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.agreement import agreement
from ledcalc.calibrate.instruments import APART, KINDS, UNITS
from ledcalc.calibrate.readings import LightPoints, Readings
from ledcalc.calibrate.results import Compared, KindCompared, MapCompared
from ledcalc.fixture import Fixture
from ledcalc.photons import ppfd_grid_statistics

__all__ = ["compared", "place_of", "rms"]

# Points whose squares differ by less lie on one ring.
RING_APART_M = 0.04
OUTPUT = "driver's output"


def compared(
    fixture: Fixture,
    tags: Sequence[str],
    readings: Readings,
    points: LightPoints,
    predicted: FloatArray,
    error: FloatArray,
    chi_square: float,
) -> Compared:
    """Return readings beside their prediction.

    Parameters
    ----------
    fixture, tags : what was read, and its boards
    readings, points : what was read, and where light was
    predicted : for each reading
    error : the standard deviation that differences are held against, for each reading
    chi_square : of all of them together
    """
    normalised = (readings.value - predicted) / error
    return Compared(
        place=tuple(place_of(tags, readings, points, number) for number in range(readings.size)),
        kind=tuple(str(kind) for kind in readings.kind),
        unit=tuple(UNITS[str(kind)] for kind in readings.kind),
        readings_count=tuple(int(count) for count in readings.count),
        measured=readings.value,
        predicted=predicted,
        error=error,
        normalised=normalised,
        chi_square=chi_square,
        degrees_count=readings.size,
        agreement=agreement(chi_square, readings.size),
        kinds=tuple(
            _of_kind(kind, readings.value - predicted, normalised, readings.kind == kind)
            for kind in KINDS
            if (readings.kind == kind).any()
        ),
        maps=_maps(fixture, readings, points, predicted),
    )


def rms(values: FloatArray) -> float:
    """Return the root mean square."""
    return float(np.sqrt(np.mean(values**2)))


def place_of(tags: Sequence[str], readings: Readings, points: LightPoints, number: int) -> str:
    """Return what a reading was taken of: a board, the driver's output, or survey, height and point."""
    point, board = readings.point[number], int(readings.board[number])
    if point < 0:
        return tags[board] if board >= 0 else OUTPUT
    return (
        f"{points.survey[point]}, {points.height_m[point]:.3g} m: x {points.x_m[point]:.3g} m, "
        f"y {points.y_m[point]:.3g} m"
    )


def _of_kind(kind: str, difference: FloatArray, normalised: FloatArray, own: NDArray[np.bool_]) -> KindCompared:
    return KindCompared(
        kind=kind,
        unit=APART[kind],
        readings_count=int(own.sum()),
        mean_difference=float(difference[own].mean()),
        rms_difference=rms(difference[own]),
        rms_normalised=rms(normalised[own]),
    )


def _maps(fixture: Fixture, readings: Readings, points: LightPoints, predicted: FloatArray) -> tuple[MapCompared, ...]:
    lit = readings.kind == "PPFD"
    point, measured, there = readings.point[lit], readings.value[lit], predicted[lit]
    found = []
    names = dict.fromkeys(zip(points.survey[point].tolist(), points.height_m[point].tolist(), strict=True))
    for survey, height in names:
        own = (points.survey[point] == survey) & (points.height_m[point] == height)
        x, y = points.x_m[point[own]], points.y_m[point[own]]
        centre = (fixture.crop_width_m / 2, fixture.crop_depth_m / 2)
        sides = _ring_sides(2.0 * np.maximum(np.abs(x - centre[0]), np.abs(y - centre[1])))
        rings = [
            ppfd_grid_statistics(
                x, y, field, ring_sides_m=sides, ring_tolerance_m=RING_APART_M / 2, centre_m=centre
            ).ring_means
            for field in (measured[own], np.maximum(there[own], 0.0))
        ]
        found.append(
            MapCompared(
                survey=survey,
                height_m=height,
                x_m=x,
                y_m=y,
                measured_umol_m2_s=measured[own],
                predicted_umol_m2_s=there[own],
                difference_umol_m2_s=measured[own] - there[own],
                ring_sides_m=sides,
                ring_measured_umol_m2_s=rings[0],
                ring_predicted_umol_m2_s=rings[1],
            )
        )
    return tuple(found)


def _ring_sides(sides: FloatArray) -> FloatArray:
    """Return the sides of the squares that points lie on; sides that differ by little are one."""
    in_order = np.unique(sides[sides > 0])
    if not in_order.size:
        return in_order
    begins = np.flatnonzero(np.diff(in_order, prepend=-np.inf) > 2.0 * RING_APART_M)
    return np.array([group.mean() for group in np.split(in_order, begins[1:])])
