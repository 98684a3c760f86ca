"""Does a board's current drift, or is it the meter? Slope against what the meter's own errors make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.bench.error_sums import chance_within
from ledcalc.bench.line_fit import LineFit, straight_line, student_factor
from ledcalc.bench.log_columns import codes_of
from ledcalc.bench.reading_errors import ErrorParts, MeterChoice, Readings, readings_with
from ledcalc.errors import ArgumentError

__all__ = ["DRIFT_VERDICTS", "BoardDrift", "board_drift"]

NOISE, RISING, FALLING, TOO_FEW = DRIFT_VERDICTS = (
    "not distinguishable from noise",
    "rising",
    "falling",
    "too few readings",
)
# Scatter that a meter as stated shows once in a thousand logs is not the meter's.
SCATTER_CHANCE = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDrift:
    """The straight-line change of one board's readings; rates in the reading's unit an hour.

    ``half_width_per_h``: the true rate lies within the rate plus or minus this at the confidence asked for.
    ``least_detectable_per_h``: a smaller measured rate passes as noise; a true rate of twice that is found nine times
    in ten or more. ``change`` and ``least_detectable_change`` are the same over ``span_h``.
    ``drift_confidence_fraction`` is the chance that noise alone shows less than was measured, one board by itself.
    ``scatter_ratio`` is the scatter about the line over what the meter's own errors explain, NaN for two readings or a
    meter without own errors; where it is beyond chance, all errors were widened by it and ``meter_explains_scatter`` is
    False.
    """

    board: str
    verdict: str
    rate_per_h: float
    half_width_per_h: float
    least_detectable_per_h: float
    drift_confidence_fraction: float
    span_h: float
    reading_count: int
    scatter_ratio: float
    meter_explains_scatter: bool

    @property
    def change(self) -> float:
        """Change over the readings."""
        return self.rate_per_h * self.span_h

    @property
    def least_detectable_change(self) -> float:
        """The smallest change over the readings that does not pass as noise."""
        return self.least_detectable_per_h * self.span_h


def board_drift(
    elapsed_h: ArrayLike,
    value: ArrayLike,
    *,
    noise: MeterChoice,
    meter: Sequence[str] | None = None,
    board: str = "",
    boards_judged_count: int = 1,
    confidence: float = 0.95,
) -> BoardDrift:
    """Return how fast readings rise or fall, and whether that can be told from the meter's noise.

    Parameters
    ----------
    elapsed_h, value : h and any unit, as many of either; NaN in ``value`` is a gap
    noise : of the meter, or a mapping of meter to noise
    meter : name a reading, where there are several
    board : name kept in the result
    boards_judged_count : at least 1: how many boards are judged together. One false alarm among all of them is as
        seldom as ``confidence`` says
    confidence : above 0, below 1

    Returns
    -------
    BoardDrift; "too few readings" with NaN where there are fewer than two different times

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, or a number out of its range

    Validity
    --------
    Readings err by the model of ``MeterNoise``: calibration repeats, so it cancels but for its share of the change; the
    rest is independent from reading to reading. A warm-up is no drift: leave its readings out.

    References
    ----------
    Weighted least squares; distribution of the slope's error as in GUM Supplement 1 (JCGM 101), by convolution;
    several boards by Sidak's inequality, 1 - (1 - confidence)^(1/n).

    Examples
    --------
    >>> from ledcalc.bench import MeterNoise
    >>> clamp = MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01)
    >>> found = board_drift([0.0, 4.0, 8.0, 12.0], [2.08, 2.09, 2.10, 2.12], noise=clamp)
    >>> found.verdict, round(found.change, 3), round(found.least_detectable_change, 3)
    ('not distinguishable from noise', 0.039, 0.044)
    """
    level = float(numbers("confidence", confidence, above=0, below=1))
    family = float(level ** (1.0 / whole_numbers("boards_judged_count", boards_judged_count, at_least=1)))
    time, readings = _kept(elapsed_h, value, noise, meter)
    if time.size < 2 or np.ptp(time) <= 0:
        return _too_few(board, time)
    own = readings.own_standard_uncertainty()
    stated = bool((own > 0).all())
    line = straight_line(time, readings.value, standard_uncertainty=own if stated else None)
    if not stated and line.degrees_of_freedom < 1:
        return _too_few(board, time)
    explained, ratio, error = _own_error(line, readings, level)
    # Were there no drift, calibration would act on one value throughout.
    null = error.with_(readings.common_errors(line.weights_of_slope, level=float(readings.value.mean())))
    least = null.half_width(family)
    rate = line.slope
    return BoardDrift(
        board=board,
        verdict=NOISE if abs(rate) <= least else RISING if rate > 0 else FALLING,
        rate_per_h=rate,
        half_width_per_h=error.with_(readings.common_errors(line.weights_of_slope)).half_width(level),
        least_detectable_per_h=least,
        drift_confidence_fraction=chance_within(rate, null.half_widths, null.standard),
        span_h=float(np.ptp(time)),
        reading_count=int(time.size),
        scatter_ratio=ratio,
        meter_explains_scatter=explained,
    )


def _kept(
    elapsed_h: ArrayLike, value: ArrayLike, noise: MeterChoice, meter: Sequence[str] | None
) -> tuple[FloatArray, Readings]:
    time, reading = np.ravel(numbers("elapsed_h", elapsed_h)), np.ravel(np.asarray(value, dtype=float))
    if time.size != reading.size or (meter is not None and len(meter) != time.size):
        raise ArgumentError("elapsed_h", time.size, f"one for each of {reading.size} values, and a meter each if named")
    kept = ~np.isnan(reading)
    numbers("value", reading[kept])
    names, index = (
        (("",), None) if meter is None else codes_of([str(name) for name, use in zip(meter, kept, strict=True) if use])
    )
    return time[kept], readings_with(reading[kept], noise, names, index)


def _too_few(board: str, time: FloatArray) -> BoardDrift:
    nan = float("nan")
    return BoardDrift(
        board=board,
        verdict=TOO_FEW,
        rate_per_h=nan,
        half_width_per_h=nan,
        least_detectable_per_h=nan,
        drift_confidence_fraction=nan,
        span_h=float(np.ptp(time)) if time.size else nan,
        reading_count=int(time.size),
        scatter_ratio=nan,
        meter_explains_scatter=True,
    )


def _own_error(line: LineFit, readings: Readings, confidence: float) -> tuple[bool, float, ErrorParts]:
    """Return whether the meter explains the scatter, scatter over the stated one, and the own errors of the slope."""
    from scipy.special import chdtri

    freedom = line.degrees_of_freedom
    # Errors taken from scatter reach as far as Student's t says, not as a normal's.
    widened = student_factor(freedom, confidence) / NormalDist().inv_cdf(0.5 + confidence / 2.0)
    if not line.known_uncertainty:
        own = ErrorParts(half_widths=np.zeros(1), standard=line.slope_standard_error * widened)
        return True, float("nan"), own
    stated = readings.own_errors(line.weights_of_slope)
    ratio = float(np.sqrt(line.chi_square / freedom)) if freedom else float("nan")
    if not freedom or line.chi_square <= float(chdtri(freedom, SCATTER_CHANCE)):
        return True, ratio, stated
    return False, ratio, stated.scaled(ratio * widened)
