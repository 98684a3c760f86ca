"""A map of PPFD as it was read: corrected readings, their places, what was left out, what the sensor is worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.odd_readings import MapNote, odd_readings
from ledcalc.bench.sensors import QuantumSensor, ReadingErrors
from ledcalc.errors import ArgumentError
from ledcalc.ppfd.map_conditions import LightMap, MapConditions
from ledcalc.ppfd.statistics import middle_of, size_of

__all__ = ["MeasuredMap", "measured_map", "without"]

PLACE_TOLERANCE_M = 1e-3


BoolArray: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasuredMap(LightMap):
    """A map as it was read, an entry a reading kept; PPFD in umol m-2 s-1, corrected as the sensor states.

    Parameters
    ----------
    raw_umol_m2_s : as shown by the sensor
    half_width_umol_m2_s : how far the true value may lie from each reading; NaN without a sensor
    places : each reading's place in what was given, in words
    incidence_deg : where each place's light mostly comes from, from straight above; None: from everywhere
    sensor : None: its accuracy is not known
    area_m, centre_m : m: width (x) and depth (y) of the lit area, and its middle
    area_basis : which area that is
    notes : what was left out or looks odd
    """

    raw_umol_m2_s: FloatArray
    half_width_umol_m2_s: FloatArray
    places: tuple[str, ...]
    incidence_deg: FloatArray | None
    sensor: QuantumSensor | None
    area_m: tuple[float, float]
    centre_m: tuple[float, float]
    area_basis: str
    notes: tuple[MapNote, ...]

    def errors(self) -> ReadingErrors:
        """Return the readings' errors; without a sensor noise of 2 % is assumed, and nothing in common is counted."""
        sensor = self.sensor or QuantumSensor()
        return sensor.errors(self.ppfd, incidence_deg=self.incidence_deg)


def measured_map(
    x_m: ArrayLike,
    y_m: ArrayLike,
    raw_umol_m2_s: ArrayLike,
    *,
    conditions: MapConditions | None = None,
    sensor: QuantumSensor | None = None,
    height_m: float | None = None,
    area_m: tuple[float, float] | None = None,
    centre_m: tuple[float, float] | None = None,
    incidence_deg: ArrayLike | None = None,
    places: Sequence[str] | None = None,
) -> MeasuredMap:
    """Return a map from a list of readings.

    Parameters
    ----------
    x_m, y_m : m: one each a reading
    raw_umol_m2_s : umol m-2 s-1, at least 0, as shown by the sensor; NaN where there is none
    conditions : what it was taken under; None: nothing known
    sensor : its accuracy and corrections; None: not known
    height_m : m, above 0: from the sensor up to the boards' faces
    area_m : m: width and depth of the lit area; None: the readings' bounding rectangle
    centre_m : m: its middle; None: the middle of the readings' bounding rectangle
    incidence_deg : from 0 to 90: where the light mostly comes from, from straight above, for the cosine error; one for
        all, or one a reading; None: from everywhere alike
    places : what to call each reading in messages; None: "reading 1" and so on

    Returns
    -------
    MeasuredMap; readings outside the area and gaps are left out, and noted

    Raises
    ------
    ArgumentError (a ValueError): lists of different lengths, no reading left, or numbers out of their range, all named

    Examples
    --------
    >>> found = measured_map([0.0, 1.0, 5.0], [0.0, 0.0, 0.0], [800.0, 790.0, 10.0], area_m=(1, 1), centre_m=(0.5, 0))
    >>> found.ppfd.tolist(), found.notes[0].place, found.notes[0].kind
    ([800.0, 790.0], 'reading 3', 'outside')
    """
    x, y = np.ravel(numbers("x_m", x_m)), np.ravel(numbers("y_m", y_m))
    names = tuple(places) if places is not None else tuple(f"reading {number + 1}" for number in range(x.size))
    raw = _raw(raw_umol_m2_s, names)
    if not x.size == y.size == raw.size == len(names):
        sizes = f"{x.size} x, {y.size} y, {raw.size} readings, {len(names)} places"
        raise ArgumentError("raw_umol_m2_s", sizes, "as many of each")
    angles = None if incidence_deg is None else numbers("incidence_deg", incidence_deg, at_least=0, at_most=90)
    if angles is not None and angles.shape not in ((), x.shape):
        raise ArgumentError("incidence_deg", angles.shape, f"one angle, or one for each of {x.size} readings")
    area = _Area.about(x, y, np.isfinite(raw), area_m, centre_m)
    kept = area.kept
    ppfd = np.atleast_1d((sensor or QuantumSensor()).corrected(raw[kept]))
    seen_from = None if angles is None else np.broadcast_to(angles, x.shape)[kept]
    return MeasuredMap(
        x_m=x[kept],
        y_m=y[kept],
        ppfd=ppfd,
        conditions=conditions or MapConditions(),
        height_m=None if height_m is None else float(numbers("height_m", height_m, above=0)),
        raw_umol_m2_s=raw[kept],
        half_width_umol_m2_s=_half_width(sensor, ppfd, seen_from),
        places=tuple(names[k] for k in kept.tolist()),
        incidence_deg=seen_from,
        sensor=sensor,
        area_m=area.size,
        centre_m=area.centre,
        area_basis=area.basis,
        notes=(*area.notes(names), *odd_readings(x[kept], y[kept], ppfd, [names[k] for k in kept.tolist()], sensor)),
    )


def without(measured: MeasuredMap, *indexes: int) -> MeasuredMap:
    """Return a map without some of its readings, over the same area; ``indexes`` count from 0."""
    rest = ~np.isin(np.arange(measured.ppfd.size), indexes)
    if not rest.any():
        raise ArgumentError("indexes", indexes, "a map that keeps at least one reading")
    angles = measured.incidence_deg
    return replace(
        measured,
        x_m=measured.x_m[rest],
        y_m=measured.y_m[rest],
        ppfd=measured.ppfd[rest],
        raw_umol_m2_s=measured.raw_umol_m2_s[rest],
        half_width_umol_m2_s=measured.half_width_umol_m2_s[rest],
        places=tuple(measured.places[k] for k in np.flatnonzero(rest).tolist()),
        incidence_deg=None if angles is None else angles[rest],
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Area:
    """The lit area, which readings lie in it, and how far out each one is."""

    size: tuple[float, float]
    centre: tuple[float, float]
    basis: str
    read: BoolArray
    outside_m: FloatArray

    @classmethod
    def about(
        cls,
        x: FloatArray,
        y: FloatArray,
        read: BoolArray,
        area_m: tuple[float, float] | None,
        centre_m: tuple[float, float] | None,
    ) -> _Area:
        if not read.any():
            raise ArgumentError("raw_umol_m2_s", None, "at least one reading")
        centre = middle_of(x[read], y[read], centre_m)
        size, basis = size_of(x[read], y[read], area_m)
        outside = np.maximum(np.abs(x - centre[0]) - size[0] / 2, np.abs(y - centre[1]) - size[1] / 2)
        if (outside[read] > PLACE_TOLERANCE_M).all():
            raise ArgumentError("area_m", size.tolist(), "an area that at least one reading lies in")
        return cls(
            size=(float(size[0]), float(size[1])),
            centre=(float(centre[0]), float(centre[1])),
            basis=basis,
            read=read,
            outside_m=outside,
        )

    @property
    def kept(self) -> NDArray[np.intp]:
        return np.flatnonzero(self.read & (self.outside_m <= PLACE_TOLERANCE_M))

    def notes(self, names: Sequence[str]) -> Iterator[MapNote]:
        for name, read, outside in zip(names, self.read.tolist(), self.outside_m.tolist(), strict=True):
            if not read:
                yield MapNote(kind="gap", place=name, text="no reading")
            elif outside > PLACE_TOLERANCE_M:
                remedy = "left out: mend its place, or widen the area"
                yield MapNote(kind="outside", place=name, text=f"{outside:.3g} m outside the area, {remedy}")


def _raw(values: ArrayLike, names: Sequence[str]) -> FloatArray:
    """Return readings with NaN for gaps, or name all that cannot be."""
    try:
        raw = np.ravel(np.asarray(values, dtype=float))
    except (TypeError, ValueError):
        raise ArgumentError("raw_umol_m2_s", values, "numbers, NaN where there is no reading") from None
    bad = np.flatnonzero(np.isinf(raw) | (raw < 0))
    if bad.size:
        said = "; ".join(f"{names[k] if k < len(names) else k + 1}: {raw[k]:g}" for k in bad.tolist())
        raise ArgumentError("raw_umol_m2_s", said, "at least 0 and finite, NaN where there is no reading")
    return raw


def _half_width(sensor: QuantumSensor | None, ppfd: FloatArray, incidence_deg: FloatArray | None) -> FloatArray:
    if sensor is None:
        return np.full(ppfd.size, np.nan)
    return np.asarray(sensor.half_width(ppfd, incidence_deg=incidence_deg))
