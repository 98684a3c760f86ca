"""Chi-square, and what it says in plain words."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["agreement", "chi_square_of"]

# Chances at which agreement is doubted: one in a hundred each way.
CHANCE = 0.01


def agreement(chi_square: float, degrees_count: int, *, what: str = "the readings") -> str:
    """Say whether readings and model agree within the accuracy that is stated.

    Parameters
    ----------
    chi_square : at least 0: sum of squared differences over their variances
    degrees_count : at least 1
    what : what is compared, plural

    References
    ----------
    Pearson's chi-square test; its distribution function as SciPy has it.

    Examples
    --------
    >>> agreement(95.0, 100)
    "the readings agree with the model within the meters' accuracy"
    >>> agreement(324.0, 100).partition(":")[0]
    "the readings are 1.8 times the meters' accuracy off"
    """
    from scipy.special import chdtr, chdtrc

    ratio = (chi_square / degrees_count) ** 0.5
    if chdtrc(degrees_count, chi_square) < CHANCE:
        return (
            f"{what} are {ratio:.1f} times the meters' accuracy off: something is there that the model does not have, "
            "or a meter is worse than stated"
        )
    if chdtr(degrees_count, chi_square) < CHANCE:
        return (
            f"{what} agree with the model to {ratio:.1f} of the meters' accuracy: the meters are better than stated, "
            "or readings were not taken one by one"
        )
    return f"{what} agree with the model within the meters' accuracy"


def chi_square_of(off: FloatArray, sigma: FloatArray, slopes: FloatArray, covariance: FloatArray) -> float:
    """Return the chi-square of differences that scatter each by itself and share what other values are unsure by.

    Parameters
    ----------
    off : differences
    sigma : above 0: their own standard deviations
    slopes : (differences, values): how they go with the values
    covariance : of the values

    References
    ----------
    r' (D + J P J')^-1 r by the matrix inversion lemma (Woodbury 1950).

    Examples
    --------
    >>> chi_square_of(np.array([1.0, 1.0]), np.ones(2), np.ones((2, 1)), np.array([[1.0]]))
    0.6666666666666667
    """
    own, shared = off / sigma, slopes / sigma[:, None]
    pull = shared.T @ own
    inner = np.linalg.inv(covariance) + shared.T @ shared
    return float(own @ own - pull @ np.linalg.solve(inner, pull))
