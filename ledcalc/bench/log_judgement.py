"""The judgement of a whole current log: every board, every supply."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import numbers
from ledcalc.bench.air_rise import TemperatureRises, temperature_rises
from ledcalc.bench.board_judgement import BoardJudgement, judge_board
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.drifting import FALLING, RISING
from ledcalc.bench.hogging import GROWING, Hogging, hogging_test
from ledcalc.bench.mains_side import MainsMeasured, mains_measured
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.bench.rated_boards import RatedBoards, RatingVerdict
from ledcalc.bench.reading_errors import MeterChoice
from ledcalc.bench.rounds import ROUND_H
from ledcalc.bench.settle import SETTLED, STILL
from ledcalc.bench.sharing import LogShares, log_shares
from ledcalc.bench.sum_check import BranchSum, branch_sum
from ledcalc.errors import ArgumentError

__all__ = ["LOG_VERDICTS", "LogJudgement", "judge_log", "rated_boards"]

HOGGING, DRIFTS, SETTLES, CANNOT, STABLE, EMPTY = LOG_VERDICTS = (
    "hogging, growing",
    "drifting",
    "still settling",
    "cannot be told yet",
    "stable",
    "no readings",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogJudgement:
    """What a current log says: the fixture's ``verdict``, then an entry a board and an entry a supply.

    ``rating`` is against the boards' ratings, in the order of ``boards``, None where none was given; ``rated`` is what
    it was worked out from, ready for the remedies. ``shares`` are of the rounds since all boards settled, else of the
    latest.
    """

    verdict: str
    log: CurrentLog
    boards: tuple[BoardJudgement, ...]
    shares: tuple[LogShares, ...]
    sums: tuple[BranchSum, ...]
    hogging: tuple[Hogging, ...]
    mains: tuple[MainsMeasured, ...]
    rises: TemperatureRises
    rated: RatedBoards | None
    rating: RatingVerdict | None
    confidence: float


def judge_log(
    log: CurrentLog,
    *,
    noise: MeterChoice,
    rating_a: float | Mapping[str, float] | None = None,
    total_noise: MeterNoise | None = None,
    temperature_noise: MeterNoise | None = None,
    common_air_c: float = 25.0,
    confidence: float = 0.95,
) -> LogJudgement:
    """Return the judgement of a current log.

    Parameters
    ----------
    log : at one setting of the dial: see ``CurrentLog.since``
    noise : of the current meter, or a mapping of meter to noise
    rating_a : A, above 0: of every board, or board tag to rating; None: not judged
    total_noise : of the meter that read totals; None: the branches' meter
    temperature_noise : of the thermometer; None: from the scatter of its readings
    common_air_c : degC: what board temperatures are referred to
    confidence : above 0, below 1: of intervals, and of no false alarm among all boards

    Returns
    -------
    LogJudgement. "stable": every current has settled, and no drift can be told from the meter's noise

    Raises
    ------
    ArgumentError (a ValueError): a meter without noise, a board without rating, or a number out of its range

    Validity
    --------
    As ``settling``, ``board_drift``, ``branch_sum``, ``hogging_test`` and ``RatedBoards``. Errors of several meters are
    taken to move together against a rating, by the worst one's calibration.

    Examples
    --------
    >>> from ledcalc.bench import MeterNoise
    >>> log = CurrentLog.from_wide([0.0, 4.0, 8.0], {"B1": [2.08, 2.09, 2.08], "B2": [2.19, 2.20, 2.19]})
    >>> found = judge_log(log, noise=MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01), rating_a=2.2)
    >>> found.verdict, found.rating.verdict
    ('stable', 'too near its rating for this meter to tell')
    """
    numbers("confidence", confidence, above=0, below=1)
    rises = temperature_rises(log, common_air_c=common_air_c)
    places = np.unique(log.board[~np.isnan(log.current_a)]).tolist()
    boards = tuple(
        judge_board(
            log,
            place,
            noise=noise,
            rises=rises,
            boards_judged_count=len(places),
            temperature_noise=temperature_noise,
            confidence=confidence,
        )
        for place in places
    )
    supplies = np.unique(log.supply[~np.isnan(log.current_a)]).tolist()
    hogging = tuple(hogging_test(log, noise=noise, supply=at, confidence=confidence) for at in supplies)
    rated = rated_boards(boards, rating_a, confidence=confidence)
    latest = float(log.elapsed_h.max(initial=0.0)) - ROUND_H
    warm = log.since(min(_warmed_up(boards), latest))
    return LogJudgement(
        verdict=_verdict(boards, hogging),
        log=log,
        boards=boards,
        shares=tuple(log_shares(warm, noise=noise, supply=at, confidence=confidence) for at in supplies),
        sums=tuple(
            branch_sum(log, noise=noise, total_noise=total_noise, supply=at, confidence=confidence) for at in supplies
        ),
        hogging=hogging,
        mains=tuple(mains_measured(log, supply=at) for at in supplies),
        rises=rises,
        rated=rated,
        rating=None if rated is None else rated.verdict(),
        confidence=confidence,
    )


def rated_boards(
    boards: Sequence[BoardJudgement], rating_a: float | Mapping[str, float] | None, *, confidence: float = 0.95
) -> RatedBoards | None:
    """Return judged boards against their ratings; None without boards or ratings.

    Raises
    ------
    ArgumentError (a ValueError): a board without rating, or one that is not above 0
    """
    if rating_a is None or not boards:
        return None
    ratings = []
    for each in boards:
        if isinstance(rating_a, Mapping) and each.board not in rating_a:
            raise ArgumentError("rating_a", each.board, f"one of {', '.join(rating_a)}: add its rating")
        ratings.append(rating_a[each.board] if isinstance(rating_a, Mapping) else rating_a)
    levels = [each.level for each in boards]
    return RatedBoards(
        current_a=[level.current_a for level in levels],
        rating_a=ratings,
        own_half_width_a=np.stack([level.own_half_widths_a for level in levels], axis=1),
        own_standard_uncertainty_a=[level.own_standard_uncertainty_a for level in levels],
        common_half_width_fraction=max(level.calibration_fraction for level in levels),
        common_limits=levels[0].limits,
        confidence=confidence,
    )


def _warmed_up(boards: Sequence[BoardJudgement]) -> float:
    """Return the time from which all boards are warm; infinite where one has not settled."""
    return max((each.warmed_up_h if each.settling.verdict == SETTLED else np.inf for each in boards), default=0.0)


def _verdict(boards: Sequence[BoardJudgement], hogging: Sequence[Hogging]) -> str:
    if not boards:
        return EMPTY
    growing = {each.board for supply in hogging if supply.verdict == GROWING for each in supply.boards if each.growing}
    # A share that grows towards an end in sight is a warm-up.
    if any(each.board in growing and each.settling.verdict not in {STILL, SETTLED} for each in boards):
        return HOGGING
    states = [each.settling.verdict for each in boards]
    moves = [each.drift.verdict in {RISING, FALLING} for each in boards]
    if any(move and state != STILL for move, state in zip(moves, states, strict=True)):
        return DRIFTS
    heats = [each.temperature_settling.verdict for each in boards if each.temperature_settling is not None]
    if STILL in states or STILL in heats:
        return SETTLES
    return STABLE if all(state == SETTLED for state in states) else CANNOT
