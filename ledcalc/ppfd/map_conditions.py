"""What a light map was taken under, and what must be done before two maps may be compared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError

__all__ = ["LightMap", "MapComparison", "MapConditions", "compared_maps", "normalised"]

# Light changes by some 0.1 to 0.3 % a kelvin, and little after half an hour of warm-up: common practice, no source.
AIR_TOLERANCE_K = 2.0
WARMED_UP_MIN = 30.0
DIAL_TOLERANCE = 0.005
PLACE_TOLERANCE_M = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class MapConditions:
    """What a map was taken under; None or an empty text: not known.

    Parameters
    ----------
    dial_fraction : from 0 to 1: the dimmer's place
    warm_up_min : min, at least 0: how long the boards had been on
    air_temperature_c : degC
    date : as written; kept, and no bar to comparing: to see what a year has done is what maps are kept for
    sensor : which sensor

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    dial_fraction: float | None = None
    warm_up_min: float | None = None
    air_temperature_c: float | None = None
    date: str = ""
    sensor: str = ""

    def __post_init__(self) -> None:
        if self.dial_fraction is not None:
            numbers("dial_fraction", self.dial_fraction, at_least=0, at_most=1)
        if self.warm_up_min is not None:
            numbers("warm_up_min", self.warm_up_min, at_least=0)
        if self.air_temperature_c is not None:
            numbers("air_temperature_c", self.air_temperature_c, above=-273.15)

    def differences(self, other: MapConditions) -> list[str]:
        """Return in words what differs or is not known; empty where the two are alike.

        The dial counts as alike within 0.005, air within 2 K, warm-up where equal or at least 30 min in both.
        """
        found = []
        for name, tolerance in (("dial_fraction", DIAL_TOLERANCE), ("air_temperature_c", AIR_TOLERANCE_K)):
            one, two = getattr(self, name), getattr(other, name)
            if one is None or two is None or abs(one - two) > tolerance:
                found.append(f"{name} {_said(one)} and {_said(two)}")
        one, two = self.warm_up_min, other.warm_up_min
        if one is None or two is None or (one != two and min(one, two) < WARMED_UP_MIN):
            found.append(f"warm_up_min {_said(one)} and {_said(two)}")
        if not self.sensor or self.sensor != other.sensor:
            found.append(f"sensor {_said(self.sensor or None)} and {_said(other.sensor or None)}")
        return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightMap:
    """PPFD in umol m-2 s-1 at places in m, with what it was taken under."""

    x_m: FloatArray
    y_m: FloatArray
    ppfd: FloatArray
    conditions: MapConditions
    height_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapComparison:
    """How a second map stands to a first: ratios of means and of single readings (NaN where the first is dark)."""

    mean_ratio: float
    ratios: FloatArray
    smallest_ratio: float
    largest_ratio: float


def normalised(
    ppfd: ArrayLike, from_conditions: MapConditions, to_conditions: MapConditions, *, flux_ratio: float | None = None
) -> Numbers:
    """Return a map's PPFD as it would read under other conditions.

    Parameters
    ----------
    ppfd : umol m-2 s-1, at least 0, any shape
    from_conditions, to_conditions : what it was taken under, and what it is to be brought to
    flux_ratio : above 0: what the sensor would read there over what it read here (boards' flux by dial and
        temperature, and the sensors' own ratio); needed unless the two are alike

    Returns
    -------
    umol m-2 s-1, the map's shape

    Raises
    ------
    ArgumentError (a ValueError): conditions that differ, or are not known, without a ratio

    Validity
    --------
    All boards change alike, so that the field keeps its shape.

    Examples
    --------
    >>> cold = MapConditions(dial_fraction=0.5, warm_up_min=60, air_temperature_c=20, sensor="A")
    >>> warm = MapConditions(dial_fraction=1.0, warm_up_min=60, air_temperature_c=20, sensor="A")
    >>> normalised([200.0, 240.0], cold, warm, flux_ratio=1.9).tolist()
    [380.0, 456.0]
    """
    readings = numbers("ppfd", ppfd, at_least=0)
    if flux_ratio is not None:
        return answer(readings * numbers("flux_ratio", flux_ratio, above=0))
    different = from_conditions.differences(to_conditions)
    if different:
        raise ArgumentError("flux_ratio", None, f"a ratio above 0, for conditions differ: {'; '.join(different)}")
    return answer(readings)


def compared_maps(first: LightMap, second: LightMap, *, flux_ratio: float | None = None) -> MapComparison:
    """Return how the second map stands to the first, brought to the second's conditions.

    Parameters
    ----------
    first, second : maps of the same places (within 1 mm)
    flux_ratio : as ``normalised``, from the first map's conditions to the second's

    Returns
    -------
    MapComparison

    Raises
    ------
    ArgumentError (a ValueError): other places or heights, or conditions that differ without a ratio
    """
    for name in ("x_m", "y_m"):
        here, there = np.asarray(getattr(first, name)), np.asarray(getattr(second, name))
        if here.shape != there.shape or np.abs(here - there).max(initial=0.0) > PLACE_TOLERANCE_M:
            raise ArgumentError("second", there.tolist(), f"readings at the first map's places ({name})")
    one, two = first.height_m, second.height_m
    if (one is None) != (two is None) or (one is not None and two is not None and abs(one - two) > PLACE_TOLERANCE_M):
        raise ArgumentError("second", two, f"the first map's height, {one} m")
    before = np.asarray(normalised(first.ppfd, first.conditions, second.conditions, flux_ratio=flux_ratio))
    after = numbers("ppfd", second.ppfd, at_least=0)
    if before.size == 0 or before.shape != after.shape:
        raise ArgumentError("ppfd", after.shape, f"as many readings as the first map, {before.shape}, at least one")
    ratios = np.where(before > 0, after / np.where(before > 0, before, 1.0), np.nan)
    lit = ratios[before > 0]
    return MapComparison(
        mean_ratio=float(after.mean() / before.mean()) if before.mean() > 0 else float("nan"),
        ratios=ratios,
        smallest_ratio=float(lit.min(initial=np.inf)) if lit.size else float("nan"),
        largest_ratio=float(lit.max(initial=-np.inf)) if lit.size else float("nan"),
    )


def _said(value: float | str | None) -> str:
    return "not known" if value is None else f"{value}"
