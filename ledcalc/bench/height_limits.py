"""What boards at a height cannot do: light spreads over about the height, so that no dip or peak is sharper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError

__all__ = ["DipLimits", "dip_limits"]

# Places of a board that are tried, in heights: how far out, and how close.
OUT_TO, STEPS = 4.0, 161


@dataclass(frozen=True, slots=True, kw_only=True)
class DipLimits:
    """The most that boards at one height can do: how far a reading lies below or above its neighbours' mean."""

    dip_fraction: float
    peak_fraction: float


def dip_limits(
    x_offsets_m: ArrayLike, y_offsets_m: ArrayLike, height_m: float, *, cosine_exponent: float = 1.0
) -> DipLimits:
    """Return how far a reading can lie below or above the mean of its neighbours under boards at one height.

    Parameters
    ----------
    x_offsets_m, y_offsets_m : m: where the neighbours lie, from the reading
    height_m : m, above 0: of the boards' faces over the sensor
    cosine_exponent : above 0: of the boards' beam, 1 for a Lambertian one

    Returns
    -------
    DipLimits

    Raises
    ------
    ArgumentError (a ValueError): no neighbour, lists of different lengths, or a number out of its range

    Validity
    --------
    Any number of level boards at any places, of any sizes and fluxes: light adds, so no sum of them goes beyond the
    single point source that does it most. Light off walls is not counted: within a height of them take it as a hint.

    References
    ----------
    PPFD of a point source at height h: proportional to h^(m+1) / (h^2 + r^2)^((m+3)/2).

    Examples
    --------
    >>> limits = dip_limits([0.15, -0.15, 0, 0], [0, 0, 0.15, -0.15], 0.45)
    >>> round(limits.dip_fraction, 3), round(limits.peak_fraction, 3)
    (0.074, 0.235)
    """
    dx, dy = np.ravel(numbers("x_offsets_m", x_offsets_m)), np.ravel(numbers("y_offsets_m", y_offsets_m))
    height = float(numbers("height_m", height_m, above=0))
    power = (float(numbers("cosine_exponent", cosine_exponent, above=0)) + 3.0) / 2.0
    if dx.size == 0 or dx.shape != dy.shape:
        raise ArgumentError("x_offsets_m", dx.size, f"at least one neighbour, as many as y_offsets_m ({dy.size})")
    reach = OUT_TO + float(np.hypot(dx, dy).max()) / height
    line = np.linspace(-reach, reach, STEPS)
    source_x, source_y = (axis.ravel() for axis in np.meshgrid(line, line))
    own = (1.0 + source_x**2 + source_y**2) ** -power
    square = (source_x - dx[:, None] / height) ** 2 + (source_y - dy[:, None] / height) ** 2
    ratio = own / np.mean((1.0 + square) ** -power, axis=0)
    return DipLimits(dip_fraction=float(1.0 - ratio.min()), peak_fraction=float(ratio.max() - 1.0))
