"""Exponential approach to a steady value, fitted to readings; the steady value extrapolated with its error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.bench.approach_profile import (
    ApproachData,
    Interval,
    condensed,
    interval_of,
    profile,
    sharpened,
    time_constants,
)
from ledcalc.errors import ArgumentError

__all__ = ["ApproachFit", "fit_approach"]

LOCAL_COUNT = 81
LOCAL_REACH = 5.0
# A parameter that changes readings by less changes none.
NOTHING = 1e-100


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ApproachFit:
    """value = steady + (start - steady) exp(-(t - origin_h) / time_constant_h), with errors.

    Standard errors are those of the linearised fit. ``steady_interval``, ``time_constant_interval_h`` and
    ``to_go_interval`` (what is still to go at the last reading) hold at ``confidence`` and are profile likelihoods',
    which stay right where few readings bend the fit; infinite on a side that the readings leave open. ``covariance``
    is of steady value, start and time constant. The start is that at the first reading unless it was given.
    """

    steady: float
    start: float
    time_constant_h: float
    origin_h: float
    last_h: float
    steady_standard_error: float
    start_standard_error: float
    time_constant_standard_error_h: float
    steady_interval: Interval
    time_constant_interval_h: Interval
    to_go_interval: Interval
    confidence: float
    covariance: FloatArray
    chi_square: float
    residual_standard_deviation: float
    degrees_of_freedom: int
    start_known: bool

    def at(self, elapsed_h: ArrayLike) -> Numbers:
        """Return the fitted value at a time."""
        return answer(self.steady - np.asarray(self.to_go(elapsed_h)))

    def to_go(self, elapsed_h: ArrayLike) -> Numbers:
        """Return what the value has still to change by from a time on."""
        since = np.asarray(elapsed_h, dtype=float) - self.origin_h
        return answer((self.steady - self.start) * np.exp(-since / self.time_constant_h))

    def time_to_share_h(self, share_fraction: float = 0.95) -> float:
        """Return the elapsed time at which a share of the change from the start is done."""
        share = float(numbers("share_fraction", share_fraction, at_least=0, below=1))
        return self.origin_h - self.time_constant_h * float(np.log1p(-share))

    def gradient(self, elapsed_h: ArrayLike) -> FloatArray:
        """Return what steady value, start and time constant change the fitted value by; shape (3, times)."""
        since = np.atleast_1d(np.asarray(elapsed_h, dtype=float)) - self.origin_h
        decay = np.exp(-since / self.time_constant_h)
        height = self.start - self.steady
        known = np.zeros_like(decay) if self.start_known else decay
        return np.stack([1.0 - decay, known, height * decay * since / self.time_constant_h**2])


def fit_approach(
    elapsed_h: ArrayLike,
    value: ArrayLike,
    *,
    standard_uncertainty: ArrayLike | None = None,
    start: float | None = None,
    confidence: float = 0.95,
) -> ApproachFit:
    """Return the exponential approach of least squares through readings.

    Parameters
    ----------
    elapsed_h, value : h and any unit, as many of either; at least three different times, two with a known start
    standard_uncertainty : above 0, in the value's unit, one or one a reading. None: all alike, taken from the scatter
    start : the value at 0 h where it is known (a temperature rise over air: 0). None: fitted
    confidence : above 0, below 1: of the intervals

    Returns
    -------
    ApproachFit

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, too few different times, or a number out of its range

    Validity
    --------
    One time constant, from a fifth of the shortest gap between readings to ten times the log: a longer one is a
    straight line to the log, and the steady value is then open on that side.

    References
    ----------
    Least squares by projection: the best steady value and start are linear for each time constant (Golub and Pereyra,
    1973, from memory); profile likelihood: Bates and Watts, Nonlinear Regression Analysis (1988), chapter 6, from
    memory.

    Examples
    --------
    >>> fit = fit_approach([0.5, 1.0, 2.0, 4.0], [11.802, 18.961, 25.940, 29.451], start=0.0)
    >>> round(fit.steady, 2), round(fit.time_constant_h, 3), round(fit.time_to_share_h(0.95), 1)
    (30.0, 1.0, 3.0)
    """
    level = float(numbers("confidence", confidence, above=0, below=1))
    whole, known = _data(elapsed_h, value, standard_uncertainty, start)
    data = condensed(whole)
    grid = profile(data, time_constants(data))
    tau, steady, begin = sharpened(data, grid)
    inverse = _inverse(data, steady, begin, tau)
    fitted = steady + (begin - steady) * np.exp(-data.time_h / tau)
    chi_square = float(data.weight @ (data.value - fitted) ** 2) + data.within
    freedom = whole.time_h.size - (3 if start is None else 2)
    scatter = chi_square / freedom if freedom > 0 else float("nan")
    covariance = inverse if known else inverse * scatter
    intervals = _intervals(
        data, tau, chi_square - data.within, covariance, _limit(level, freedom, None if known else scatter)
    )
    told = np.diag(inverse) > 0
    errors = np.where(told, np.sqrt(np.maximum(np.diag(covariance), 0.0)), np.inf)
    return ApproachFit(
        steady=steady,
        start=begin,
        time_constant_h=tau,
        origin_h=data.origin_h,
        last_h=data.origin_h + float(whole.time_h[-1]),
        steady_standard_error=float(errors[0]),
        start_standard_error=float(errors[1]) if start is None else 0.0,
        time_constant_standard_error_h=float(errors[2]),
        steady_interval=intervals[0],
        time_constant_interval_h=intervals[1],
        to_go_interval=intervals[2],
        confidence=level,
        covariance=covariance,
        chi_square=chi_square,
        residual_standard_deviation=float(np.sqrt(scatter * whole.time_h.size / data.weight.sum())),
        degrees_of_freedom=freedom,
        start_known=start is not None,
    )


def _data(
    elapsed_h: ArrayLike, value: ArrayLike, uncertainty: ArrayLike | None, start: float | None
) -> tuple[ApproachData, bool]:
    time, reading = (np.ravel(numbers(name, v)) for name, v in (("elapsed_h", elapsed_h), ("value", value)))
    different = np.unique(time).size
    least = 3 if start is None else 2
    if time.size != reading.size or different < least:
        raise ArgumentError(
            "elapsed_h", different, f"one for each of {reading.size} values, {least} different at least"
        )
    origin = float(time.min()) if start is None else 0.0
    numbers("elapsed_h", time, at_least=origin)
    weight = np.ones(time.size)
    if uncertainty is not None:
        weight = 1.0 / np.broadcast_to(numbers("standard_uncertainty", uncertainty, above=0), time.shape) ** 2
    order = np.argsort(time, kind="stable")
    begin = None if start is None else float(numbers("start", start))
    data = ApproachData(
        time_h=time[order] - origin, value=reading[order], weight=weight[order], origin_h=origin, start=begin
    )
    return data, uncertainty is not None


def _inverse(data: ApproachData, steady: float, start: float, tau: float) -> FloatArray:
    """Return the inverse of the normal equations of steady value, start and time constant.

    0 for a known start, and for what the readings say nothing of.
    """
    decay = np.exp(-data.time_h / tau)
    free = [0, 1, 2] if data.start is None else [0, 2]
    columns = np.stack([1.0 - decay, decay, (start - steady) * decay * data.time_h / tau**2], axis=1)[:, free]
    columns *= np.sqrt(data.weight)[:, None]
    # Columns of one size: a pseudo-inverse drops what is small beside the rest.
    size = np.sqrt((columns**2).sum(axis=0))
    size = np.where(size > NOTHING, size, 1.0)
    columns /= size
    inverse = np.zeros((3, 3))
    inverse[np.ix_(free, free)] = np.linalg.pinv(columns.T @ columns) / np.outer(size, size)
    return inverse


def _limit(confidence: float, freedom: int, scatter: float | None) -> float:
    """Return how far chi-square may rise above its least for a value to stay within the interval."""
    from scipy.special import chdtri, stdtrit

    if scatter is None:
        return float(chdtri(1.0, 1.0 - confidence))
    return float(stdtrit(freedom, 0.5 + confidence / 2.0)) ** 2 * scatter if freedom > 0 else float("inf")


def _intervals(
    data: ApproachData, tau: float, chi_square: float, covariance: FloatArray, rise: float
) -> tuple[Interval, Interval, Interval]:
    grid = time_constants(data)
    reach = min(LOCAL_REACH * float(np.sqrt(max(np.nan_to_num(covariance[2, 2]), 0.0))) / tau, 2.0)
    near = tau * np.exp(np.linspace(-reach, reach, LOCAL_COUNT))
    found = profile(data, np.unique(np.clip(np.concatenate([grid, near]), grid[0], grid[-1])))
    limit = max(chi_square, float(found.chi_square.min())) + rise
    fits = found.chi_square <= limit
    longest, shortest = bool(fits[-1]), bool(fits[0])
    constants = Interval(
        low=0.0 if shortest else float(found.time_constant_h[fits].min()),
        high=float("inf") if longest else float(found.time_constant_h[fits].max()),
    )
    steady = interval_of(found, found.steady, found.steady_variance, limit=limit)
    to_go = interval_of(found, found.to_go, found.to_go_variance, limit=limit)
    return steady, constants, to_go
