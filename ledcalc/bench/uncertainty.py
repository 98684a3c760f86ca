"""Uncertainty of a measurement as the GUM has it: standard, combined, effective degrees of freedom, coverage factor."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, choice, numbers
from ledcalc.errors import ArgumentError

__all__ = ["combined_uncertainty", "coverage_factor", "effective_degrees_of_freedom", "standard_uncertainty"]

DISTRIBUTIONS = ("rectangular", "triangular", "normal")
CORRELATION_SLACK = 1e-9


@broadcasting
def standard_uncertainty(
    half_width: ArrayLike, *, distribution: str = "rectangular", coverage_factor: ArrayLike = 2.0
) -> Numbers:
    """Return the standard uncertainty that a stated half width stands for.

    Parameters
    ----------
    half_width : at least 0, in the quantity's unit: limits either way, or an expanded uncertainty
    distribution : "rectangular" (limits, and nothing said of what lies between), "triangular" (limits, the middle more
        likely), "normal" (an expanded uncertainty, as certificates state it)
    coverage_factor : above 0: the k behind a "normal" half width; limits have none

    Returns
    -------
    in the quantity's unit, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown distribution

    References
    ----------
    JCGM 100:2008 (GUM), 4.3.3 (expanded), 4.3.7 (rectangular: a / sqrt(3)), 4.3.9 (triangular: a / sqrt(6)).

    Examples
    --------
    >>> round(standard_uncertainty(0.05), 4), standard_uncertainty(0.05, distribution="normal")
    (0.0289, 0.025)
    """
    half = numbers("half_width", half_width, at_least=0)
    divisors = {"rectangular": np.sqrt(3.0), "triangular": np.sqrt(6.0)}
    k = numbers("coverage_factor", coverage_factor, above=0)
    return answer(half / divisors.get(choice("distribution", distribution, DISTRIBUTIONS), k))


def combined_uncertainty(
    standard_uncertainties: ArrayLike, *, sensitivities: ArrayLike = 1.0, correlation: ArrayLike | None = None
) -> float:
    """Return the combined standard uncertainty of a result: u^2 = sum over i, j of c_i u_i r_ij c_j u_j.

    Parameters
    ----------
    standard_uncertainties : at least 0: one an input, each in its own unit
    sensitivities : what the result changes by for a unit of each input; 1 where the inputs are added
    correlation : symmetric, 1 along the diagonal, from -1 to 1: correlation between inputs; None: all independent

    Returns
    -------
    in the result's unit

    Raises
    ------
    ArgumentError (a ValueError): numbers out of their range, shapes that do not fit, or correlations that cannot be

    Validity
    --------
    The result changes in proportion to each input over its uncertainty.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 equation (10) and 5.2.2 equation (16).

    Examples
    --------
    >>> combined_uncertainty([3.0, 4.0])
    5.0
    >>> combined_uncertainty([3.0, 4.0], correlation=[[1, 1], [1, 1]])
    7.0
    """
    given = np.ravel(numbers("standard_uncertainties", standard_uncertainties, at_least=0))
    factors = numbers("sensitivities", sensitivities)
    if factors.shape not in ((), given.shape):
        raise ArgumentError("sensitivities", factors.shape, f"one number, or one for each of {given.size} inputs")
    parts = given * factors
    if correlation is None:
        return float(np.sqrt(parts @ parts))
    square = float(parts @ _correlation(correlation, given.size) @ parts)
    return float(np.sqrt(max(0.0, square)))


def effective_degrees_of_freedom(contributions: ArrayLike, degrees_of_freedom: ArrayLike) -> float:
    """Return the degrees of freedom that a combined uncertainty is worth, by Welch and Satterthwaite.

    Parameters
    ----------
    contributions : at least 0: what each input's standard uncertainty adds to the result's (sensitivity x uncertainty)
    degrees_of_freedom : above 0, may be infinite: how well each of them is known; readings less fitted values

    Returns
    -------
    above 0; infinite where nothing rests on few readings. Not cut to a whole number.

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or shapes that do not fit

    Validity
    --------
    Inputs are independent.

    References
    ----------
    JCGM 100:2008 (GUM), G.4.1 equation (G.2b).

    Examples
    --------
    >>> round(effective_degrees_of_freedom([0.25, 0.57, 0.82], [9, 4, 14]), 1)
    19.0
    """
    parts = np.ravel(numbers("contributions", contributions, at_least=0))
    freedom = numbers("degrees_of_freedom", degrees_of_freedom, above=0, infinite=True)
    if freedom.shape not in ((), parts.shape):
        raise ArgumentError("degrees_of_freedom", freedom.shape, f"one number, or one for each of {parts.size} parts")
    # Shares of the whole: no overflow or underflow, whatever the unit.
    total = np.sqrt(parts @ parts)
    if total == 0:
        return float("inf")
    doubt = float(((parts / total) ** 4 / freedom).sum())
    return 1.0 / doubt if doubt > 0 else float("inf")


@broadcasting
def coverage_factor(level_fraction: ArrayLike, degrees_of_freedom: ArrayLike = np.inf) -> Numbers:
    """Return the factor that a standard uncertainty is multiplied by for an interval of a given level of confidence.

    Parameters
    ----------
    level_fraction : above 0, below 1: 0.95 for nineteen in twenty
    degrees_of_freedom : above 0, may be infinite

    Returns
    -------
    Student's t, two-sided, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The result is about normal. One rectangular part that outweighs the rest makes it not so:
    ``Estimate.half_width`` goes by the parts' own shapes.

    References
    ----------
    JCGM 100:2008 (GUM), G.3 and table G.2.

    Examples
    --------
    >>> round(coverage_factor(0.95), 2), round(coverage_factor(0.95, 10), 2)
    (1.96, 2.23)
    """
    from scipy.special import stdtrit

    level = numbers("level_fraction", level_fraction, above=0, below=1)
    freedom = numbers("degrees_of_freedom", degrees_of_freedom, above=0, infinite=True)
    return answer(np.asarray(stdtrit(freedom, (1.0 + level) / 2.0), dtype=float))


def _correlation(correlation: ArrayLike, count: int) -> FloatArray:
    matrix = numbers("correlation", correlation, at_least=-1, at_most=1)
    if matrix.shape != (count, count):
        raise ArgumentError("correlation", matrix.shape, f"shape ({count}, {count})")
    alike = np.allclose(matrix, matrix.T, atol=CORRELATION_SLACK, rtol=0)
    if not alike or not np.allclose(np.diag(matrix), 1.0, atol=CORRELATION_SLACK, rtol=0):
        raise ArgumentError("correlation", matrix.tolist(), "symmetric, with 1 along the diagonal")
    if np.linalg.eigvalsh(matrix).min() < -CORRELATION_SLACK * count:
        raise ArgumentError("correlation", matrix.tolist(), "correlations that can hold together")
    return matrix
