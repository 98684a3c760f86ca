"""How far a sum of independent errors reaches with a stated probability, each error with a shape of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray, choice, numbers
from ledcalc.errors import ArgumentError

__all__ = ["coverage_half_width"]

SHAPES = ("normal", "rectangular")
# Parts below this share of the whole change the interval by less than 1e-6 of itself.
NEGLIGIBLE = 1e-3
# The characteristic function is followed until it is damped to this, or for so many terms.
DAMPED_TO = 1e-11
TERMS = 6_000
# Copies of the distribution are kept apart up to where this share of what lies outside the interval would touch them.
TOUCHING_SHARE = 1e-5
GRID_POINTS = 65
# With more degrees of freedom Student's t is taken as normal, with t's own variance.
FEW = 100.0


def coverage_half_width(
    standard_uncertainties: Sequence[float],
    shapes: Sequence[str],
    degrees_of_freedom: Sequence[float],
    *,
    level_fraction: float = 0.95,
) -> float:
    """Return the half width about zero that holds a sum of independent errors with a given probability.

    Parameters
    ----------
    standard_uncertainties : at least 0, all in the result's unit
    shapes : of each error: "normal" or "rectangular" (limits, with nothing said of what lies between)
    degrees_of_freedom : of each, above 0, may be infinite; a normal error with few is a Student's t about the reading
    level_fraction : above 0, below 1

    Returns
    -------
    in the result's unit

    Raises
    ------
    ArgumentError (a ValueError): numbers out of their range, an unknown shape, or lists of different lengths

    Validity
    --------
    The distributions are put together as such, as JCGM 101 does by random numbers, here by their characteristic
    functions: P(|error| <= x) = 2/pi * integral of phi(t) sin(t x)/t dt. Good to 1e-4 of the half width; to 2e-3 where
    a part has over 100 degrees of freedom, and to 1e-2 where it has one.

    References
    ----------
    JCGM 101:2008 (GUM Supplement 1), 6.4.2 (rectangular), 6.4.9.3 (t-distribution of a few readings); the inversion is
    Gil-Pelaez (1951).

    Examples
    --------
    >>> round(coverage_half_width([1.0], ["normal"], [float("inf")]), 3)
    1.96
    >>> round(coverage_half_width([1.0], ["rectangular"], [float("inf")]), 3)  # 0.95 x sqrt(3)
    1.645
    """
    size = numbers("standard_uncertainties", standard_uncertainties, at_least=0)
    freedom = numbers("degrees_of_freedom", degrees_of_freedom, above=0, infinite=True)
    level = float(numbers("level_fraction", level_fraction, above=0, below=1))
    kinds = [choice("shapes", shape, SHAPES) for shape in shapes]
    if not size.shape == freedom.shape == (len(kinds),):
        raise ArgumentError("shapes", len(kinds), f"one for each of {size.size} parts, and so degrees_of_freedom")
    largest = float(size.max(initial=0.0))
    if largest == 0.0:
        return 0.0
    flat = np.array([kind == "rectangular" for kind in kinds], dtype=bool)
    heavy = size > NEGLIGIBLE * largest
    small = float(np.sqrt(np.sum(size[~heavy] ** 2))) / largest
    many = freedom > FEW
    finite = many & np.isfinite(freedom)
    spread = size * np.sqrt(np.where(finite, freedom, 1.0) / np.where(finite, freedom - 2.0, 1.0))
    parts = _Parts(
        half=np.sqrt(3.0) * size[heavy & flat] / largest,
        spread=spread[heavy & ~flat] / largest,
        freedom=np.where(many, np.inf, freedom)[heavy & ~flat],
    )
    if not parts.spread.size and parts.half.size == 1:
        return largest * float(np.hypot(level * parts.half[0], small))
    return largest * float(np.hypot(_half_width(parts, level), small))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Parts:
    """Errors in units of the largest: half widths of rectangular ones, standard deviations and freedom of others."""

    half: FloatArray
    spread: FloatArray
    freedom: FloatArray

    def characteristic(self, t: FloatArray) -> FloatArray:
        product = self.damping(t)
        for half in self.half.tolist():
            product *= np.sinc(half * t / np.pi)
        return product

    def damping(self, t: FloatArray) -> FloatArray:
        """Return what the errors without limits make of the characteristic function."""
        product = np.ones_like(t)
        for spread, freedom in zip(self.spread.tolist(), self.freedom.tolist(), strict=True):
            product *= np.exp(-0.5 * (spread * t) ** 2) if np.isinf(freedom) else _student(spread * t, freedom)
        return product

    def reach(self, level: float) -> float:
        """Return a bound that the sum passes far less often than the level allows."""
        from scipy.special import stdtrit

        tails = self.spread * -stdtrit(self.freedom, TOUCHING_SHARE * (1.0 - level))
        return float(self.half.sum() + tails.sum())


def _student(t: FloatArray, freedom: float) -> FloatArray:
    """Return the characteristic function of Student's t at t > 0."""
    from scipy.special import gammaln, kve

    z = np.sqrt(freedom) * t
    order = freedom / 2.0
    log = order * np.log(z) - z - gammaln(order) - (order - 1.0) * np.log(2.0)
    return np.asarray(np.exp(log) * kve(order, z))


def _half_width(parts: _Parts, level: float) -> float:
    # A term per t: the step keeps copies of the distribution apart, the last t is where nothing is left to add.
    reach = parts.reach(level)
    ends = 2.0 ** np.arange(1.0, 16.0)
    damped = parts.damping(ends) < DAMPED_TO
    end = float(ends[damped][0]) if damped.any() else np.inf
    count = int(min(TERMS, np.ceil(end * reach / np.pi)))
    step = max(np.pi / reach, end / count) if np.isfinite(end) else np.pi / reach
    t = np.asarray(step * np.arange(1, count + 1), dtype=float)
    terms = parts.characteristic(t) / t
    low, high = 0.0, min(reach, np.pi / step)
    for _ in range(3):
        x = np.linspace(low, high, GRID_POINTS)
        inside = (2.0 * step / np.pi) * (x / 2.0 + np.sin(x[:, None] * t) @ terms)
        place = int(np.clip(np.searchsorted(np.maximum.accumulate(inside), level), 1, GRID_POINTS - 1))
        low, high = float(x[place - 1]), float(x[place])
    share = (level - inside[place - 1]) / (inside[place] - inside[place - 1])
    return low + float(np.clip(share, 0.0, 1.0)) * (high - low)
