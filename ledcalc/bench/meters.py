"""Meter accuracy as data sheets state it: a share of the reading plus some digits."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers

__all__ = ["meter_half_width"]


@broadcasting
def meter_half_width(
    reading: ArrayLike, *, accuracy_fraction: ArrayLike, counts: ArrayLike = 0.0, resolution: ArrayLike = 0.0
) -> Numbers:
    """Return how far the true value may lie from a reading, either way: share x reading + counts x resolution.

    Parameters
    ----------
    reading : in the meter's unit, any sign
    accuracy_fraction : at least 0, below 1: the percentage of reading, as a share
    counts : at least 0: the digits that the data sheet adds
    resolution : at least 0, in the meter's unit: value of the last digit

    Returns
    -------
    in the meter's unit, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Meter makers' general specifications: worst error = percentage x reading + counts x resolution.

    Examples
    --------
    >>> meter_half_width(100.0, accuracy_fraction=0.02, counts=2, resolution=0.1)
    2.2
    """
    share = numbers("accuracy_fraction", accuracy_fraction, at_least=0, below=1)
    digits = numbers("counts", counts, at_least=0) * numbers("resolution", resolution, at_least=0)
    return answer(np.abs(numbers("reading", reading)) * share + digits)
