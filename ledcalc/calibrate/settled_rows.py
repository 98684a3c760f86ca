"""Which rows of the current log were read with everything warm: where nothing moves any more that meters can tell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray

__all__ = ["settled_from"]

# Two readings of one thing differ by more than so many of their joint standard deviations once in 400 times.
APART = 3.0 * np.sqrt(2.0)
# Among many rows a few stand apart by chance.
APART_BY_CHANCE = 0.05
# The rows at the end that the others are held against.
LAST_PART = 0.25


def settled_from(quantities: list[tuple[FloatArray, FloatArray]]) -> int:
    """Return the first of one board's rows from which on it counts as settled.

    Parameters
    ----------
    quantities : values and their standard deviation, one pair a quantity, rows in order of time; NaN: not read

    Returns
    -------
    a row number; the last row at the latest

    Examples
    --------
    >>> sigma = np.full(5, 0.1)
    >>> settled_from([(np.array([20.0, 30.0, 36.0, 39.9, 40.0]), sigma)])
    3
    """
    rows = len(quantities[0][0])
    moving: NDArray[np.bool_] = np.zeros(rows, dtype=bool)
    for values, sigma in quantities:
        read = np.flatnonzero(np.isfinite(values))
        if read.size:
            last = read[-max(1, round(LAST_PART * read.size)) :]
            apart = np.abs(values - np.median(values[last])) > APART * sigma
            moving |= np.isfinite(values) & apart
    moving[-1] = False
    after = np.cumsum(moving[::-1])[::-1] / np.arange(rows, 0, -1)
    return int(np.flatnonzero(~moving & (after <= APART_BY_CHANCE))[0])
