"""Checks of maintenance tests and light plans: hours and weeks in order, shares that can be, one want a step."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ledcalc.schema.model import sheet
from ledcalc.schema.record import Record, RecordProblem, Records
from ledcalc.schema.values import Value

__all__ = ["tables_over_time_are_whole"]

# LEDs gain a few per cent in their first hours; more than this from one reading to the next is a slip of the pen.
MOST_GAIN_FRACTION = 0.1
# How far the share at 0 h may lie from 1 by rounding.
ROUNDING_FRACTION = 0.005
Group = list[tuple[int, Record]]


def tables_over_time_are_whole(records: Records) -> Iterator[RecordProblem]:
    """Say which maintenance tests are out of order, which boards ask for one that is missing, which steps clash."""
    groups: dict[tuple[str, Value | None], Group] = {}
    for row, record in enumerate(records.get("maintenance", ())):
        if record.get("tag") is not None:
            groups.setdefault((str(record["tag"]), record.get("temperature_c")), []).append((row, record))
    for rows in groups.values():
        yield from _hours_rise(rows)
        yield from _shares_can_be(rows)
        yield from _one_count(rows)
    yield from _named_tables(records, list(dict.fromkeys(tag for tag, _ in groups)))
    yield from _weeks_rise(list(enumerate(records.get("light_plan", ()))))
    for row, step in enumerate(records.get("light_plan", ())):
        yield from _one_want(row, step)


def _hours_rise(rows: Group) -> Iterator[RecordProblem]:
    for (_, before), (row, record) in itertools.pairwise(rows):
        low, high = before.get("elapsed_h"), record.get("elapsed_h")
        if isinstance(low, int | float) and isinstance(high, int | float) and high <= low:
            yield RecordProblem(
                sheet="maintenance",
                row=row,
                field="elapsed_h",
                problem=f"{high:g} h does not come after {low:g} h",
                allowed="rising order within one table and temperature, each time once",
            )


def _shares_can_be(rows: Group) -> Iterator[RecordProblem]:
    for row, record in rows:
        hours, share = record.get("elapsed_h"), record.get("flux_fraction")
        if hours == 0 and isinstance(share, int | float) and abs(share - 1.0) > ROUNDING_FRACTION:
            yield RecordProblem(
                sheet="maintenance",
                row=row,
                field="flux_fraction",
                problem=f"{share:g} at 0 h, where the share of the initial flux is 1",
                allowed="1 at 0 h",
                remedy="divide all readings of the temperature by the one at 0 h",
            )
    for (_, before), (row, record) in itertools.pairwise(rows):
        low, high = before.get("flux_fraction"), record.get("flux_fraction")
        if isinstance(low, int | float) and isinstance(high, int | float) and high - low > MOST_GAIN_FRACTION:
            yield RecordProblem(
                sheet="maintenance",
                row=row,
                field="flux_fraction",
                problem=f"the light rises from {low:g} to {high:g} between two readings",
                allowed=f"at most {low + MOST_GAIN_FRACTION:g} after {low:g}",
                remedy="check the reading against the test report",
            )


def _one_count(rows: Group) -> Iterator[RecordProblem]:
    counts = [(row, record["units_count"]) for row, record in rows if record.get("units_count") is not None]
    for row, count in counts[1:]:
        if count != counts[0][1]:
            yield RecordProblem(
                sheet="maintenance",
                row=row,
                field="units_count",
                problem=f"{count} units, where the first row of this temperature says {counts[0][1]}",
                allowed="one number a table and temperature, in one row or in all",
            )


def _named_tables(records: Records, known: list[str]) -> Iterator[RecordProblem]:
    for row, model in enumerate(records.get("boards", ())):
        asked = model.get("maintenance")
        if asked is not None and str(asked) not in known:
            yield RecordProblem(
                sheet="boards",
                row=row,
                field="maintenance",
                problem=f"there is no photon maintenance {asked!r}",
                allowed=", ".join(known) or "nothing yet: fill the Photon maintenance sheet",
                rests_on=("maintenance.tag",),
                lacking="" if known else sheet("maintenance").title,
            )


def _weeks_rise(rows: Group) -> Iterator[RecordProblem]:
    for (_, before), (row, step) in itertools.pairwise(rows):
        low, high = before.get("from_week"), step.get("from_week")
        if isinstance(low, int | float) and isinstance(high, int | float) and high <= low:
            yield RecordProblem(
                sheet="light_plan",
                row=row,
                field="from_week",
                problem=f"week {high} does not come after week {low}",
                allowed="rising order, each week once",
            )


def _one_want(row: int, step: Record) -> Iterator[RecordProblem]:
    names = ("target_dli_mol_m2_d", "target_ppfd_umol_m2_s")
    given = [name for name in names if step.get(name) is not None]
    if len(given) == 1 or step.get("from_week") is None:
        return
    yield RecordProblem(
        sheet="light_plan",
        row=row,
        # Of two, the second is the one to blank; with none the row says nothing.
        field=given[1] if given else "from_week",
        problem="both a DLI and a PPFD are wanted" if given else "neither a DLI nor a PPFD is wanted",
        allowed="one of the two",
        rests_on=tuple(f"light_plan.{name}" for name in names),
    )
