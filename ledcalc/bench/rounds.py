"""Rounds of a log: what was read of all boards of a supply at about one time, side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray, whole_numbers
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.log_columns import IntArray
from ledcalc.bench.reading_errors import MeterChoice, Readings, readings_with

__all__ = ["LogRounds", "log_rounds"]

# Going round a fixture with a clamp takes less: common practice, no source.
ROUND_H = 0.25


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogRounds:
    """Readings of one supply as tables, a row a round and a column a board; NaN where none was read.

    ``elapsed_h`` is the mean time of a round's readings; ``total_current_a`` what was read of the supply at that time.
    ``meter`` is each reading's place in ``meters``.
    """

    supply: str
    boards: tuple[str, ...]
    meters: tuple[str, ...]
    elapsed_h: FloatArray
    current_a: FloatArray
    voltage_v: FloatArray
    temperature_c: FloatArray
    meter: IntArray
    total_current_a: FloatArray
    mains_w: FloatArray
    power_factor: FloatArray

    @property
    def complete(self) -> IntArray:
        """The places of rounds in which every board's current was read."""
        return np.flatnonzero(~np.isnan(self.current_a).any(axis=1))

    def readings(self, rounds: IntArray, noise: MeterChoice) -> Readings:
        """Return the currents of some rounds with their meters' noise, round by round."""
        return readings_with(self.current_a[rounds].ravel(), noise, self.meters, self.meter[rounds].ravel())


def log_rounds(log: CurrentLog, supply: int = 0) -> LogRounds:
    """Return the rounds of one supply, by its place in ``log.supplies``.

    A round ends where a board comes again, or a quarter of an hour after its first reading. Readings of one board at
    one time are averaged.

    Raises
    ------
    ArgumentError (a ValueError): no such supply

    Examples
    --------
    >>> log = CurrentLog.from_long([0.0, 0.1, 4.0, 4.1], ["B1", "B2", "B1", "B2"], [2.08, 2.01, 2.09, 2.02])
    >>> log_rounds(log).current_a.tolist()
    [[2.08, 2.01], [2.09, 2.02]]
    """
    whole_numbers("supply", supply, at_most=len(log.supplies) - 1)
    part = log.of_supply(supply)
    of_round = _round_of(part.elapsed_h, part.board)
    count = int(of_round[-1]) + 1 if of_round.size else 0
    boards, column = np.unique(part.board, return_inverse=True)
    cell = of_round * max(boards.size, 1) + column
    shape = (count, boards.size)

    def mean_of(values: FloatArray) -> FloatArray:
        return _means(values, cell, count * boards.size).reshape(shape)

    meter = np.zeros(count * boards.size, dtype=np.int64)
    meter[cell] = part.meter
    elapsed = _means(part.elapsed_h, of_round, count)
    whole = part.supply_readings
    near = _nearest(elapsed, whole.elapsed_h)
    used = near >= 0
    return LogRounds(
        supply=log.supplies[supply],
        boards=tuple(log.boards[index] for index in boards),
        meters=log.meters,
        elapsed_h=elapsed,
        current_a=mean_of(part.current_a),
        voltage_v=mean_of(part.voltage_v),
        temperature_c=mean_of(part.temperature_c),
        meter=meter.reshape(shape),
        total_current_a=_means(whole.total_current_a[used], near[used], count),
        mains_w=_means(whole.mains_w[used], near[used], count),
        power_factor=_means(whole.power_factor[used], near[used], count),
    )


def _round_of(elapsed_h: FloatArray, board: IntArray) -> IntArray:
    """Return the round of each reading, of readings in order of time."""
    if elapsed_h.size == 0:
        return np.zeros(0, dtype=np.int64)
    first = np.flatnonzero(np.diff(elapsed_h, prepend=-1.0) > 0)
    moment = np.cumsum(np.diff(elapsed_h, prepend=-1.0) > 0) - 1
    _, seen_at = np.unique(moment * (board.max(initial=0) + 1) + board, return_index=True)
    if (np.bincount(board[seen_at]) == first.size).any():
        # A board that is there every time comes again every time.
        return moment
    numbers = np.zeros(elapsed_h.size, dtype=np.int64)
    tags, times = board.tolist(), elapsed_h.tolist()
    ends = [*first[1:].tolist(), elapsed_h.size]
    current, seen, start = 0, set[int](), float("-inf")
    for begin, end in zip(first.tolist(), ends, strict=True):
        here = set(tags[begin:end])
        if seen and (times[begin] - start > ROUND_H or not seen.isdisjoint(here)):
            current, seen = current + 1, set()
        if not seen:
            start = times[begin]
        seen |= here
        numbers[begin:end] = current
    return numbers


def _means(values: FloatArray, group: IntArray, count: int) -> FloatArray:
    read = ~np.isnan(values)
    number = np.bincount(group[read], minlength=count)
    total = np.bincount(group[read], values[read], minlength=count)
    return np.where(number > 0, total / np.maximum(number, 1), np.nan)


def _nearest(rounds_h: FloatArray, elapsed_h: FloatArray) -> IntArray:
    """Return the round next in time to each reading of a supply; -1 where none is within a quarter of an hour."""
    if rounds_h.size == 0:
        return np.full(elapsed_h.size, -1)
    after = np.clip(np.searchsorted(rounds_h, elapsed_h), 1, max(rounds_h.size - 1, 1))
    before = after - 1
    after = np.minimum(after, rounds_h.size - 1)
    near = np.where(np.abs(rounds_h[after] - elapsed_h) < np.abs(rounds_h[before] - elapsed_h), after, before)
    return np.where(np.abs(rounds_h[near] - elapsed_h) <= ROUND_H, near, -1)
