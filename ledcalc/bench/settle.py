"""Settled or not: has a reading reached its steady value, how much is to go, and when."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.bench.approach_fit import ApproachFit, fit_approach
from ledcalc.bench.approach_profile import Interval
from ledcalc.bench.line_fit import student_factor
from ledcalc.errors import ArgumentError

__all__ = ["SETTLING_VERDICTS", "Settling", "settling"]

SETTLED, STILL, DRIFTING, OPEN, TOO_FEW = SETTLING_VERDICTS = (
    "settled",
    "still settling",
    "drifting",
    "cannot be told yet",
    "too few readings",
)
OPEN_OVER_TOLERANCE = 2.0
# Scatter of readings without any, as a share of their size.
FINEST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Settling:
    """Whether readings have settled.

    ``verdict`` is one of ``SETTLING_VERDICTS``: settled (what is to go is within ``tolerance``), still settling
    (``to_go`` more until ``settled_by_h``), drifting (no end within what the log can tell: a straight line fits as
    well), cannot be told yet, too few readings. ``steady`` holds within ``steady_interval`` for what this meter reads:
    its calibration comes on top. NaN where it cannot be told. ``moved`` is False where no change shows at all;
    ``fit`` is then None.
    """

    verdict: str
    steady: float
    steady_interval: Interval
    to_go: float
    to_go_interval: Interval
    settled_by_h: float
    time_to_95_h: float
    tolerance: float
    moved: bool
    fit: ApproachFit | None


def settling(
    elapsed_h: ArrayLike,
    value: ArrayLike,
    *,
    standard_uncertainty: ArrayLike | None = None,
    start: float | None = None,
    tolerance: float | None = None,
    boards_judged_count: int = 1,
    confidence: float = 0.95,
) -> Settling:
    """Return whether readings have settled, and if not, what is to go and until when.

    Parameters
    ----------
    elapsed_h, value : h and any unit, as many of either; NaN in ``value`` is a gap
    standard_uncertainty : above 0, in the value's unit, one or one a reading: what each errs by itself. None: from the
        scatter about the fit
    start : the value at 0 h where it is known (a temperature rise over air: 0)
    tolerance : above 0, in the value's unit: what still counts as settled. None: twice a reading's standard uncertainty
    boards_judged_count : at least 1: how many boards are judged together, so that movement is seen in one of several
        that rest as seldom as in one alone
    confidence : above 0, below 1: of the intervals, and of seeing no movement where there is none

    Returns
    -------
    Settling

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, or a number out of its range

    Validity
    --------
    One exponential approach. "settled" without any change says no more than that: none that this meter shows over these
    hours.

    Examples
    --------
    >>> found = settling([0.5, 1.0, 2.0, 3.0], [11.8, 19.0, 25.9, 28.5], start=0.0, standard_uncertainty=0.2)
    >>> found.verdict, round(found.to_go, 1), round(found.settled_by_h, 1)
    ('still settling', 1.5, 4.3)
    """
    time, reading = np.ravel(numbers("elapsed_h", elapsed_h)), np.ravel(np.asarray(value, dtype=float))
    if time.size != reading.size:
        raise ArgumentError("elapsed_h", time.size, f"one for each of {reading.size} values")
    kept = ~np.isnan(reading)
    own = None
    if standard_uncertainty is not None:
        own = np.broadcast_to(numbers("standard_uncertainty", standard_uncertainty, above=0), time.shape)[kept]
    time, reading = time[kept], reading[kept]
    whole_numbers("boards_judged_count", boards_judged_count, at_least=1)
    given = float("nan") if tolerance is None else float(numbers("tolerance", tolerance, above=0))
    if np.unique(time).size < (3 if start is None else 2):
        return _unfitted(TOO_FEW, given)
    fit = fit_approach(time, reading, standard_uncertainty=own, start=start, confidence=confidence)
    scatter = fit.residual_standard_deviation if own is None else float(np.median(own))
    if np.isnan(scatter):
        return _unfitted(TOO_FEW, given)
    scatter = max(scatter, FINEST * float(np.abs(reading).max()), FINEST**2)
    within = 2.0 * scatter if tolerance is None else given
    weight = np.broadcast_to((scatter if own is None else own) ** -2.0, time.shape)
    mean = float(weight @ reading / weight.sum())
    gain = weight @ (reading - mean) ** 2 - (fit.chi_square if own is not None else fit.chi_square / scatter**2)
    chance = -math.expm1(math.log(confidence) / boards_judged_count)
    if start is None and gain <= _gain_by_chance(chance, None if own is not None else fit.degrees_of_freedom):
        factor = NormalDist().inv_cdf(0.5 + confidence / 2.0)
        if own is None:
            factor = student_factor(reading.size - 1, confidence)
        return _flat(mean, factor / float(np.sqrt(weight.sum())), fit, within)
    return _judged(fit, within)


def _gain_by_chance(chance: float, freedom: int | None) -> float:
    """Return what two parameters more than a constant take off chi-square, at most, but for a chance.

    With stated errors chi-square's quantile with two degrees of freedom; with errors from scatter twice F's.
    """
    if freedom is None:
        return -2.0 * math.log(chance)
    return freedom * math.expm1(-2.0 / freedom * math.log(chance))


def _flat(mean: float, reach: float, fit: ApproachFit, tolerance: float) -> Settling:
    return Settling(
        verdict=SETTLED,
        steady=mean,
        steady_interval=Interval(low=mean - reach, high=mean + reach),
        to_go=0.0,
        to_go_interval=Interval(low=0.0, high=0.0),
        settled_by_h=fit.origin_h,
        time_to_95_h=float("nan"),
        tolerance=tolerance,
        moved=False,
        fit=None,
    )


def _judged(fit: ApproachFit, tolerance: float) -> Settling:
    to_go, reach = float(fit.to_go(fit.last_h)), fit.to_go_interval
    furthest = max(abs(reach.low), abs(reach.high))
    if np.isinf(furthest):
        # A known start is left in any case: what cannot be told is where it ends.
        drifts = not fit.start_known and (reach.low > 0 or reach.high < 0)
        return _unfitted(DRIFTING if drifts else OPEN, tolerance, fit=fit)
    near = SETTLED if furthest <= OPEN_OVER_TOLERANCE * tolerance else OPEN
    height = abs(fit.steady - fit.start)
    return Settling(
        verdict=near if abs(to_go) <= tolerance else STILL,
        steady=fit.steady,
        steady_interval=fit.steady_interval,
        to_go=to_go,
        to_go_interval=reach,
        settled_by_h=fit.time_to_share_h(1.0 - tolerance / height) if height > tolerance else fit.origin_h,
        time_to_95_h=fit.time_to_share_h(0.95),
        tolerance=tolerance,
        moved=True,
        fit=fit,
    )


def _unfitted(verdict: str, tolerance: float, *, fit: ApproachFit | None = None) -> Settling:
    nan = float("nan")
    return Settling(
        verdict=verdict,
        steady=nan,
        steady_interval=Interval(low=nan, high=nan) if fit is None else fit.steady_interval,
        to_go=nan,
        to_go_interval=Interval(low=nan, high=nan) if fit is None else fit.to_go_interval,
        settled_by_h=nan,
        time_to_95_h=nan,
        tolerance=tolerance,
        moved=fit is not None,
        fit=fit,
    )
