"""Least squares with what is known beforehand: readings and priors weigh by their widths, values stay in bounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError

__all__ = ["Solution", "solve"]

# A step that moves the readings together by less than this part of a standard deviation ends the search, or one that
# gains less than this of chi-square.
SETTLED, NO_WORSE = 1e-3, 1e-4
MOST_STEPS, MOST_HALVINGS = 20, 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """Values with their covariance. ``design``: slopes over the readings' deviations; ``chi_square``: readings and
    priors together; ``at_bound``: which values are held by a bound."""

    values: FloatArray
    covariance: FloatArray
    design: FloatArray
    chi_square: float
    at_bound: NDArray[np.bool_]


def solve(
    predict: Callable[[FloatArray], FloatArray | None],
    slopes: Callable[[FloatArray], FloatArray],
    measured: FloatArray,
    sigma: FloatArray,
    *,
    prior: FloatArray,
    covariance: FloatArray,
    low: FloatArray,
    high: FloatArray,
    start: FloatArray | None = None,
) -> Solution:
    """Return the values that fit readings and priors best.

    Parameters
    ----------
    predict : values -> readings predicted, None where there is no such state
    slopes : values -> their derivatives, (readings, values)
    measured, sigma : the readings and their standard deviations, above 0; independent of each other
    prior, covariance : what is known of the values beforehand
    low, high : bounds
    start : where to start from; None: the prior

    Returns
    -------
    Solution

    Raises
    ------
    ArgumentError (a ValueError): no readings, or standard deviations that are not above 0

    Validity
    --------
    Errors by the tangent at the solution: right where readings are near linear within the errors, and no value is at
    its bound.

    References
    ----------
    Generalised least squares with pseudo-observations for the priors (Aitken 1935; the maximum of the posterior for
    normal errors): minimise sum ((y - f) / sigma)^2 + (x - x0)' P^-1 (x - x0); covariance (J' W J + P^-1)^-1.
    Gauss-Newton; each step within bounds by the active sets of Stark & Parker 1995 (BVLS), as SciPy has them.

    Examples
    --------
    >>> line = np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 2.0]])
    >>> found = solve(lambda x: line @ x, lambda x: line, np.array([1.0, 3.0, 5.0]), np.full(3, 0.1),
    ...               prior=np.zeros(2), covariance=np.eye(2) * 1e6, low=np.full(2, -9.0), high=np.full(2, 9.0))
    >>> found.values.round(3).tolist()
    [1.0, 2.0]
    """
    if not measured.size or not (sigma > 0).all():
        raise ArgumentError("sigma", sigma.tolist(), "one above 0 for each of at least one reading")
    whiten = np.linalg.inv(np.linalg.cholesky(covariance))

    def residuals(values: FloatArray) -> FloatArray:
        predicted = predict(values)
        off = np.full(measured.size, np.inf) if predicted is None else (predicted - measured) / sigma
        return np.concatenate([off, whiten @ (values - prior)])

    values = np.clip(prior if start is None else start, low, high)
    off = residuals(values)
    for _ in range(MOST_STEPS):
        tangent = np.concatenate([slopes(values) / sigma[:, None], whiten])
        step = _bounded_step(tangent, off, low - values, high - values)
        if np.linalg.norm(tangent @ step) < SETTLED:
            break
        # Full steps do, but where the fixture would not settle or the readings are far from linear.
        for _ in range(MOST_HALVINGS):
            then = residuals(values + step)
            if then @ then < off @ off + NO_WORSE:
                break
            step = step / 2.0
        gain = float(off @ off - then @ then)
        if gain > 0:
            values, off = values + step, then
        if gain < NO_WORSE:
            break
    return Solution(
        values=values,
        covariance=np.linalg.inv(tangent.T @ tangent),
        design=tangent[: measured.size],
        chi_square=float(off @ off),
        at_bound=(values <= low) | (values >= high),
    )


def _bounded_step(tangent: FloatArray, off: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Return the step to the least squares of the linearised readings, within bounds."""
    from scipy.optimize import lsq_linear

    found = lsq_linear(tangent, -off, bounds=(low, high), method="bvls")
    return np.asarray(np.clip(found.x, low, high), dtype=float)
