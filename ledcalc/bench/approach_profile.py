"""The approach to a steady value for given time constants: linear least squares, and intervals over all of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["ApproachData", "Interval", "Profile", "condensed", "interval_of", "profile", "sharpened", "time_constants"]

# A time constant of more spans than this is a straight line to the log.
LONGEST_OVER_SPAN = 10.0
SHORTEST_OVER_GAP = 0.2
GRID_COUNT = 96
LARGEST_BLOCK = 2_000_000
CONDENSED_FROM_COUNT = 300
STRETCH = 1.02
# Each round narrows the place 32-fold.
SHARPENING_ROUNDS = 9
SHARPENING_COUNT = 33


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ApproachData:
    """Readings sorted by time, time counted from ``origin_h``; ``start`` None where it is to be found.

    Readings of a long log may be ``condensed``: ``within`` is their chi-square about the means that stand for them.
    """

    time_h: FloatArray
    value: FloatArray
    weight: FloatArray
    origin_h: float
    start: float | None
    within: float = 0.0


def condensed(data: ApproachData) -> ApproachData:
    """Return a long log's readings as means over stretches of 2 % of the time since the origin.

    Over so short a stretch an exponential of any time constant is a straight line to 1e-5 of its height, so that means
    serve a fit as well as the readings.
    """
    if data.time_h.size <= CONDENSED_FROM_COUNT:
        return data
    positive = np.maximum(data.time_h, np.min(data.time_h, where=data.time_h > 0, initial=data.time_h[-1]))
    stretch = np.floor(np.log(positive / positive[0]) / np.log(STRETCH)).astype(np.int64) + (data.time_h > 0)
    group = np.cumsum(np.diff(stretch, prepend=stretch[0]) > 0)
    weight = np.asarray(np.bincount(group, data.weight), dtype=float)
    value = np.bincount(group, data.weight * data.value) / weight
    return replace(
        data,
        time_h=np.bincount(group, data.weight * data.time_h) / weight,
        value=value,
        weight=weight,
        within=float(data.weight @ (data.value - value[group]) ** 2),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """Best fit at each time constant: chi-square, steady value, what is still to go, and their variances."""

    time_constant_h: FloatArray
    chi_square: FloatArray
    steady: FloatArray
    steady_variance: FloatArray
    to_go: FloatArray
    to_go_variance: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """From where to where; infinite on a side that the readings leave open."""

    low: float
    high: float


def time_constants(data: ApproachData) -> FloatArray:
    """Return the time constants that such a log can tell apart, evenly by their logarithm."""
    gaps = np.diff(np.unique(np.append(data.time_h, 0.0)))
    return np.geomspace(SHORTEST_OVER_GAP * gaps.min(), LONGEST_OVER_SPAN * data.time_h[-1], GRID_COUNT)


def profile(data: ApproachData, time_constant_h: FloatArray) -> Profile:
    """Fit steady value and start at each time constant."""
    size = max(1, LARGEST_BLOCK // data.time_h.size)
    blocks = [_block(data, time_constant_h[at : at + size]) for at in range(0, time_constant_h.size, size)]
    chi_square, steady, steady_variance, to_go, to_go_variance = np.concatenate(blocks, axis=1)
    return Profile(
        time_constant_h=time_constant_h,
        chi_square=chi_square,
        steady=steady,
        steady_variance=steady_variance,
        to_go=to_go,
        to_go_variance=to_go_variance,
    )


def _block(data: ApproachData, tau: FloatArray) -> FloatArray:
    decay = np.exp(-data.time_h / tau[:, None])
    steady, height, spread, mean = _levels(data, decay)
    if data.start is None:
        base = data.weight @ data.value / data.weight.sum()
        steady_variance = 1.0 / data.weight.sum() + mean**2 / spread
    else:
        base, steady_variance = data.start, 1.0 / spread
    chi_square = np.maximum(data.weight @ (data.value - base) ** 2 - height**2 * spread, 0.0)
    return np.stack([chi_square, steady, steady_variance, -height * decay[:, -1], decay[:, -1] ** 2 / spread])


def _levels(data: ApproachData, decay: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return the best steady value, the start's height over it, the spread of what carries it, and decay's mean."""
    if data.start is None:
        total = data.weight.sum()
        level = data.weight @ data.value / total
        mean = decay @ data.weight / total
        away = decay - mean[:, None]
        spread = away**2 @ data.weight
        height = away @ (data.weight * (data.value - level)) / spread
        return level - height * mean, height, spread, mean
    done = 1.0 - decay
    spread = done**2 @ data.weight
    height = -(done @ (data.weight * (data.value - data.start))) / spread
    return data.start - height, height, spread, done


def sharpened(data: ApproachData, found: Profile) -> tuple[float, float, float]:
    """Return time constant, steady value and start of least chi-square, from a profile over a grid.

    The time constant is where the derivative of chi-square passes through 0, next to the grid's best; an end of the
    grid where it does not.
    """
    best, last = int(found.chi_square.argmin()), found.chi_square.size - 1
    low, high = np.log(found.time_constant_h[[max(best - 1, 0), min(best + 1, last)]])
    for _ in range(SHARPENING_ROUNDS):
        places = np.linspace(low, high, SHARPENING_COUNT)
        up = np.flatnonzero(_derivative(data, np.exp(places)) >= 0)
        at = int(up[0]) if up.size else SHARPENING_COUNT - 1
        low, high = places[max(at - 1, 0)], places[at]
    tau = float(np.exp(high))
    steady, height, _, _ = _levels(data, np.exp(-data.time_h / tau)[None, :])
    return tau, float(steady[0]), float(steady[0] + height[0])


def _derivative(data: ApproachData, tau: FloatArray) -> FloatArray:
    """Return half of what chi-square changes by with the logarithm of the time constant, the rest at its best."""
    decay = np.exp(-data.time_h / tau[:, None])
    steady, height, _, _ = _levels(data, decay)
    rest = data.value - steady[:, None] - height[:, None] * decay
    return -height * ((rest * decay) @ (data.weight * data.time_h)) / tau


def interval_of(found: Profile, estimate: FloatArray, variance: FloatArray, *, limit: float) -> Interval:
    """Return the profile-likelihood interval of a quantity: all values that some time constant fits within the limit.

    Where the longest time constant still fits, the side that the quantity then runs to is open.

    Parameters
    ----------
    estimate, variance : the quantity at each time constant of ``found``
    limit : chi-square up to which a fit counts
    """
    slack = limit - found.chi_square
    fits = slack >= 0
    if not fits.any():
        return Interval(low=float("nan"), high=float("nan"))
    reach = _reach(variance[fits], slack[fits])
    low, high = float((estimate[fits] - reach).min()), float((estimate[fits] + reach).max())
    longest = int(found.time_constant_h.argmax())
    if fits[longest]:
        way = float(_reach(found.to_go_variance[[longest]], slack[[longest]])[0])
        low = -np.inf if found.to_go[longest] - way < 0 else low
        high = np.inf if found.to_go[longest] + way > 0 else high
    return Interval(low=float(low), high=float(high))


def _reach(variance: FloatArray, slack: FloatArray) -> FloatArray:
    """Return how far a quantity may move within what chi-square leaves; what cannot move does not, however much."""
    moves = variance > 0
    return np.sqrt(variance) * np.sqrt(slack, where=moves, out=np.zeros_like(slack))
