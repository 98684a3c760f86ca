"""Checks of spectra and beams: rows in rising order, the band that counts covered, tables that boards refer to."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from ledcalc.schema.beam_planes import by_plane, planes_fit
from ledcalc.schema.model import sheet
from ledcalc.schema.record import Record, RecordProblem, Records
from ledcalc.schema.values import Value

__all__ = ["light_tables_are_whole"]

# What a PPF counts.
LOW_NM, HIGH_NM = 400.0, 700.0
TABLES = (("spectra", "wavelength_nm", "value", "spectrum"), ("beams", "angle_deg", "intensity", "beam"))


def light_tables_are_whole(records: Records) -> Iterator[RecordProblem]:
    """Say which spectra and beams are out of order, dark or too short, and which boards ask for one that is missing."""
    for key, along, value, column in TABLES:
        groups: dict[Value, list[tuple[int, Record]]] = {}
        for row, record in enumerate(records.get(key, ())):
            if record.get("tag") is not None:
                groups.setdefault(str(record["tag"]), []).append((row, record))
        for rows in groups.values():
            parts = by_plane(rows).values() if key == "beams" else (rows,)
            for part in parts:
                yield from _in_order(key, along, part)
            yield from _lit(key, value, rows)
            yield from _covers(rows) if key == "spectra" else planes_fit(rows)
        for row, model in enumerate(records.get("boards", ())):
            asked = model.get(column)
            if asked is not None and str(asked) not in groups:
                yield RecordProblem(
                    sheet="boards",
                    row=row,
                    field=column,
                    problem=f"there is no {column} {asked!r}",
                    allowed=", ".join(str(name) for name in groups)
                    or f"nothing yet: fill the {sheet(key).title} sheet",
                    rests_on=(f"{key}.tag",),
                    lacking="" if groups else sheet(key).title,
                )


def _in_order(key: str, along: str, rows: Sequence[tuple[int, Record]]) -> Iterator[RecordProblem]:
    for (_, before), (row, record) in itertools.pairwise(rows):
        low, high = before.get(along), record.get(along)
        if isinstance(low, int | float) and isinstance(high, int | float) and high <= low:
            yield RecordProblem(
                sheet=key,
                row=row,
                field=along,
                problem=f"{high:g} does not come after {low:g}",
                allowed=f"rising order within one {'plane' if key == 'beams' else 'name'}, each once",
            )


def _lit(key: str, value: str, rows: list[tuple[int, Record]]) -> Iterator[RecordProblem]:
    values = [record.get(value) for _, record in rows]
    if len(rows) < 2 or not any(isinstance(number, int | float) and number > 0 for number in values):
        yield RecordProblem(
            sheet=key,
            row=rows[0][0],
            field=value,
            problem="one row only" if len(rows) < 2 else "nothing but zeros",
            allowed="at least two rows a name, one of them above 0",
        )


def _covers(rows: list[tuple[int, Record]]) -> Iterator[RecordProblem]:
    nm = [number for _, record in rows if isinstance(number := record.get("wavelength_nm"), int | float)]
    if len(rows) > 1 and nm and (min(nm) > LOW_NM or max(nm) < HIGH_NM):
        yield RecordProblem(
            sheet="spectra",
            row=rows[0][0],
            field="wavelength_nm",
            problem=f"the table goes from {min(nm):g} to {max(nm):g} nm only",
            allowed=f"{LOW_NM:g} to {HIGH_NM:g} nm at least; rows of 0 where there is no light",
        )
