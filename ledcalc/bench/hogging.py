"""Does a board take the more current the hotter it gets, and has that come to rest?"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.log_columns import IntArray
from ledcalc.bench.reading_errors import MeterChoice
from ledcalc.bench.rounds import LogRounds, log_rounds

__all__ = ["HOGGING_VERDICTS", "BoardFeedback", "Hogging", "hogging_test"]

NO_SIGN, PRESENT, GROWING, UNKNOWN = HOGGING_VERDICTS = (
    "no sign",
    "feedback present, settled",
    "hogging, growing",
    "cannot be told",
)
FEWEST_ROUNDS = 3
# Boards whose currents go with their temperatures no closer than this differ for other reasons: common practice, no
# source.
LEAST_CORRELATION = 0.7
# A thermometer put back to its place repeats within this: common practice, no source.
REPEATS_K = 0.5
# Stands in for the noise of a meter that is said to have none.
NO_NOISE = 1e-100


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardFeedback:
    """One board over time. ``excess_k``: its temperature over the mean of all boards of that time.

    ``share_per_k_fraction`` is how much its share changes with that excess, ``share_per_h_fraction`` how fast its share
    changed in the second half of the log (the last three rounds at least); ``..._over_noise`` the same over its
    standard error. NaN where fewer than three rounds have all currents and the board's temperature.
    """

    board: str
    share_per_k_fraction: float
    with_temperature_over_noise: float
    share_per_h_fraction: float
    growth_over_noise: float
    growing: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Hogging:
    """Feedback between current and heat among the boards of one supply.

    ``hotter_draws_more_a_per_k`` is the slope of mean current on mean temperature across boards, ``correlation`` how
    closely they go together, ``across_over_noise`` the slope over its standard error.
    """

    supply: str
    verdict: str
    boards: tuple[BoardFeedback, ...]
    hotter_draws_more_a_per_k: float
    correlation: float
    across_over_noise: float


def hogging_test(log: CurrentLog, *, noise: MeterChoice, supply: int = 0, confidence: float = 0.95) -> Hogging:
    """Return whether boards hog: a share that rises with its board's temperature, and still grows.

    Parameters
    ----------
    log : with board temperatures
    noise : of the current meter, or a mapping of meter to noise
    supply : place in ``log.supplies``
    confidence : above 0, below 1: of one false alarm among all boards

    Returns
    -------
    Hogging. "hogging, growing": some board's share rises with its temperature over time, and both still grew in the
    second half of the log. "feedback present, settled": no share grows, but one has risen with its temperature, or
    hotter boards draw more. "no sign" otherwise; "cannot be told" without rounds of all currents with temperatures.

    Raises
    ------
    ArgumentError (a ValueError): no such supply, or a meter without noise

    Validity
    --------
    Each share against the noise of its own readings; the meter's calibration cancels. Temperatures are taken as read:
    their noise hides feedback and makes none. That hotter boards draw more may come from either side: more current
    heats, and a hotter board of a negative voltage coefficient takes more.

    Examples
    --------
    >>> from ledcalc.bench import MeterNoise
    >>> log = CurrentLog.from_wide(
    ...     [0.0, 4.0, 8.0],
    ...     {"B1": [2.20, 2.21, 2.20], "B2": [2.10, 2.09, 2.10], "B3": [1.90, 1.90, 1.91]},
    ...     temperature_c={"B1": [59.0, 59.5, 59.0], "B2": [56.0, 56.0, 55.5], "B3": [52.0, 52.5, 52.0]},
    ... )
    >>> hogging_test(log, noise=MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01)).verdict
    'feedback present, settled'
    """
    level = float(numbers("confidence", confidence, above=0, below=1))
    rounds = log_rounds(log, supply)
    used = rounds.complete
    used = used[~np.isnan(rounds.temperature_c[used]).all(axis=1) & (rounds.current_a[used].sum(axis=1) > 0)]
    count = len(rounds.boards)
    if used.size == 0 or count < 2:
        nan = float("nan")
        return Hogging(
            supply=rounds.supply,
            verdict=UNKNOWN,
            boards=(),
            hotter_draws_more_a_per_k=nan,
            correlation=nan,
            across_over_noise=nan,
        )
    own = rounds.readings(used, noise).own_standard_uncertainty().reshape(used.size, count)
    quantile = NormalDist().inv_cdf
    boards = _over_time(rounds, used, own, quantile(level ** (1.0 / count)))
    slope, correlation, over = _across(rounds, used, own)
    risen = any(each.with_temperature_over_noise > quantile(level ** (1.0 / count)) for each in boards)
    across = over > quantile(level) and correlation >= LEAST_CORRELATION
    verdict = GROWING if any(each.growing for each in boards) else PRESENT if risen or across else NO_SIGN
    return Hogging(
        supply=rounds.supply,
        verdict=verdict,
        boards=boards,
        hotter_draws_more_a_per_k=slope,
        correlation=correlation,
        across_over_noise=over,
    )


def _over_time(rounds: LogRounds, used: IntArray, own: FloatArray, factor: float) -> tuple[BoardFeedback, ...]:
    current, temperature = rounds.current_a[used], rounds.temperature_c[used]
    total = current.sum(axis=1, keepdims=True)
    share = current / total
    # A share's own error: the board's own, less what the total takes with it.
    noise = np.sqrt((1.0 - 2.0 * share) * own**2 + share**2 * (own**2).sum(axis=1, keepdims=True)) / total
    excess = temperature - np.nanmean(temperature, axis=1, keepdims=True)
    elapsed = rounds.elapsed_h[used]
    late = elapsed >= min((elapsed[0] + elapsed[-1]) / 2.0, elapsed[-min(FEWEST_ROUNDS, elapsed.size)])
    found = []
    for index, board in enumerate(rounds.boards):
        read = ~np.isnan(excess[:, index])
        per_k, heat = _slope(excess[read, index], share[read, index], noise[read, index])
        per_h, growth = _slope(elapsed[late], share[late, index], noise[late, index])
        warm_late = late & read
        hotter = _rise(elapsed[warm_late], excess[warm_late, index]) > REPEATS_K
        found.append(
            BoardFeedback(
                board=board,
                share_per_k_fraction=per_k,
                with_temperature_over_noise=heat,
                share_per_h_fraction=per_h,
                growth_over_noise=growth,
                growing=hotter and heat > factor and growth > factor,
            )
        )
    return tuple(found)


def _rise(x: FloatArray, y: FloatArray) -> float:
    """Return how far a straight line through y rises over x; NaN for too few."""
    if x.size < FEWEST_ROUNDS or np.ptp(x) <= 0:
        return float("nan")
    away = x - x.mean()
    return float(away @ y / (away @ away) * np.ptp(x))


def _slope(x: FloatArray, y: FloatArray, noise: FloatArray) -> tuple[float, float]:
    """Return the weighted slope of y on x and how many standard errors it is."""
    if x.size < FEWEST_ROUNDS or np.ptp(x) <= 0:
        return float("nan"), float("nan")
    weight = 1.0 / np.maximum(noise, NO_NOISE) ** 2
    away = x - weight @ x / weight.sum()
    spread = weight @ away**2
    slope = float(weight @ (away * y) / spread)
    return slope, float(slope * np.sqrt(spread))


def _across(rounds: LogRounds, used: IntArray, own: FloatArray) -> tuple[float, float, float]:
    """Return the slope of mean current on mean temperature across boards, correlation, and slope over noise."""
    temperature = rounds.temperature_c[used]
    read = ~np.isnan(temperature).all(axis=0)
    if read.sum() < 2:
        return float("nan"), float("nan"), float("nan")
    heat = np.nanmean(temperature[:, read], axis=0)
    current = rounds.current_a[used][:, read].mean(axis=0)
    noise = np.sqrt((own[:, read] ** 2).sum(axis=0)) / used.size
    away = heat - heat.mean()
    spread = float(away @ away)
    rest = current - current.mean()
    if spread <= 0 or not rest.any():
        return float("nan"), float("nan"), float("nan")
    slope = float(away @ current) / spread
    error = float(np.sqrt(away**2 @ noise**2)) / spread
    correlation = slope * spread / float(np.sqrt(spread * (rest @ rest)))
    return slope, correlation, slope / error if error > 0 else float("inf")
