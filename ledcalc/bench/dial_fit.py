"""A driver's dial against the current that it gives: a line through settings tried, the dial for a wanted current."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.bench.error_sums import half_width_of_sum
from ledcalc.bench.line_fit import LineFit, straight_line
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.errors import ArgumentError

__all__ = ["DialLine", "DialSetting", "dial_line"]

STRAIGHT_CHANCE = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class DialSetting:
    """The dial for a current, in the dial's own unit, and the interval that it lies in.

    ``low`` and ``high`` are infinite where the readings do not say. ``tried`` is False outside the settings tried.
    """

    dial: float
    low: float
    high: float
    tried: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DialLine:
    """current = intercept + slope x dial, by the settings tried.

    ``straight`` is False where readings lie off the line by more than the meter explains: then use the two settings
    about the wanted one. ``calibration_fraction`` and ``offset_a`` are half widths of the meter's calibration and zero,
    which move the whole line.
    """

    line: LineFit
    lowest_dial: float
    highest_dial: float
    straight: bool
    calibration_fraction: float
    offset_a: float
    limits: str
    confidence: float

    def current_a(self, dial: ArrayLike) -> Numbers:
        """Return the current that a setting gives."""
        return self.line.at(dial)

    def half_width_a(self, dial: ArrayLike) -> Numbers:
        """Return how far the true current may lie from that, either way, at the line's confidence."""
        places = np.asarray(dial, dtype=float)
        current, own = np.asarray(self.line.at(places)), np.asarray(self.line.standard_error_at(places))
        # Errors from scatter reach as far as Student's t says.
        own = own * self.line.coverage_factor(self.confidence) / _normal(self.confidence)
        common = np.stack([self.calibration_fraction * np.abs(current), np.full_like(current, self.offset_a)])
        if self.limits == "normal":
            shared = np.sqrt((common**2).sum(axis=0)) / _normal(0.95)
            return answer(_normal(self.confidence) * np.hypot(own, shared))
        reach = [
            half_width_of_sum(parts, float(each), self.confidence)
            for parts, each in zip(common.reshape(2, -1).T, np.ravel(own), strict=True)
        ]
        return answer(np.reshape(reach, places.shape))

    def dial_for(self, current_a: float) -> DialSetting:
        """Return the dial for a current, with the settings that would give it within what the readings leave open."""
        wanted = float(numbers("current_a", current_a, at_least=0))
        slope, dial = self.line.slope, float("nan")
        if slope != 0:
            dial = (wanted - self.line.intercept) / slope
        reach = self.line.coverage_factor(self.confidence) * self.line.slope_standard_error
        if slope == 0 or not abs(slope) > reach:
            return DialSetting(dial=dial, low=float("-inf"), high=float("inf"), tried=False)
        ends = [_edge(self, dial, side) for side in (-1.0, 1.0)]
        within = self.lowest_dial <= dial <= self.highest_dial
        return DialSetting(dial=dial, low=min(ends), high=max(ends), tried=within)


def _normal(confidence: float) -> float:
    return half_width_of_sum(np.zeros(1), 1.0, confidence)


def _edge(line: DialLine, dial: float, side: float) -> float:
    """Return the setting whose interval just holds the wanted current, above or below (Fieller's limits)."""
    place = dial
    for _ in range(100):
        moved = dial + side * float(line.half_width_a(place)) / abs(line.line.slope)
        if abs(moved - place) <= 1e-12 * max(abs(moved), 1.0):
            return moved
        place = moved
    return side * float("inf")


def dial_line(
    dial: ArrayLike, total_current_a: ArrayLike, *, noise: MeterNoise | None = None, confidence: float = 0.95
) -> DialLine:
    """Return the line of current against a driver's dial.

    Parameters
    ----------
    dial : in the dial's own unit (per cent, volts, turns): the settings tried, at least two different ones
    total_current_a : A, at least 0: what the supply gave at each
    noise : of the meter; None: errors from the scatter about the line
    confidence : above 0, below 1: of the intervals

    Returns
    -------
    DialLine

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, fewer than two different settings, or a number out of its range

    Validity
    --------
    Settings at which the driver follows its dial: leave out those below its lowest current and where it is at a limit.
    The settings are exact.

    References
    ----------
    Weighted least squares; limits of the dial as Fieller's (1954, from memory).

    Examples
    --------
    >>> found = dial_line([20.0, 40.0, 60.0, 80.0, 100.0], [2.6, 5.1, 7.5, 10.1, 12.5])
    >>> round(found.dial_for(11.0).dial, 1), found.straight
    (87.7, True)
    """
    place, current = np.ravel(numbers("dial", dial)), np.ravel(numbers("total_current_a", total_current_a, at_least=0))
    if place.size != current.size:
        raise ArgumentError("total_current_a", current.size, f"one for each of {place.size} settings")
    level = float(numbers("confidence", confidence, above=0, below=1))
    own: FloatArray | None = None
    if noise is not None:
        own = np.ravel(np.asarray(noise.own_standard_uncertainty(current)))
        own = own if (own > 0).all() else None
    line = straight_line(place, current, standard_uncertainty=own)
    return DialLine(
        line=line,
        lowest_dial=float(place.min()),
        highest_dial=float(place.max()),
        straight=_straight(line),
        calibration_fraction=noise.calibration_fraction if noise else 0.0,
        offset_a=noise.offset if noise else 0.0,
        limits=noise.limits if noise else "rectangular",
        confidence=level,
    )


def _straight(line: LineFit) -> bool:
    if not line.known_uncertainty or line.degrees_of_freedom < 1:
        return True
    from scipy.special import chdtri

    return line.chi_square <= float(chdtri(line.degrees_of_freedom, STRAIGHT_CHANCE))
