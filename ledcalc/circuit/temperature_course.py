"""How a board's temperature coefficient goes with its current, from points at several temperatures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["CoefficientCourse", "alike_points", "coefficient_through_points", "reference_of"]

# Without a reference temperature named, the series nearest this one is the reference.
NEAREST_C = 25.0

# A change of the coefficient by less than this part of itself over the data is rounding.
LEAST_CHANGE_FRACTION = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class CoefficientCourse:
    """The coefficient at a current as a factor of the strongest: 1 + k ln(I / I0), never below 0.

    ``per_log``: k. ``anchor_a``: I0, where the coefficient is strongest, so at ``lowest_a`` or ``highest_a``; outside
    of these two it is held constant.
    """

    per_log: float
    anchor_a: float
    lowest_a: float
    highest_a: float

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the factor, and its slope in 1/A."""
        inside = np.clip(current_a, self.lowest_a, self.highest_a)
        factor = 1.0 + self.per_log * np.log(inside / self.anchor_a)
        goes = (inside == current_a) & (factor > 0.0)
        return np.maximum(factor, 0.0), np.where(goes, self.per_log / inside, 0.0)

    def shared(self, share: float) -> CoefficientCourse:
        """Return the course for a circuit of which this one's board takes a share of the current."""
        return CoefficientCourse(
            per_log=self.per_log,
            anchor_a=self.anchor_a / share,
            lowest_a=self.lowest_a / share,
            highest_a=self.highest_a / share,
        )


def coefficient_through_points(
    current_a: FloatArray, moved_v: FloatArray, warmer_k: FloatArray
) -> tuple[float, CoefficientCourse | None]:
    """Return the strongest coefficient in V/K, at most 0, and its course over the current (None: constant).

    Least squares of moved = (c0 + c1 ln I) warmer, ``moved_v`` being the voltage beyond that at the reference
    temperature.
    """
    log = np.log(current_a)
    columns = np.column_stack([warmer_k, warmer_k * (log - log.mean())])
    (middle, by_log), *_ = np.linalg.lstsq(columns, moved_v, rcond=None)
    ends = {float(amps): float(middle + by_log * (np.log(amps) - log.mean())) for amps in np.sort(current_a)[[0, -1]]}
    anchor = min(ends, key=ends.__getitem__)
    strongest = min(ends[anchor], 0.0)
    if max(ends.values()) - strongest <= LEAST_CHANGE_FRACTION * -strongest or strongest == 0.0:
        return strongest, None
    return strongest, CoefficientCourse(
        per_log=float(by_log / strongest), anchor_a=anchor, lowest_a=min(ends), highest_a=max(ends)
    )


def alike_points(
    current_a: ArrayLike, voltage_v: ArrayLike, temperature_c: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return points at several temperatures as arrays, or say what makes them none.

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, one temperature only, or a number out of its range
    """
    current = np.atleast_1d(numbers("current_a", current_a, above=0))
    voltage = np.atleast_1d(numbers("voltage_v", voltage_v, above=0))
    temperature = np.atleast_1d(numbers("temperature_c", temperature_c, above=-273.15))
    for name, array in (("voltage_v", voltage), ("temperature_c", temperature)):
        if current.ndim != 1 or array.shape != current.shape:
            raise ArgumentError(name, array.shape, f"one entry a point, shape {current.shape}")
    if np.unique(temperature).size < 2:
        raise ArgumentError("temperature_c", temperature.tolist(), "at least two temperatures")
    return current, voltage, temperature


def reference_of(current: FloatArray, temperature: FloatArray, wanted_c: float | None) -> float:
    """Return the temperature of the reference series: the one wanted, or of those with two currents the nearest to 25.

    Raises
    ------
    ArgumentError (a ValueError): fewer than two currents at the temperature wanted, or at any
    """
    curves = [t for t in np.unique(temperature) if np.unique(current[temperature == t]).size >= 2]
    if wanted_c is not None:
        if float(numbers("reference_temperature_c", wanted_c)) not in curves:
            raise ArgumentError("reference_temperature_c", wanted_c, "a temperature with at least two currents")
        return float(wanted_c)
    if not curves:
        raise ArgumentError("current_a", current.tolist(), "at least two currents at one of the temperatures")
    return float(min(curves, key=lambda t: abs(t - NEAREST_C)))
