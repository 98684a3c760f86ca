"""Checks that need more than one cell: tags that stand twice, references to nothing, contradicting figures.

They run on records, so that workbook, CSV folder and Python are judged by the same code.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches

from ledcalc.schema.figures import FIGURE_CHECKS
from ledcalc.schema.model import ON_THE_FIXTURE, Field, sheet, sheets
from ledcalc.schema.record import TAGS_ON_THE_FIXTURE, RecordProblem, Records, board_tags

__all__ = ["known_names", "record_problems"]

# What the meter that a field names has to measure.
METER_QUANTITIES = {
    **dict.fromkeys(("current_log.meter", "supply_log.meter", "dial_log.meter"), "current"),
    **dict.fromkeys(("light_readings.meter", "light_grids.meter", "light_rings.meter"), "PPFD"),
    "supply_log.power_meter": "power",
}


def record_problems(records: Records) -> list[RecordProblem]:
    """Return every contradiction in the records; rows count from 0 within their sheet."""
    return [
        *_duplicate_tags(records),
        *_dangling_references(records),
        *(found for check in FIGURE_CHECKS for found in check(records)),
    ]


def _duplicate_tags(records: Records) -> Iterator[RecordProblem]:
    for entry in sheets():
        for field in entry.fields:
            if field.kind != "tag":
                continue
            seen: dict[str, int] = {}
            for row, record in enumerate(records.get(entry.key, ())):
                tag = record.get(field.name)
                if tag is None:
                    continue
                key = str(tag).casefold()
                if key in seen:
                    yield RecordProblem(
                        sheet=entry.key,
                        row=row,
                        field=field.name,
                        problem=f"{tag!r} stands twice",
                        allowed=field.allowed,
                        remedy=f"rename it; the first one is data row {seen[key] + 1}",
                    )
                seen.setdefault(key, row)


def _dangling_references(records: Records) -> Iterator[RecordProblem]:
    for entry in sheets():
        for field in entry.fields:
            if field.refers_to is None:
                continue
            known = known_names(records, field)
            known_set = set(known)
            if field.path in METER_QUANTITIES:
                known = _meters_of(records, METER_QUANTITIES[field.path])
            for row, record in enumerate(records.get(entry.key, ())):
                tag = record.get(field.name)
                if tag is None or str(tag) in known_set:
                    continue
                near = get_close_matches(str(tag), known, n=1, cutoff=0.4)
                lacking = "" if known else " or ".join(sheet(one.split(".")[0]).title for one in field.referred)
                yield RecordProblem(
                    sheet=entry.key,
                    row=row,
                    field=field.name,
                    problem=f"there is no {field.label.lower()} {tag!r}",
                    allowed=_some(known) or f"nothing yet: fill the {lacking} sheet",
                    remedy=f"nearest: {near[0]}" if near else "",
                    rests_on=TAGS_ON_THE_FIXTURE if field.refers_to == ON_THE_FIXTURE else field.referred,
                    lacking=lacking,
                )


def _meters_of(records: Records, quantity: str) -> list[str]:
    """Return the meters of a quantity: others may be named, and serve for nothing."""
    meters = records.get("meters", ())
    return [str(meter["tag"]) for meter in meters if meter.get("tag") and meter.get("quantity") == quantity]


def known_names(records: Records, field: Field) -> list[str]:
    """Return the names that may stand in a reference, as their own sheets write them."""
    if field.refers_to == ON_THE_FIXTURE:
        return board_tags(records)
    named = [
        str(record[name])
        for key, name in (one.split(".") for one in field.referred)
        for record in records.get(key, ())
        if record.get(name) is not None
    ]
    return list(dict.fromkeys(named))


def _some(known: Sequence[str]) -> str:
    return ", ".join(known[:12]) + (" ..." if len(known) > 12 else "")
