"""Thin plates through readings: covariances, trends, and how stiff the readings make the plate."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["Amplitudes", "likely_amplitudes", "mirrored_plate", "outside_trend", "plate", "trend"]

# Shares of the level by which a plate bends over half the longer side, and factors on the stated noise, first roughly,
# then closer.
ROUGH_BENDS = (0.0, 0.004, 0.016, 0.064, 0.25, 1.0)
ROUGH_NOISE = (1.0, 2.0, 4.0)
CLOSER_BENDS = (0.5, 1.0, 2.0)
CLOSER_NOISE = (0.7, 1.0, 1.4)
FIRST_BEND = 0.002
# Stated noise is held to be right within this factor, give or take, until the readings say otherwise.
NOISE_DOUBT = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Amplitudes:
    """How much of a field is what: ``mirrored`` its part alike on both sides of both middle lines, ``free`` the rest,
    ``noise_factor`` the readings' scatter over the stated one, at least 1."""

    mirrored: float
    free: float
    noise_factor: float


def plate(u: FloatArray, v: FloatArray, u2: FloatArray, v2: FloatArray) -> FloatArray:
    """Return r^2 ln r between two lists of places: the covariance, up to a trend, of a plate bent at random.

    References
    ----------
    Duchon (1977); as a covariance: Wahba, Spline Models for Observational Data (1990), from memory.
    """
    square = (u[:, None] - u2) ** 2 + (v[:, None] - v2) ** 2
    return np.asarray(0.5 * square * np.log(np.where(square > 0, square, 1.0)))


def mirrored_plate(u: FloatArray, v: FloatArray, u2: FloatArray, v2: FloatArray) -> FloatArray:
    """Return the same for a plate bent alike on both sides of both middle lines."""
    return np.asarray(sum(plate(u, v, a * u2, b * v2) for a, b in product((1, -1), (1, -1))) / 4.0)


def trend(u: FloatArray, v: FloatArray, degree: int) -> FloatArray:
    """Return the columns of a polynomial of degree 0 to 2: 1; u, v; u^2, uv, v^2."""
    columns = [np.ones_like(u), u, v, u * u, u * v, v * v][: (1, 3, 6)[degree]]
    return np.stack(columns, axis=-1)


def outside_trend(columns: FloatArray) -> FloatArray:
    """Return a basis of what a trend cannot follow: orthonormal, a column each."""
    full, _ = np.linalg.qr(columns, mode="complete")
    return np.asarray(full[:, columns.shape[1] :])


def likely_amplitudes(
    values: FloatArray, columns: FloatArray, mirrored: FloatArray | None, free: FloatArray, noise: FloatArray
) -> Amplitudes:
    """Return the amplitudes under which the values, less a trend, are likeliest (restricted maximum likelihood).

    Parameters
    ----------
    values : readings or their logarithms
    columns : of the trend
    mirrored, free : covariances of the two parts at amplitude 1; None: no part of its own
    noise : stated standard deviation of each value, above 0

    References
    ----------
    Patterson and Thompson (1971); Stein, Interpolation of Spatial Data (1999), 6.4, from memory.
    """
    basis = outside_trend(columns)
    seen = basis.T @ values
    parts = [basis.T @ part @ basis for part in (free if mirrored is None else mirrored, free, np.diag(noise**2))]
    even = ROUGH_BENDS if mirrored is not None else (0.0,)
    best = _best(seen, parts, list(product(even, ROUGH_BENDS, ROUGH_NOISE)))
    near = [[FIRST_BEND, 0.0] if bend == 0 else [bend * factor for factor in CLOSER_BENDS] for bend in best[:2]]
    if mirrored is None:
        near[0] = [0.0]
    noises = [max(1.0, best[2] * factor) for factor in CLOSER_NOISE]
    even_bend, free_bend, factor = _best(seen, parts, list(product(*near, noises)))
    return Amplitudes(mirrored=even_bend, free=free_bend, noise_factor=factor)


def _best(seen: FloatArray, parts: list[FloatArray], tries: list[tuple[float, ...]]) -> tuple[float, float, float]:
    squares = np.array(tries) ** 2
    covariance = np.tensordot(squares, np.array(parts), axes=1)
    root = np.linalg.cholesky(covariance)
    logarithm = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    solved = np.linalg.solve(covariance, np.broadcast_to(seen[:, None], (len(tries), seen.size, 1)))[..., 0]
    doubt = 0.5 * (np.log([one[2] for one in tries]) / np.log(NOISE_DOUBT)) ** 2
    place = int(np.argmax(-logarithm - 0.5 * (solved @ seen) - doubt))
    first, second, third = tries[place]
    return first, second, third
