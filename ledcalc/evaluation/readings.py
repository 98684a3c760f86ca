"""Bench readings beside prediction and rating: the latest logged currents."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from ledcalc.bench import meter_half_width
from ledcalc.evaluation.sensors import zeroed_logs
from ledcalc.fixture import CurrentReading, Fixture, Meter
from ledcalc.results import BoardResults, LoggedBoards, LogVerdict

__all__ = ["logged_boards", "logged_verdict"]

# An approach has three unknowns: fewer readings of a board leave nothing to judge it by.
FEWEST_READINGS = 4


def logged_boards(fixture: Fixture, boards: BoardResults) -> LoggedBoards | None:
    """Return the latest logged current of each board that has one, None without a log."""
    latest = _latest(zeroed_logs(fixture).current_log)
    tags = [tag for tag in boards.tag if tag in latest]
    if not tags:
        return None
    rows = [latest[tag] for tag in tags]
    index = [boards.tag.index(tag) for tag in tags]
    current = np.array([row.current_a for row in rows])
    half = np.array([_half_width(fixture.meters, row.meter, row.current_a) for row in rows])
    rated = boards.rated_current_a[index]
    total = current.sum()
    return LoggedBoards(
        tag=tuple(tags),
        elapsed_h=np.array([row.elapsed_h for row in rows]),
        current_a=current,
        half_width_a=half,
        share_fraction=current / total if total > 0 else np.full_like(current, np.nan),
        predicted_current_a=boards.current_a[index],
        rated_current_a=rated,
        temperature_c=np.array([np.nan if row.temperature_c is None else row.temperature_c for row in rows]),
        against_rating=tuple(_against(*numbers) for numbers in zip(current, half, rated, strict=True)),
    )


def logged_verdict(fixture: Fixture, boards: BoardResults) -> LogVerdict | None:
    """Return what the log says; None without a supply log and with fewer than four readings of any board."""
    most = max(Counter(row.board for row in fixture.current_log).values(), default=0)
    if not fixture.supply_log and most < FEWEST_READINGS:
        return None
    # What judges a log loads where there is one.
    from ledcalc.evaluation.bench_log import log_verdict

    return log_verdict(fixture, boards)


def _latest(log: Sequence[CurrentReading]) -> Mapping[str, CurrentReading]:
    latest: dict[str, CurrentReading] = {}
    for row in log:
        if row.board not in latest or row.elapsed_h >= latest[row.board].elapsed_h:
            latest[row.board] = row
    return latest


def _half_width(meters: Sequence[Meter], tag: str | None, reading: float) -> float:
    for meter in meters:
        if meter.tag == tag:
            return float(
                meter_half_width(
                    reading,
                    accuracy_fraction=meter.accuracy_fraction,
                    counts=meter.accuracy_digits_count,
                    resolution=meter.resolution,
                )
            )
    return float("nan")


def _against(current: float, half: float, rated: float) -> str:
    if np.isnan(half):
        return "over its rating" if current > rated else "within its rating, meter not given"
    if current - half > rated:
        return "over its rating"
    if current + half > rated:
        return "too near its rating for this meter to tell"
    return "within its rating"
