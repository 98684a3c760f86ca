"""How boards share a supply's current: shares, spread, and how well either is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.reading_errors import MeterChoice
from ledcalc.bench.rounds import log_rounds

__all__ = ["LogShares", "log_shares"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogShares:
    """Shares of one supply's current, an entry a board: means over the rounds in which every board was read.

    What one meter's calibration does to all alike cancels in shares. ``share_over_time_fraction`` has a row a round,
    NaN where a board is missing. ``spread_a`` is the highest less the lowest mean current.
    """

    supply: str
    boards: tuple[str, ...]
    round_count: int
    mean_current_a: FloatArray
    share_fraction: FloatArray
    share_half_width_fraction: FloatArray
    spread_a: float
    spread_half_width_a: float
    highest: str
    lowest: str
    elapsed_h: FloatArray
    share_over_time_fraction: FloatArray


def log_shares(log: CurrentLog, *, noise: MeterChoice, supply: int = 0, confidence: float = 0.95) -> LogShares:
    """Return how the boards of a supply share its current.

    Parameters
    ----------
    log : of boards that have warmed up: see ``CurrentLog.since``
    noise : of the meter, or a mapping of meter to noise
    supply : place in ``log.supplies``
    confidence : above 0, below 1: of the half widths

    Returns
    -------
    LogShares; NaN where no round is complete

    Raises
    ------
    ArgumentError (a ValueError): no such supply, or a meter without noise

    Validity
    --------
    Rounds as ``log_rounds``. Errors to first order, which is what shares of several boards need.

    References
    ----------
    JCGM 100 (GUM) 5.1 and 5.2: what is common to all readings of one meter cancels in a ratio.

    Examples
    --------
    >>> from ledcalc.bench import MeterNoise
    >>> log = CurrentLog.from_wide([0.0, 4.0], {"B1": [2.10, 2.10], "B2": [1.90, 1.90]})
    >>> found = log_shares(log, noise=MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01))
    >>> found.share_fraction.tolist(), found.highest, round(found.spread_a, 2)
    ([0.525, 0.475], 'B1', 0.2)
    """
    rounds = log_rounds(log, supply)
    shown, count = rounds.complete, len(rounds.boards)
    mean = rounds.current_a[shown].mean(axis=0) if shown.size else np.full(count, np.nan)
    total = float(mean.sum())
    usable = total > 0
    readings = rounds.readings(shown, noise)

    def half_width(weights: FloatArray) -> float:
        each = np.tile(weights / max(shown.size, 1), shown.size)
        return readings.own_errors(each).with_(readings.common_errors(each)).half_width(confidence)

    share = mean / total if usable else np.full(count, np.nan)
    one, top, bottom = np.eye(count), int(mean.argmax()), int(mean.argmin())
    known = [half_width((one[i] - share[i]) / total) if usable else np.nan for i in range(count)]
    totals = rounds.current_a.sum(axis=1, keepdims=True)
    return LogShares(
        supply=rounds.supply,
        boards=rounds.boards,
        round_count=int(shown.size),
        mean_current_a=mean,
        share_fraction=share,
        share_half_width_fraction=np.array(known),
        spread_a=float(mean[top] - mean[bottom]),
        spread_half_width_a=half_width(one[top] - one[bottom]) if usable else float("nan"),
        highest=rounds.boards[top] if usable else "",
        lowest=rounds.boards[bottom] if usable else "",
        elapsed_h=rounds.elapsed_h,
        share_over_time_fraction=rounds.current_a / np.where(totals > 0, totals, np.nan),
    )
