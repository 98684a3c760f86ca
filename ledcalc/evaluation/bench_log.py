"""The current log judged: settled or drifting, sharing or hogging, over rating or not, with the meters' errors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench import BoardLevel, CurrentLog, LogJudgement, LogRemark, MeterNoise, judge_log, judgement_sentences
from ledcalc.bench.error_sums import half_width_of_sum
from ledcalc.bench.log_judgement import HOGGING
from ledcalc.bench.meter_noise import PER_STANDARD
from ledcalc.bench.settle import STILL
from ledcalc.evaluation.sensors import zeroed_logs
from ledcalc.fixture import CurrentReading, Fixture, Meter, SupplyReading
from ledcalc.results import BoardResults, LogSuspect, LogVerdict

__all__ = ["JudgedLog", "judged_log", "log_verdict", "meter_noise", "only_meter"]

NAN = float("nan")
# Columns of the supply log by the names that the log's remarks use.
SUPPLY_COLUMNS = {
    "total_current_a": "current_a",
    "mains_w": "mains_power_w",
    "power_factor": "power_factor_fraction",
    "elapsed_h": "elapsed_h",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLog:
    """The judgement, the noise of the meters in it, and which row of the inputs each row of the log is."""

    judgement: LogJudgement
    noise: Mapping[str, MeterNoise]
    paths: tuple[str, ...]
    unjudged_count: int


def meter_noise(meter: Meter) -> MeterNoise:
    """Return a meter's stated accuracy as a model of its errors."""
    return MeterNoise(
        accuracy_fraction=meter.accuracy_fraction, counts=meter.accuracy_digits_count, resolution=meter.resolution
    )


def only_meter(fixture: Fixture, quantity: str) -> MeterNoise | None:
    """Return the noise of the one meter of a quantity; None where none or several are listed."""
    found = [meter for meter in fixture.meters if meter.quantity == quantity]
    return meter_noise(found[0]) if len(found) == 1 else None


def judged_log(fixture: Fixture, boards: BoardResults) -> JudgedLog | None:
    """Return the judgement of the current log; None without a current whose meter is listed."""
    ratings = tuple(zip(boards.tag, boards.rated_current_a.tolist(), strict=True))
    logs = zeroed_logs(fixture)
    return _judged(logs.current_log, logs.supply_log, fixture.meters, ratings)


@lru_cache(maxsize=4)
def _judged(
    current_log: tuple[CurrentReading, ...],
    supply_log: tuple[SupplyReading, ...],
    meters: tuple[Meter, ...],
    ratings: tuple[tuple[str, float], ...],
) -> JudgedLog | None:
    """Judge a log once: variants of a fixture share it."""
    noise = {meter.tag: meter_noise(meter) for meter in meters if meter.quantity == "current"}
    rows = [(number, row) for number, row in enumerate(current_log) if row.meter in noise]
    if not rows:
        return None
    totals = list(enumerate(supply_log))

    def column(of_row: str, of_total: str) -> FloatArray:
        """Return a column of readings, then of totals; empty text for what the other table has."""
        names = [(row, of_row) for _, row in rows] + [(row, of_total) for _, row in totals]
        values = [getattr(row, name) if name else None for row, name in names]
        return np.array([NAN if value is None else value for value in values])

    total = column("", "current_a")
    # A total counts where its meter is known.
    total[[False] * len(rows) + [row.meter not in noise for _, row in totals]] = NAN
    log = CurrentLog.from_long(
        column("elapsed_h", "elapsed_h"),
        [*(row.board for _, row in rows), *("" for _ in totals)],
        column("current_a", ""),
        voltage_v=column("voltage_v", ""),
        temperature_c=column("temperature_c", ""),
        air_temperature_c=column("air_temperature_c", ""),
        total_current_a=total,
        mains_w=column("", "mains_power_w"),
        power_factor=column("", "power_factor_fraction"),
        meter=[*(str(row.meter) for _, row in rows), *("" for _ in totals)],
    )
    used = {row.meter for _, row in rows}
    of_totals = {row.meter for _, row in totals if row.meter in noise}
    thermometers = [meter for meter in meters if meter.quantity == "temperature"]
    judgement = judge_log(
        log,
        noise=noise,
        rating_a=dict(ratings),
        # Read with the branches' own meter, a total shares its calibration.
        total_noise=None if not of_totals or of_totals == used else noise[max(filter(None, of_totals))],
        temperature_noise=meter_noise(thermometers[0]) if len(thermometers) == 1 else None,
    )
    paths = (*(f"current_log[{n}]" for n, _ in rows), *(f"supply_log[{n}]" for n, _ in totals))
    return JudgedLog(judgement=judgement, noise=noise, paths=paths, unjudged_count=len(current_log) - len(rows))


def log_verdict(fixture: Fixture, boards: BoardResults) -> LogVerdict | None:
    """Return what the current log says, None where there is none to judge."""
    judged = judged_log(fixture, boards)
    if judged is None or not judged.judgement.boards:
        return None
    found, rating = judged.judgement, judged.judgement.rating
    hogging, total, mains = found.hogging[0], found.sums[0], found.mains[0]
    settles = [each.settling.settled_by_h for each in found.boards if each.settling.verdict == STILL]
    return LogVerdict(
        verdict=found.verdict,
        sentences=judgement_sentences(found),
        confidence_fraction=found.confidence,
        unjudged_count=judged.unjudged_count,
        last_h=float(found.log.elapsed_h.max()),
        **_of_boards(found),
        next_read_h=max(settles, default=NAN),
        chance_below_fraction=np.full(len(found.boards), NAN) if rating is None else rating.chance_below_fraction,
        against_rating=() if rating is None else rating.board_verdict,
        rating_verdict="" if rating is None else rating.verdict,
        all_below_fraction=NAN if rating is None else rating.all_below_fraction,
        hogging=hogging.verdict,
        growing=tuple(each.board for each in hogging.boards if each.growing) if found.verdict == HOGGING else (),
        sum_verdict=total.verdict,
        sum_difference_a=total.difference_a,
        sum_half_width_a=total.half_width_a,
        sum_remedy=total.remedy,
        mains_w=mains.mains_w,
        mains_half_width_w=_power_half_width(fixture, mains.mains_w),
        power_factor_fraction=mains.power_factor,
        suspects=_suspects(judged),
    )


def _of_boards(found: LogJudgement) -> dict[str, Any]:
    """Return what a verdict has an entry a board of."""
    shares = found.shares[0]
    share = {
        tag: (float(part), float(half))
        for tag, part, half in zip(shares.boards, shares.share_fraction, shares.share_half_width_fraction, strict=True)
    }
    # A board that the last rounds leave out has no share in them.
    parts = np.array([share.get(each.board, (NAN, NAN)) for each in found.boards])
    return {
        "tag": tuple(each.board for each in found.boards),
        "current_a": np.array([each.level.current_a for each in found.boards]),
        "half_width_a": np.array([_half_width(each.level, found.confidence) for each in found.boards]),
        "basis": tuple(each.level.basis for each in found.boards),
        "settling": tuple(each.settling.verdict for each in found.boards),
        "to_go_a": np.array([each.settling.to_go for each in found.boards]),
        "drift": tuple(each.drift.verdict for each in found.boards),
        "change_a": np.array([each.drift.change for each in found.boards]),
        "least_change_a": np.array([each.drift.least_detectable_change for each in found.boards]),
        "share_fraction": parts[:, 0],
        "share_half_width_fraction": parts[:, 1],
    }


def _half_width(level: BoardLevel, confidence: float) -> float:
    """Return how far a board's current may be off: its own error and the meter's calibration."""
    calibration = level.calibration_fraction * level.current_a
    own, standard = level.own_half_widths_a, level.own_standard_uncertainty_a
    if level.limits == "normal":
        return half_width_of_sum(own, float(np.hypot(standard, calibration / PER_STANDARD["normal"])), confidence)
    return half_width_of_sum(np.append(own, calibration), standard, confidence)


def _power_half_width(fixture: Fixture, mains_w: float) -> float:
    """Return how far the mains power may be off by the worst of the power meters that read it; NaN for an unknown."""
    tags = {row.power_meter for row in fixture.supply_log if row.mains_power_w is not None}
    found = [meter for meter in fixture.meters if meter.tag in tags]
    if not tags or len(found) < len(tags) or not np.isfinite(mains_w):
        return NAN
    return max(float(meter_noise(meter).half_width(mains_w)) for meter in found)


def _suspects(judged: JudgedLog) -> tuple[LogSuspect, ...]:
    """Return the log's remarks with their places among the inputs, columns that never change told once a column."""
    remarks = judged.judgement.log.remarks
    found = [_suspect(judged, remark) for remark in remarks if remark.row]
    constant: dict[str, list[str]] = {}
    for remark in remarks:
        if remark.code == "constant":
            name, _, board = remark.field.partition(" of ")
            constant.setdefault(name, []).append(board)
    for name, boards in constant.items():
        of = f" of {', '.join(boards)}" if all(boards) else ""
        what, remedy = f"the same in every row{of}", "was it copied down, or the meter on hold? Judged as it stands"
        path = f"{judged.paths[0]}.{name}"
        found.append(LogSuspect(path=path, message=what, remedy=remedy, value=None, changes={}))
    return tuple(found)


def _suspect(judged: JudgedLog, remark: LogRemark) -> LogSuspect:
    place = judged.paths[remark.row - 1]
    column = SUPPLY_COLUMNS.get(remark.field, remark.field) if place.startswith("supply_log") else remark.field
    path = f"{place}.{column}"
    return LogSuspect(
        path=path,
        message=f"{remark.what}{'; left out of the judgement' if remark.left_out else ''}",
        remedy=remark.remedy,
        value=float(remark.value) if isinstance(remark.value, float | int) else None,
        changes={path: float(remark.likely)} if isinstance(remark.likely, float | int) else {},
    )
