"""Checks of beams in several planes: which ranges there are, the same angles in each plane, one value at 0 and 360."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TypeAlias

from ledcalc.schema.record import Record, RecordProblem

__all__ = ["by_plane", "planes_fit"]

ENDS = ((0.0, 0.0), (0.0, 90.0), (0.0, 180.0), (90.0, 270.0), (0.0, 360.0))
RANGES = "planes of 0 alone, 0 to 90, 0 to 180, 90 to 270 or 0 to 360 deg"
# The planes of 0 and 360 deg are one; tables of measurements differ a little.
MOST_STEP_AT_360_FRACTION = 0.1
RESTS_ON = ("beams.tag", "beams.plane_deg", "beams.angle_deg", "beams.intensity")
Rows: TypeAlias = Sequence[tuple[int, Record]]
Angles: TypeAlias = tuple[float | None, ...]


def by_plane(rows: Rows) -> dict[float, Rows]:
    """Return the rows of one beam by their plane, blank being that of 0."""
    planes: dict[float, list[tuple[int, Record]]] = {}
    for row, record in rows:
        planes.setdefault(_number(record, "plane_deg") or 0.0, []).append((row, record))
    return {plane: planes[plane] for plane in sorted(planes)}


def planes_fit(rows: Rows) -> Iterator[RecordProblem]:
    """Say which planes of one beam do not make up a distribution."""
    planes = by_plane(rows)
    first, last = min(planes), max(planes)
    if (first, last) not in ENDS:
        at = planes[last] if first in {0.0, 90.0} else planes[first]
        yield _problem(at[0][0], "plane_deg", f"this beam's planes go from {first:g} to {last:g} deg", RANGES)
        return
    angles = {plane: _angles(own) for plane, own in planes.items()}
    usual = Counter(angles.values()).most_common(1)[0][0]
    if len(planes) > 1 and len(usual) < 2:
        yield _problem(rows[0][0], "angle_deg", "one angle a plane only", "at least two angles in every plane")
    model = next(plane for plane, own in angles.items() if own == usual)
    for plane, own in planes.items():
        yield from _unlike(plane, own, model, usual)
    if last == 360.0:
        yield from _closes(planes[first], planes[last], rows)


def _unlike(plane: float, own: Rows, model: float, usual: Angles) -> Iterator[RecordProblem]:
    """Say what this plane lacks that most have, or else what it has and they have not."""
    here, allowed = _angles(own), "the same angles in every plane of a beam"
    missing = [angle for angle in usual if angle is not None and angle not in here]
    if missing:
        text = f"the plane of {plane:g} deg has no row for the angle {missing[0]:g}, which that of {model:g} deg has"
        yield _problem(own[0][0], "angle_deg", text, allowed)
        return
    for (row, _), angle in zip(own, here, strict=True):
        if angle is not None and angle not in usual:
            text = f"the plane of {plane:g} deg has a row for the angle {angle:g}, which that of {model:g} deg has not"
            yield _problem(row, "angle_deg", text, allowed)
            return


def _closes(first: Rows, last: Rows, rows: Rows) -> Iterator[RecordProblem]:
    values = [number for _, record in rows if (number := _number(record, "intensity")) is not None]
    limit = MOST_STEP_AT_360_FRACTION * max(values, default=0.0)
    at_0 = {_number(record, "angle_deg"): _number(record, "intensity") for _, record in first}
    for row, record in last:
        start, end = at_0.get(_number(record, "angle_deg")), _number(record, "intensity")
        if start is not None and end is not None and abs(end - start) > limit:
            yield _problem(
                row,
                "intensity",
                f"{end:g} in the plane of 360 deg, but {start:g} in that of 0, which is the same",
                f"the two planes alike within {MOST_STEP_AT_360_FRACTION:.0%} of the beam's highest value",
            )
            return


def _angles(rows: Rows) -> Angles:
    return tuple(_number(record, "angle_deg") for _, record in rows)


def _number(record: Record, name: str) -> float | None:
    value = record.get(name)
    return float(value) if isinstance(value, int | float) else None


def _problem(row: int, field: str, problem: str, allowed: str) -> RecordProblem:
    return RecordProblem(sheet="beams", row=row, field=field, problem=problem, allowed=allowed, rests_on=RESTS_ON)
