"""Blocks of light readings: which rows of the Light grids sheet make one, and whether its places are told one way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

from ledcalc.schema.record import Record, RecordProblem, Records, form_of
from ledcalc.schema.values import Value

__all__ = [
    "BlockKey",
    "block_keys",
    "light_blocks_are_whole",
    "light_maps_of_a_size",
    "sensor_errors_are_of_sensors",
]

# Survey, height and date of a block.
BlockKey: TypeAlias = tuple[Value | None, Value | None, Value | None]
# The surface fitted through a map takes time by the cube of its readings; nobody reads so many by hand.
MOST_READINGS = 400
ONLY_OF_SENSORS = ("spectral_fraction", "cosine_45_fraction", "cosine_75_fraction")


def block_keys(rows: Sequence[BlockKey]) -> list[BlockKey]:
    """Return which block each row belongs to: its survey, height and date; a date left blank is the only one there."""
    dates: dict[tuple[Value | None, Value | None], set[Value]] = {}
    for survey, height, date in rows:
        if date:
            dates.setdefault((survey, height), set()).add(date)
    keys: list[BlockKey] = []
    for survey, height, date in rows:
        known = dates.get((survey, height), set())
        keys.append((survey, height, date or (next(iter(known)) if len(known) == 1 else None)))
    return keys


def light_blocks_are_whole(records: Records) -> Iterator[RecordProblem]:
    """Say where the first x stands without a step, and where a block states y, or x, in some of its rows only."""
    rows = records.get("light_grids", ())
    for number, row in enumerate(rows):
        for name, other in (("first_x_m", "step_m"), ("step_m", "first_x_m")):
            if row.get(name) is None and row.get(other) is not None:
                yield _problem(
                    number,
                    other,
                    "only one of first x and step is given",
                    "both, or neither where readings lie evenly over the crop's width",
                    (f"light_grids.{name}",),
                )
    hung = form_of(records, "fixture").get("height_m")
    keys = block_keys([_key(row, hung) for row in rows])
    for name, what in (("y_m", "y"), ("first_x_m", "x of the first reading")):
        given = {key for key, row in zip(keys, rows, strict=True) if row.get(name) is not None}
        lacking = {key for key, row in zip(keys, rows, strict=True) if row.get(name) is None}
        for number, (key, row) in enumerate(zip(keys, rows, strict=True)):
            if key in given & lacking and row.get(name) is not None:
                yield _problem(
                    number,
                    name,
                    f"{what} is given here, and blank in another row of {key[0]!r} at this height and date",
                    f"{what} in each row of a block, or in none",
                    ("light_grids.survey", "light_grids.height_m", "light_grids.taken_on", f"light_grids.{name}"),
                )


def light_maps_of_a_size(records: Records) -> Iterator[RecordProblem]:
    """Say where one survey has more readings at one height and date than a map can be judged by."""
    hung = form_of(records, "fixture").get("height_m")
    counts: dict[BlockKey, int] = {}
    for number, row in enumerate(records.get("light_readings", ())):
        key = _key(row, hung)
        counts[key] = counts.get(key, 0) + 1
        if counts[key] == MOST_READINGS + 1:
            yield RecordProblem(
                sheet="light_readings",
                row=number,
                field="survey",
                problem=f"more than {MOST_READINGS:,} readings of {key[0]!r} at this height and date",
                allowed=f"up to {MOST_READINGS:,}: take the mean of neighbours, or make several surveys of them",
                rests_on=("light_readings.survey", "light_readings.height_m", "light_readings.taken_on"),
            )


def sensor_errors_are_of_sensors(records: Records) -> Iterator[RecordProblem]:
    """Say where an error that only a light sensor has is stated of another meter."""
    for number, meter in enumerate(records.get("meters", ())):
        for name in ONLY_OF_SENSORS:
            if meter.get(name) and meter.get("quantity") not in {"PPFD", None}:
                yield RecordProblem(
                    sheet="meters",
                    row=number,
                    field=name,
                    problem=f"a meter of {meter.get('quantity')} has no such error",
                    allowed="blank but for PPFD",
                    rests_on=("meters.quantity",),
                )


def _key(row: Record, hung: Value | None) -> BlockKey:
    height = row.get("height_m")
    return row.get("survey"), hung if height is None else height, row.get("taken_on")


def _problem(row: int, field: str, problem: str, allowed: str, rests_on: tuple[str, ...]) -> RecordProblem:
    return RecordProblem(sheet="light_grids", row=row, field=field, problem=problem, allowed=allowed, rests_on=rests_on)
