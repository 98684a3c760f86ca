"""How much of a result's spread each input makes, alone and with others: variance-based indices."""

from __future__ import annotations

import inspect
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.variants.sensitivity import Factor, Model, table_of_results

__all__ = ["SobolIndices", "sobol_indices"]

# Variance so small against the mean that it is rounding.
STEADY = 1e-24


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SobolIndices:
    """Shares of the variance; arrays of a row a factor and a column a figure.

    ``first``: by the input alone; ``total``: by the input with all that it does together with others. ``first_low`` to
    ``first_high`` and ``total_low`` to ``total_high``: where the true index lies with ``confidence_fraction``, as
    resampling tells. NaN for a figure that does not vary. ``evaluations_count`` variants were worked out;
    ``dropped_count`` of ``sample_count`` samples had none and were left out.
    """

    paths: tuple[str, ...]
    figures: tuple[str, ...]
    first: FloatArray
    total: FloatArray
    first_low: FloatArray
    first_high: FloatArray
    total_low: FloatArray
    total_high: FloatArray
    mean: FloatArray
    variance: FloatArray
    confidence_fraction: float
    sample_count: int
    evaluations_count: int
    dropped_count: int
    seed: int


def sobol_indices(
    model: Model,
    factors: Sequence[Factor],
    figures: Sequence[str] = ("result",),
    *,
    sample_count: int = 1024,
    seed: int,
    resamples_count: int = 200,
    confidence_fraction: float = 0.95,
) -> SobolIndices:
    """Spread all inputs at once, evenly between their ends, and share out the variance of each result among them.

    Parameters
    ----------
    model : any function of a batch, as ``one_at_a_time``
    factors : independent inputs with their ends
    figures : what the model returns, in order
    sample_count : a power of 2, at least 2; (factors + 2) times as many variants are worked out
    seed : a whole number, at least 0: the same seed, the same result
    resamples_count : at least 2, for the confidence limits
    confidence_fraction : above 0, below 1

    Returns
    -------
    SobolIndices

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, no factor, a model that returns something else, or so many
    variants that cannot be worked out that fewer than two samples are left

    Validity
    --------
    Inputs independent and even over their ranges. Estimates: they come out a little below 0 or above 1 at times; the
    limits say how far they may be trusted. Where samples were dropped, the indices are those of the rest.

    References
    ----------
    Sampling and first-order estimator: Saltelli et al. 2010, Computer Physics Communications 181, table 2 (b); total:
    Jansen, same table (f); both from memory, and the same as scipy.stats.sobol_indices.

    Examples
    --------
    >>> one, two = (Factor(path=name, base=0.5, low=0.0, high=1.0) for name in "ab")
    >>> found = sobol_indices(lambda rows: rows[:, 0] + 2.0 * rows[:, 1], [one, two], seed=7)
    >>> found.first.round(2).ravel().tolist()
    [0.2, 0.8]
    """
    if not factors:
        raise ArgumentError("factors", 0, "at least one")
    count, resamples = _counts(sample_count, resamples_count)
    level = float(numbers("confidence_fraction", confidence_fraction, above=0, below=1))
    start = int(whole_numbers("seed", seed))
    a, b, mixed = _sampled(model, factors, len(figures), count, start)
    kept = ~(np.isnan(a) | np.isnan(b) | np.isnan(mixed).any(axis=0)).any(axis=1)
    if kept.sum() < 2:
        raise ArgumentError(
            "model's results", f"{int(kept.sum())} of {count} samples", "at least two samples without NaN"
        )
    a, b, mixed = a[kept], b[kept], mixed[:, kept]
    both = np.concatenate([a, b])
    first, total = _indices(a, b, mixed)
    limits = _limits(a, b, mixed, resamples, level, start)
    return SobolIndices(
        paths=tuple(factor.path for factor in factors),
        figures=tuple(figures),
        first=first,
        total=total,
        first_low=limits[0, 0],
        first_high=limits[1, 0],
        total_low=limits[0, 1],
        total_high=limits[1, 1],
        mean=both.mean(axis=0),
        variance=both.var(axis=0),
        confidence_fraction=level,
        sample_count=count,
        evaluations_count=count * (len(factors) + 2),
        dropped_count=int(count - kept.sum()),
        seed=start,
    )


def _counts(sample_count: int, resamples_count: int) -> tuple[int, int]:
    count = int(whole_numbers("sample_count", sample_count, at_least=2))
    if count & (count - 1):
        raise ArgumentError("sample_count", sample_count, "a power of 2, such as 512 or 1024")
    return count, int(whole_numbers("resamples_count", resamples_count, at_least=2))


def _sampled(
    model: Model, factors: Sequence[Factor], figures_count: int, count: int, seed: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the results of two independent samples, and of the first with each input in turn from the second."""
    low = np.array([factor.low for factor in factors])
    width = np.array([factor.high for factor in factors]) - low
    points = _sobol_points(2 * low.size, count, seed)
    a, b = (low + width * half for half in (points[:, : low.size], points[:, low.size :]))
    rows = [a, b]
    for number in range(low.size):
        mixed = a.copy()
        mixed[:, number] = b[:, number]
        rows.append(mixed)
    results = table_of_results(model, np.concatenate(rows), figures_count)
    parts = results.reshape(low.size + 2, count, figures_count)
    return parts[0], parts[1], parts[2:]


def _sobol_points(dimensions: int, count: int, seed: int) -> FloatArray:
    from scipy.stats import qmc

    engine: Any = qmc.Sobol
    # The keyword's name changed between versions.
    word = "rng" if "rng" in inspect.signature(engine.__init__).parameters else "seed"
    return np.asarray(engine(d=dimensions, bits=64, **{word: np.random.default_rng(seed)}).random(count))


def _indices(a: FloatArray, b: FloatArray, mixed: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return first-order and total indices; the samples are the last axis but one, resamples may go before it."""
    both = np.concatenate([a, b], axis=-2)
    mean, variance = both.mean(axis=-2), both.var(axis=-2)
    steady = variance <= STEADY * mean**2
    spread = np.where(steady, np.nan, variance)
    # The mean taken off first loses fewer digits, and changes neither estimator.
    first = ((b - mean[..., None, :]) * (mixed - a)).mean(axis=-2) / spread
    total = ((a - mixed) ** 2).mean(axis=-2) / (2.0 * spread)
    return first, total


def _limits(a: FloatArray, b: FloatArray, mixed: FloatArray, resamples: int, level: float, seed: int) -> FloatArray:
    """Return lower and upper limits of both indices by resampling the samples: shape (2, 2, factors, figures)."""
    rng = np.random.default_rng([seed, 1])
    found = []
    for _ in range(resamples):
        chosen = rng.integers(0, len(a), len(a))
        found.append(_indices(a[chosen], b[chosen], mixed[:, chosen]))
    tails = (0.5 * (1.0 - level), 0.5 * (1.0 + level))
    return np.asarray(np.quantile(np.array(found), tails, axis=0))
