"""One board of a log: settled or not, drift after its warm-up, the current that it runs at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.air_rise import TemperatureRises
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.drifting import BoardDrift, board_drift
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.bench.reading_errors import MeterChoice, Readings, readings_with
from ledcalc.bench.reading_worth import NextReading, next_reading
from ledcalc.bench.settle import OPEN, SETTLED, STILL, Settling, settling

__all__ = ["LEVEL_BASES", "BoardJudgement", "BoardLevel", "judge_board"]

MEAN, STEADY, LATEST = LEVEL_BASES = (
    "mean of the readings since it settled",
    "steady value that it goes to",
    "latest reading",
)
# What is left of a warm-up after this share of it is no drift.
WARMED_UP_FRACTION = 0.98
# With fewer times than this the start is not fitted too: the rise over air is taken to be 0 at switch-on.
FREE_START_COUNT = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardLevel:
    """The current that a board runs at, and what it rests on.

    Its own error is within the rectangular ``own_half_widths_a`` (place in the jaw, digits) where it is one reading's,
    and normal with ``own_standard_uncertainty_a`` where it is a mean's or a fit's; ``calibration_fraction`` is the half
    width of what the meter's calibration adds.
    """

    current_a: float
    basis: str
    own_half_widths_a: FloatArray
    own_standard_uncertainty_a: float
    calibration_fraction: float
    limits: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardJudgement:
    """What a log says of one board.

    ``settling`` is of its current, ``temperature_settling`` of its temperature rise over air (None without board and
    air temperatures), ``drift`` of the readings from ``warmed_up_h`` on. ``next_reading`` is None where there are fewer
    than two readings, or the meter has no error of its own in a reading.
    """

    board: str
    supply: str
    reading_count: int
    settling: Settling
    temperature_settling: Settling | None
    warmed_up_h: float
    drift: BoardDrift
    level: BoardLevel
    next_reading: NextReading | None


def judge_board(
    log: CurrentLog,
    board: int,
    *,
    noise: MeterChoice,
    rises: TemperatureRises,
    boards_judged_count: int = 1,
    temperature_noise: MeterNoise | None = None,
    confidence: float = 0.95,
) -> BoardJudgement:
    """Return what a log says of one board, by its place in ``log.boards``; its current must have been read.

    ``rises`` are the log's own; ``boards_judged_count`` as ``board_drift``; ``temperature_noise`` is of the
    thermometer, None: its noise from the scatter about the fit.
    """
    at = log.read(board)
    time = log.elapsed_h[at]
    readings = readings_with(log.current_a[at], noise, log.meters, log.meter[at])
    own = readings.own_standard_uncertainty()
    state = _settling(time, readings, own, boards_judged_count, confidence)
    # Only what has come to rest has a warm-up to leave out; else the whole log says how it moves.
    settled = state.verdict == SETTLED and state.fit is not None
    start = state.fit.time_to_share_h(WARMED_UP_FRACTION) if settled and state.fit else float(time[0])
    warm = time >= start
    return BoardJudgement(
        board=log.boards[board],
        supply=log.supplies[log.supply[at[0]]],
        reading_count=int(at.size),
        settling=state,
        temperature_settling=_temperature(rises, board, temperature_noise, confidence),
        warmed_up_h=start,
        drift=board_drift(
            time[warm],
            readings.value[warm],
            noise=readings.noise[0] if len(readings.noise) == 1 else noise,
            meter=None if len(readings.noise) == 1 else [log.meters[index] for index in log.meter[at][warm]],
            board=log.boards[board],
            boards_judged_count=boards_judged_count,
            confidence=confidence,
        ),
        level=_level(state, readings, warm),
        next_reading=_next(state, time, own),
    )


def _settling(time: FloatArray, readings: Readings, own: FloatArray, count: int, confidence: float) -> Settling:
    if not (own > 0).all():
        return settling(time, readings.value, boards_judged_count=count, confidence=confidence)
    # A reading cannot show less than this, so no more is asked of what is still to go.
    middle = np.argsort(readings.value)[readings.value.size // 2]
    one = Readings(
        value=readings.value[[middle]], noise=readings.noise, meter_index=readings.meter_index[[middle]]
    ).own_errors(np.ones(1))
    return settling(
        time,
        readings.value,
        standard_uncertainty=own,
        tolerance=one.half_width(confidence),
        boards_judged_count=count,
        confidence=confidence,
    )


def _temperature(rises: TemperatureRises, board: int, noise: MeterNoise | None, confidence: float) -> Settling | None:
    shown = (rises.board == board) & ~np.isnan(rises.rise_k)
    if not shown.any():
        return None
    time, rise = rises.elapsed_h[shown], rises.rise_k[shown]
    own = None
    if noise is not None:
        # Board and air are two readings.
        both = np.hypot(
            noise.own_standard_uncertainty(rises.temperature_c[shown]),
            noise.own_standard_uncertainty(rises.air_temperature_c[shown]),
        )
        own = both if (both > 0).all() else None
    few = np.unique(time).size < FREE_START_COUNT
    start = 0.0 if few and time.min() > 0 else None
    return settling(time, rise, standard_uncertainty=own, start=start, confidence=confidence)


def _level(state: Settling, readings: Readings, warm: NDArray[np.bool_]) -> BoardLevel:
    widths, standard = np.zeros(2), 0.0
    if state.verdict == STILL and state.fit is not None:
        current, basis, standard = max(state.steady, 0.0), STEADY, state.fit.steady_standard_error
    else:
        settled = state.verdict == SETTLED and bool(warm.any())
        shown = np.flatnonzero(warm) if settled else np.array([readings.value.size - 1])
        part = Readings(value=readings.value[shown], noise=readings.noise, meter_index=readings.meter_index[shown])
        errors = part.own_errors(np.full(shown.size, 1.0 / shown.size))
        current, basis = float(part.value.mean()), MEAN if settled else LATEST
        if shown.size == 1:
            widths, standard = np.sort(np.append(errors.half_widths, 0.0))[-2:], errors.standard
        else:
            standard = errors.standard_uncertainty
    return BoardLevel(
        current_a=current,
        basis=basis,
        own_half_widths_a=widths,
        own_standard_uncertainty_a=standard,
        calibration_fraction=max(each.calibration_fraction for each in readings.noise),
        limits=readings.noise[0].limits,
    )


def _next(state: Settling, time: FloatArray, own: FloatArray) -> NextReading | None:
    span = float(np.ptp(time)) if time.size else 0.0
    if span <= 0 or not (own > 0).all():
        return None
    return next_reading(
        time, standard_uncertainty=own, horizon_h=span, fit=state.fit if state.verdict in {STILL, OPEN} else None
    )
