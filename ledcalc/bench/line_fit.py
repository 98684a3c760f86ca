"""A straight line through readings: slope, intercept, their errors, and how far the line itself may be off."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError

__all__ = ["LineFit", "straight_line", "student_factor"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineFit:
    """y = intercept + slope x, with standard errors.

    ``residual_standard_deviation`` is the readings' scatter about the line (NaN without a degree of freedom), weighted
    to the mean weight. ``known_uncertainty``: whether errors come from the readings' stated uncertainty or from that
    scatter. ``weights_of_slope``: what a change of each reading changes the slope by.
    """

    slope: float
    intercept: float
    slope_standard_error: float
    intercept_standard_error: float
    covariance: float
    chi_square: float
    residual_standard_deviation: float
    degrees_of_freedom: int
    known_uncertainty: bool
    weights_of_slope: FloatArray

    def at(self, x: ArrayLike) -> Numbers:
        """Return the line's value."""
        return answer(self.intercept + self.slope * np.asarray(x, dtype=float))

    def standard_error_at(self, x: ArrayLike) -> Numbers:
        """Return the standard error of the line's value."""
        place = np.asarray(x, dtype=float)
        variance = self.intercept_standard_error**2 + 2.0 * self.covariance * place
        return answer(np.sqrt(np.maximum(variance + (self.slope_standard_error * place) ** 2, 0.0)))

    def coverage_factor(self, confidence: float = 0.95) -> float:
        """Return how many standard errors: a normal's where uncertainties are stated, Student's t where not."""
        level = float(numbers("confidence", confidence, above=0, below=1))
        if self.known_uncertainty:
            return NormalDist().inv_cdf(0.5 + level / 2.0)
        return student_factor(self.degrees_of_freedom, level)


def student_factor(degrees_of_freedom: int, confidence: float) -> float:
    """Return Student's two-sided t; infinite without a degree of freedom."""
    from scipy.special import stdtrit

    return float(stdtrit(degrees_of_freedom, 0.5 + confidence / 2.0)) if degrees_of_freedom > 0 else float("inf")


def straight_line(x: ArrayLike, y: ArrayLike, *, standard_uncertainty: ArrayLike | None = None) -> LineFit:
    """Return the straight line of least squares through readings.

    Parameters
    ----------
    x, y : any unit, as many of either, at least two different x
    standard_uncertainty : above 0, in y's unit, one or one a reading: each reading's own. None: all alike, taken from
        the readings' scatter about the line

    Returns
    -------
    LineFit

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, fewer than two different x, or a number out of its range

    Validity
    --------
    x is exact, errors of y independent of each other. With two readings and no stated uncertainty, errors are NaN.

    References
    ----------
    Weighted least squares; JCGM 100 (GUM) Annex H.3 for the errors of a line's value.

    Examples
    --------
    >>> line = straight_line([0.0, 1.0, 2.0], [1.0, 3.0, 5.0])
    >>> line.slope, line.at(3.0)
    (2.0, 7.0)
    """
    place, value = (np.ravel(numbers(name, given)) for name, given in (("x", x), ("y", y)))
    if place.size != value.size or place.size < 2 or np.ptp(place) <= 0:
        raise ArgumentError("x", place.tolist()[:5], f"one for each of {value.size} y, at least two of them different")
    known = standard_uncertainty is not None
    weight = np.ones(place.size)
    if standard_uncertainty is not None:
        own = numbers("standard_uncertainty", standard_uncertainty, above=0)
        weight = 1.0 / np.broadcast_to(own, place.shape) ** 2
    return _fitted(place, value, weight, known)


def _fitted(x: FloatArray, y: FloatArray, weight: FloatArray, known: bool) -> LineFit:
    total = weight.sum()
    middle, level = weight @ x / total, weight @ y / total
    away = x - middle
    spread = weight @ away**2
    weights = weight * away / spread
    slope = weights @ (y - level)
    chi_square = float(weight @ (y - level - slope * away) ** 2)
    freedom = x.size - 2
    scatter = chi_square / freedom if freedom else float("nan")
    unit = 1.0 if known else scatter
    return LineFit(
        slope=float(slope),
        intercept=float(level - slope * middle),
        slope_standard_error=float(np.sqrt(unit / spread)),
        intercept_standard_error=float(np.sqrt(unit * (1.0 / total + middle**2 / spread))),
        covariance=float(-unit * middle / spread),
        chi_square=chi_square,
        residual_standard_deviation=float(np.sqrt(scatter * x.size / total)),
        degrees_of_freedom=freedom,
        known_uncertainty=known,
        weights_of_slope=weights,
    )
