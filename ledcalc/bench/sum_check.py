"""Do the branches add up to the measured total? If not: a branch missed, read twice, or a meter that wants zeroing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.log_columns import IntArray
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.bench.reading_errors import MeterChoice, Readings
from ledcalc.bench.rounds import LogRounds, log_rounds

__all__ = ["SUM_VERDICTS", "BranchSum", "branch_sum"]

ADDS_UP, MISSING, TWICE, ZERO, EITHER, NEITHER, UNKNOWN = SUM_VERDICTS = (
    "adds up",
    "branch missing",
    "branch counted twice",
    "zero the meter",
    "branch or zero, cannot be told apart",
    "does not add up",
    "not measured",
)
MOST_MISSING_COUNT = 3
# How far the zero of a dc clamp wanders between two zeroings: common practice, no source.
ZERO_COUNTS = 10.0
# Of floating-point sums, as a share of the largest.
DUST = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BranchSum:
    """The sum of one supply's branches against its measured total, over the rounds that have both.

    ``difference_a`` is the mean of sum less total, known to ``half_width_a``; ``difference_over_time_a`` has an entry a
    round. ``missing_count`` branches of about the mean current explain it where positive, as many counted twice where
    negative, 0 neither. ``zero_error_a`` is what each branch reading would be off by were it all the meter's zero,
    known to ``zero_half_width_a``.
    """

    supply: str
    verdict: str
    round_count: int
    difference_a: float
    half_width_a: float
    missing_count: int
    zero_error_a: float
    zero_half_width_a: float
    elapsed_h: FloatArray
    difference_over_time_a: FloatArray
    remedy: str


def branch_sum(
    log: CurrentLog,
    *,
    noise: MeterChoice,
    total_noise: MeterNoise | None = None,
    supply: int = 0,
    zero_limit_a: float | None = None,
    confidence: float = 0.95,
) -> BranchSum:
    """Return whether the branches of a supply add up to its measured total.

    Parameters
    ----------
    log : with totals
    noise : of the branches' meter, or a mapping of meter to noise
    total_noise : of the total's meter. None: the total was read with the branches' meter
    supply : place in ``log.supplies``
    zero_limit_a : A, at least 0: how far a meter's zero may plausibly be off. None: ten counts of its resolution
    confidence : above 0, below 1

    Returns
    -------
    BranchSum; "not measured" where no round has all branches and a total

    Raises
    ------
    ArgumentError (a ValueError): no such supply, a meter without noise, or a number out of its range

    Validity
    --------
    A missed branch is taken to carry what the others do, give or take their spread. A zero error is the same in every
    branch reading; read with one meter, the total has it too, so that all but one of them show.

    References
    ----------
    Kirchhoff's current law; errors as ``MeterNoise``, put together as in GUM Supplement 1 (JCGM 101), by convolution.

    Examples
    --------
    >>> log = CurrentLog.from_wide([0.0, 4.0], {"B1": [2.1, 2.1], "B2": [1.9, 1.9]}, total_current_a=[6.0, 6.1])
    >>> found = branch_sum(log, noise=MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01))
    >>> found.verdict, found.missing_count, round(found.difference_a, 2)
    ('branch missing', 1, -2.05)
    """
    rounds = log_rounds(log, supply)
    used = rounds.complete[~np.isnan(rounds.total_current_a[rounds.complete])]
    if used.size == 0:
        return _not_measured(rounds.supply)
    both = _with_totals(rounds, used, noise, total_noise)
    weights = np.repeat([1.0, -1.0], [both.value.size - used.size, used.size]) / used.size
    mean = float(weights @ both.value)
    reach = both.own_errors(weights).with_(both.common_errors(weights)).half_width(confidence)
    shown = len(rounds.boards) - (1 if total_noise is None else 0)
    zero = mean / shown if shown else float("nan")
    limit = ZERO_COUNTS * both.noise[0].resolution if zero_limit_a is None else zero_limit_a
    numbers("zero_limit_a", limit, at_least=0)
    zero_fits = bool(shown) and abs(zero) <= limit + reach / shown
    count = _missing(rounds.current_a[used].mean(axis=0), mean, reach)
    verdict = _verdict(abs(mean) <= reach + DUST * float(both.value.max()), count, zero_fits)
    return BranchSum(
        supply=rounds.supply,
        verdict=verdict,
        round_count=int(used.size),
        difference_a=mean,
        half_width_a=reach,
        missing_count=0 if verdict == ADDS_UP else count,
        zero_error_a=zero,
        zero_half_width_a=reach / shown if shown else float("nan"),
        elapsed_h=rounds.elapsed_h[used],
        difference_over_time_a=rounds.current_a[used].sum(axis=1) - rounds.total_current_a[used],
        remedy=REMEDIES[verdict],
    )


REMEDIES = {
    ADDS_UP: "",
    MISSING: "read every branch that hangs on this supply, or enter those that are missing",
    TWICE: "see that the clamp holds one wire, and that no branch is entered twice",
    ZERO: "zero the clamp away from the wires, and read the round again",
    EITHER: "turn the dial to about half and read again: a branch's part halves, a zero error stays",
    NEITHER: "zero the clamp, read total and branches again in one round, and compare the two meters on one wire",
    UNKNOWN: "read the supply's total current in one of the rounds",
}


def _with_totals(rounds: LogRounds, used: IntArray, noise: MeterChoice, total_noise: MeterNoise | None) -> Readings:
    """Return the branch readings of some rounds and behind them the totals, each with its meter."""
    branches = rounds.readings(used, noise)
    every = branches.noise if total_noise is None else (*branches.noise, total_noise)
    of_total = branches.meter_index[0] if total_noise is None else len(branches.noise)
    return Readings(
        value=np.append(branches.value, rounds.total_current_a[used]),
        noise=every,
        meter_index=np.append(branches.meter_index, np.full(used.size, of_total)),
    )


def _missing(current: FloatArray, difference: float, reach: float) -> int:
    """Return how many branches, missing (positive) or too many (negative), the difference is; 0 for none."""
    spread = float(current.std(ddof=1)) if current.size > 1 else 0.0
    for count in range(1, MOST_MISSING_COUNT + 1):
        # Twice the spread of one more board drawn from these, and what the readings leave open.
        room = float(np.hypot(reach, 2.0 * spread * np.sqrt(count * (1.0 + count / current.size))))
        if abs(abs(difference) - count * current.mean()) <= room:
            return count if difference < 0 else -count
    return 0


def _verdict(adds_up: bool, count: int, zero_fits: bool) -> str:
    if adds_up:
        return ADDS_UP
    if count:
        return EITHER if zero_fits else MISSING if count > 0 else TWICE
    return ZERO if zero_fits else NEITHER


def _not_measured(supply: str) -> BranchSum:
    nan = float("nan")
    return BranchSum(
        supply=supply,
        verdict=UNKNOWN,
        round_count=0,
        difference_a=nan,
        half_width_a=nan,
        missing_count=0,
        zero_error_a=nan,
        zero_half_width_a=nan,
        elapsed_h=np.zeros(0),
        difference_over_time_a=np.zeros(0),
        remedy=REMEDIES[UNKNOWN],
    )
