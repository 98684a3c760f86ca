"""How far a sum of independent errors reaches: rectangular limits and normal ones put together exactly.

The density of a sum is the convolution of its parts' densities; its characteristic function is their product, which
one Fourier series turns into the distribution. The same answer as the Monte Carlo of GUM Supplement 1, without draws.
"""

from __future__ import annotations

from statistics import NormalDist

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["all_below", "chance_within", "half_width_of_sum", "half_widths_of_sums", "sum_tables"]

TERMS = 1024
# A sum of many parts is normal to 0.2 % of its 95 % half width where its excess kurtosis is smaller than this.
NORMAL_FROM_KURTOSIS = 0.05
# The smallest parts are one normal part where they bring the whole no more excess kurtosis than this.
FOLDED_KURTOSIS = 0.001


def half_widths_of_sums(half_widths: FloatArray, standard: FloatArray, confidence: FloatArray | float) -> FloatArray:
    """Return how far each of several sums of independent errors, all centred on 0, reaches either way.

    Parameters
    ----------
    half_widths : shape (sums, parts), at least 0: of the rectangular parts
    standard : shape (sums,), at least 0: standard deviation of the normal part
    confidence : from 0 to 1, one or one a sum

    Returns
    -------
    shape (sums,)
    """
    level = np.broadcast_to(np.asarray(confidence, dtype=float), standard.shape)
    parts = half_widths**2 / 3.0
    variance = parts.sum(axis=1) + standard**2
    positive = variance > 0
    kurtosis = 1.2 * (parts**2).sum(axis=1) / np.where(positive, variance, 1.0) ** 2
    quantile = NormalDist().inv_cdf
    found: FloatArray = np.array([quantile(0.5 + each / 2.0) for each in level]) * np.sqrt(variance)
    exact = np.flatnonzero(positive & (kurtosis > NORMAL_FROM_KURTOSIS))
    if exact.size:
        grid, chance = sum_tables(half_widths[exact], standard[exact])
        found[exact] = [np.interp(0.5 + level[i] / 2.0, row, x) for i, row, x in zip(exact, chance, grid, strict=True)]
    return found


def half_width_of_sum(half_widths: FloatArray, standard: float = 0.0, confidence: float = 0.95) -> float:
    """Return how far one sum of independent errors reaches either way."""
    parts = np.ravel(half_widths)[None, :]
    return float(half_widths_of_sums(parts, np.array([standard]), confidence)[0])


def chance_within(reach: float, half_widths: FloatArray, standard: float = 0.0) -> float:
    """Return the chance that one sum of independent errors stays within a reach either way."""
    parts = np.ravel(half_widths)
    variance = float((parts**2).sum() / 3.0 + standard**2)
    if variance <= 0:
        return 1.0
    if 1.2 * float((parts**4).sum()) / 9.0 / variance**2 <= NORMAL_FROM_KURTOSIS:
        return 2.0 * NormalDist().cdf(abs(reach) / variance**0.5) - 1.0
    grid, chance = sum_tables(parts[None, :], np.array([standard]))
    return float(2.0 * np.interp(abs(reach), grid[0], chance[0], right=1.0) - 1.0)


def sum_tables(half_widths: FloatArray, standard: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the distribution of each sum from 0 upward: places and the chance of lying below, shape (sums, places).

    It is symmetric: what lies below -x lies above x.
    """
    half_widths, standard = _folded(half_widths, standard)
    spread = np.sqrt((half_widths**2).sum(axis=1) / 3.0 + standard**2)
    reach = np.minimum(half_widths.sum(axis=1) + 6.0 * standard, 8.0 * spread)
    reach = np.where(reach > 0, reach, 1.0)
    k = np.arange(1, TERMS)
    # On a period that holds the whole density, its Fourier coefficients are the characteristic function's values.
    wave = np.exp(-0.5 * (np.pi * k * (standard / reach)[:, None]) ** 2)
    for part in (half_widths / reach[:, None]).T:
        wave = wave * np.sinc(part[:, None] * k)
    series = np.zeros((reach.size, 2 * TERMS), dtype=complex)
    series[:, 1:TERMS] = wave / (np.pi * k)
    sines = np.fft.ifft(series, axis=1).imag[:, : TERMS + 1] * 2 * TERMS
    place = np.arange(TERMS + 1) / TERMS
    chance = np.clip(0.5 + place / 2.0 + sines, 0.0, 1.0)
    return reach[:, None] * place, np.maximum.accumulate(chance, axis=1)


def _folded(half_widths: FloatArray, standard: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the sums with their many small parts as part of the normal one: one of thousands needs no wave of its own.

    The largest parts come first, as many in each sum as any of them needs.
    """
    variance = np.sort(half_widths**2 / 3.0, axis=1)
    whole = variance.sum(axis=1) + standard**2
    kurtosis = 1.2 * np.cumsum(variance**2, axis=1) / np.where(whole > 0, whole, 1.0)[:, None] ** 2
    folded = int((kurtosis <= FOLDED_KURTOSIS).sum(axis=1).min())
    small = variance[:, :folded].sum(axis=1)
    return np.sqrt(3.0 * variance[:, folded:]), np.sqrt(standard**2 + small)


def all_below(room: FloatArray, grid: FloatArray, chance: FloatArray) -> FloatArray:
    """Return the chance that no error exceeds its room.

    Parameters
    ----------
    room : shape (sums, cases): how far each error may reach
    grid, chance : as ``sum_tables`` gives them

    Returns
    -------
    shape (cases,)
    """
    whole = np.ones(room.shape[1])
    for row, x, below in zip(room, grid, chance, strict=True):
        reached = np.interp(np.abs(row), x, below, right=1.0)
        whole = whole * np.where(row >= 0, reached, 1.0 - reached)
    return whole
