"""A log's judgement in sentences, worst first, figures to the digits that their uncertainty leaves."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.bench.board_judgement import BoardJudgement
from ledcalc.bench.drifting import FALLING, NOISE, RISING, TOO_FEW
from ledcalc.bench.log_judgement import HOGGING, STABLE, LogJudgement
from ledcalc.bench.settle import DRIFTING, SETTLED, STILL
from ledcalc.bench.sum_check import ADDS_UP, UNKNOWN

__all__ = ["judgement_sentences", "with_uncertainty"]


def with_uncertainty(value: float, half_width: float, unit: str) -> str:
    """Return a figure with its uncertainty, both to the second digit of the uncertainty.

    Parameters
    ----------
    value, half_width : in ``unit``; a half width that is not known or 0 leaves the figure with four digits

    References
    ----------
    JCGM 100 (GUM) 7.2.6: at most two significant digits of an uncertainty.

    Examples
    --------
    >>> with_uncertainty(2.08333, 0.0272, "A")
    '2.083 +- 0.027 A'
    """
    if not np.isfinite(half_width) or half_width <= 0:
        return f"{value:.4g} {unit}"
    places = max(1 - int(np.floor(np.log10(half_width))), 0)
    # Adding 0 takes the sign off a rounded 0.
    return f"{round(value, places) + 0.0:.{places}f} +- {half_width:.{places}f} {unit}"


def judgement_sentences(judgement: LogJudgement) -> tuple[str, ...]:
    """Return what a log says, in sentences: the verdict first, then what to do about it.

    Examples
    --------
    >>> from ledcalc.bench import CurrentLog, MeterNoise, judge_log
    >>> log = CurrentLog.from_wide([0.0, 4.0, 8.0], {"B1": [2.08, 2.09, 2.08], "B2": [2.19, 2.20, 2.19]})
    >>> found = judge_log(log, noise=MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01))
    >>> judgement_sentences(found)[0]
    'stable: no drift over 8 h that this meter shows; the least that it would is 0.053 A'
    """
    parts = (_state, _boards, _rating, _sums, _sharing, _next, _mains, _remarks)
    return tuple(sentence for part in parts for sentence in part(judgement))


def _state(judgement: LogJudgement) -> Iterator[str]:
    if judgement.verdict != STABLE:
        moving = [each.board for each in judgement.boards if each.drift.verdict in {RISING, FALLING}]
        named = f": {', '.join(moving)}" if moving and judgement.verdict == DRIFTING else ""
        yield f"{judgement.verdict}{named}"
        return
    known = [each.drift for each in judgement.boards if each.drift.verdict != TOO_FEW]
    if not known:
        yield f"{STABLE}: no change that this meter shows; too few readings since to judge drift"
        return
    least = max(known, key=lambda drift: drift.least_detectable_change)
    yield (
        f"{STABLE}: no drift over {least.span_h:.3g} h that this meter shows; "
        f"the least that it would is {least.least_detectable_change:.2g} A"
    )


def _boards(judgement: LogJudgement) -> Iterator[str]:
    for each in judgement.boards:
        state, drift = each.settling, each.drift
        if state.verdict == STILL:
            yield f"{each.board}: still settling, {state.to_go:+.2g} A to go by hour {state.settled_by_h:.2g}"
        elif drift.verdict not in {NOISE, TOO_FEW}:
            change = with_uncertainty(drift.change, drift.half_width_per_h * drift.span_h, "A")
            yield f"{each.board}: {drift.verdict}, {change} over {drift.span_h:.3g} h"
        elif state.verdict != SETTLED:
            said = "moves, and where to cannot be told" if state.verdict == DRIFTING else state.verdict
            yield f"{each.board}: {said}"
        if not drift.meter_explains_scatter:
            times = f"{drift.scatter_ratio:.2g} times"
            yield f"{each.board}: scatters {times} as much as the meter explains: dial turned, poor contact?"
        heat = each.temperature_settling
        if heat is not None and heat.verdict == STILL:
            yield f"{each.board}: still warming, {heat.to_go:+.2g} K to go by hour {heat.settled_by_h:.2g}"


def _rating(judgement: LogJudgement) -> Iterator[str]:
    found = judgement.rating
    if found is None:
        return
    board: BoardJudgement = judgement.boards[found.highest]
    level = board.level
    chance = 100.0 * found.all_below_fraction
    yield (
        f"highest board {board.board} at {level.current_a:.3f} A, {100 * found.use_fraction[found.highest]:.0f} % of "
        f"its rating: {found.verdict}; chance that all are at or below {chance:.0f} %"
    )


def _sums(judgement: LogJudgement) -> Iterator[str]:
    for each in judgement.sums:
        name = f"supply {each.supply}: " if each.supply else ""
        if each.verdict == UNKNOWN:
            yield f"{name}total current {each.verdict}: {each.remedy}"
            continue
        apart = with_uncertainty(each.difference_a, each.half_width_a, "A")
        rest = "" if each.verdict == ADDS_UP else f"; {each.remedy}"
        yield f"{name}branches less total {apart}: {each.verdict}{rest}"


def _sharing(judgement: LogJudgement) -> Iterator[str]:
    for share, feedback in zip(judgement.shares, judgement.hogging, strict=True):
        name = f"supply {share.supply}: " if share.supply else ""
        if np.isfinite(share.spread_a):
            spread = with_uncertainty(share.spread_a, share.spread_half_width_a, "A")
            yield f"{name}spread from {share.lowest}, the lowest, to {share.highest}, the highest: {spread}"
        grown = ", ".join(each.board for each in feedback.boards if each.growing)
        settles = bool(grown) and judgement.verdict != HOGGING
        said = "share still grows with its temperature, towards an end in sight" if settles else feedback.verdict
        yield f"{name}current and heat: {said}{f': {grown}' if grown else ''}"


def _next(judgement: LogJudgement) -> Iterator[str]:
    worth = [each for each in judgement.boards if each.next_reading is not None]
    if not worth:
        return
    # First what has not settled; among equals, what is least well known against what the meter shows at all.
    order = sorted(worth, key=lambda each: (each.settling.verdict == SETTLED, -_openness(each)))
    board, reading = order[0], order[0].next_reading
    if reading is not None:
        unit = "A/h" if reading.quantity == "drift" else "A"
        yield (
            f"next reading: {board.board} at hour {reading.at_h:.2g} narrows its {reading.quantity} "
            f"from {reading.error_now:.2g} to {reading.error_then:.2g} {unit} (standard error)"
        )


def _openness(board: BoardJudgement) -> float:
    reading, drift = board.next_reading, board.drift
    if reading is None or not np.isfinite(reading.error_now):
        return 0.0
    if board.settling.verdict != SETTLED:
        return reading.error_now
    return abs(drift.rate_per_h) / drift.least_detectable_per_h if drift.verdict != TOO_FEW else 0.0


def _mains(judgement: LogJudgement) -> Iterator[str]:
    for each in judgement.mains:
        name = f"supply {each.supply}: " if each.supply else ""
        if np.isfinite(each.efficiency_fraction):
            yield f"{name}driver efficiency {100 * each.efficiency_fraction:.1f} %, measured at {each.mains_w:.4g} W"
        else:
            what = "driver efficiency" if np.isfinite(each.mains_w) else "efficacy from the mains"
            yield f"{name}{what} is {each.basis}"


def _remarks(judgement: LogJudgement) -> Iterator[str]:
    count = len(judgement.log.remarks)
    if count:
        out = sum(1 for remark in judgement.log.remarks if remark.left_out)
        yield f"{count} remark{'s' * (count > 1)} on the log's rows, {out} of them on values left out"
