"""Maintenance tables that the projection refuses: tests too short, of too few units, with too few readings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from ledcalc.errors import ArgumentError
from ledcalc.fixture import MaintenancePoint
from ledcalc.model_curves import maintenance_tests
from ledcalc.schema import Record, RecordProblem, Records

__all__ = ["tests_that_are_none"]

RESTS_ON = ("temperature_c", "elapsed_h", "flux_fraction", "units_count")
NEEDED = RESTS_ON[:3]
WORDS = {
    "test duration in h": "hours of the last reading:",
    "unit_count": "units tested:",
    "hours_h": "readings at h:",
}


def tests_that_are_none(records: Records) -> Iterator[RecordProblem]:
    """Say of which board models a maintenance table cannot be projected from, at which temperature and why."""
    for row, model in enumerate(records.get("boards", ())):
        tag = model.get("maintenance")
        own = [record for record in records.get("maintenance", ()) if tag is not None and record.get("tag") == tag]
        # Gaps and disorder are said elsewhere.
        if any(not isinstance(record.get(name), int | float) for record in own for name in NEEDED):
            continue
        for celsius in dict.fromkeys(record.get("temperature_c") for record in own):
            at = [record for record in own if record.get("temperature_c") == celsius]
            hours = [float(record.get("elapsed_h") or 0.0) for record in at]
            if any(late <= early for early, late in pairwise(hours)):
                continue
            refusal = _refusal(str(tag), at)
            if refusal is not None:
                why, allowed = refusal
                yield RecordProblem(
                    sheet="boards",
                    row=row,
                    field="maintenance",
                    problem=f"{tag!r} at {celsius:g} degC cannot be projected from: {why}",
                    allowed=allowed,
                    remedy="take the test's missing readings in, or leave the board's table blank",
                    rests_on=tuple(f"maintenance.{name}" for name in RESTS_ON),
                )


def _refusal(tag: str, rows: Sequence[Record]) -> tuple[str, str] | None:
    """Return what is wrong with the readings of one temperature, and what is allowed."""
    if len(rows) < 2:
        return "one reading only", "at least two readings in the fit window"
    try:
        maintenance_tests(tag, tuple(_point(record) for record in rows))
    except ArgumentError as problem:
        value = f"{problem.value:g}" if isinstance(problem.value, float) else str(problem.value)
        return f"{WORDS.get(problem.argument, problem.argument)} {value}", problem.allowed
    return None


def _point(record: Record) -> MaintenancePoint:
    units = record.get("units_count")
    return MaintenancePoint(
        tag=str(record["tag"]),
        temperature_c=float(record["temperature_c"] or 0.0),
        elapsed_h=float(record["elapsed_h"] or 0.0),
        flux_fraction=float(record["flux_fraction"] or 0.0),
        units_count=int(units) if isinstance(units, int | float) else None,
    )
