"""What was taken at the bench and may be used: settled rows of the current log, and light readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.board_state import Boards
from ledcalc.calibrate.compare import OUTPUT
from ledcalc.calibrate.instruments import OUTPUT_KINDS, Instrument, instruments_of
from ledcalc.calibrate.readings import LightPoints, Readings, joined
from ledcalc.calibrate.settled_rows import settled_from
from ledcalc.calibrate.slips import without_slips
from ledcalc.calibrate.survey_conditions import corrected
from ledcalc.evaluation.sensors import zeroed_logs
from ledcalc.fixture import CurrentReading, Fixture, Meter, SupplyReading
from ledcalc.light_taken import TakenReading, taken_readings

__all__ = ["PARTS", "Taken", "taken_of"]

# Readings are left out in so many parts, one after the other.
PARTS = 4
COLUMNS = {"current": "current_a", "voltage": "voltage_v", "temperature": "temperature_c"}
OUTPUT_COLUMNS = {"whole current": "current_a", "output voltage": "voltage_v"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """The readings, the points where light was read, the instruments; ``air_c``: mean air of the log, NaN: not read."""

    readings: Readings
    points: LightPoints
    instruments: tuple[Instrument, ...]
    air_c: float
    notes: tuple[str, ...]


@dataclass(slots=True, kw_only=True)
class _Bag:
    """Meters of a fixture, and the instruments that readings turned out to be taken with."""

    meters: Sequence[Meter]
    repeating: float
    instruments: list[Instrument] = field(default_factory=list)

    def numbers(self, kind: str, names: Sequence[str | None]) -> NDArray[np.intp]:
        """Return the number of each reading's instrument."""
        number = {}
        known = {(entry.kind, entry.name): place for place, entry in enumerate(self.instruments)}
        for name, entry in instruments_of(self.meters, kind, names).items():
            if (kind, entry.name) not in known:
                known[kind, entry.name] = len(self.instruments)
                self.instruments.append(entry)
            number[name] = known[kind, entry.name]
        return np.array([number[name] for name in names], dtype=np.intp)

    def readings(
        self, kind: str, meter: NDArray[np.intp], value: FloatArray, **others: NDArray[np.generic]
    ) -> Readings:
        """Return readings with what their meters' limits make of them; what is not given is -1 or NaN."""
        staying = np.array([entry.staying for entry in self.instruments])[meter] if value.size else np.empty(0)
        scattering = np.empty(value.size)
        for number in np.unique(meter):
            own = meter == number
            scattering[own] = self.instruments[number].scattering(value[own], self.repeating)
        nowhere = np.full(value.size, -1, dtype=np.intp)
        given = {"board": nowhere, "point": nowhere, "air_c": np.full(value.size, np.nan), **others}
        return Readings(
            kind=np.full(value.size, kind),
            meter=meter,
            value=value,
            staying=staying,
            scattering=scattering,
            count=np.ones(value.size, dtype=np.intp),
            **given,
        )


def taken_of(
    fixture: Fixture, tags: Sequence[str], repeating: float, light_rows: Sequence[int], expected: Boards
) -> Taken:
    """Return the settled readings of boards, and the light readings.

    Parameters
    ----------
    fixture : with its readings
    tags : the boards on it, in their order
    repeating : share of a meter's limit that is the same in all its readings
    light_rows : which light readings may be used
    expected : the boards as they are thought to be
    """
    fixture, light = zeroed_logs(fixture), taken_readings(fixture)
    bag = _Bag(meters=fixture.meters, repeating=repeating)
    log, slips = _without_slips(_log_readings(bag, fixture.current_log, tags), expected)
    settled, notes = _settled(log, np.array([entry.elapsed_h for entry in fixture.current_log]), tags)
    output, of_output = _settled(
        _output_readings(bag, fixture.supply_log), np.array([entry.elapsed_h for entry in fixture.supply_log]), [OUTPUT]
    )
    air = np.array([entry.air_temperature_c for entry in fixture.current_log], dtype=float)[np.unique(settled.row)]
    return Taken(
        readings=joined(
            [settled, replace(output, board=np.full(output.size, -1)), _light_readings(bag, fixture, light_rows)]
        ),
        points=_points(fixture, [light[row] for row in light_rows]),
        instruments=tuple(bag.instruments),
        air_c=float(np.nanmean(air)) if np.isfinite(air).any() else float("nan"),
        notes=(*slips, *notes, *of_output),
    )


def _log_readings(bag: _Bag, log: Sequence[CurrentReading], tags: Sequence[str]) -> Readings:
    """Return every figure of the log as a reading, quantity by quantity."""
    number = {tag: place for place, tag in enumerate(tags)}
    board = np.array([number[entry.board] for entry in log], dtype=np.intp)
    air = np.array([entry.air_temperature_c for entry in log], dtype=float)
    found = []
    for kind, column in COLUMNS.items():
        value = np.array([getattr(entry, column) for entry in log], dtype=float)
        row = np.flatnonzero(np.isfinite(value))
        meter = bag.numbers(kind, [log[int(place)].meter if kind == "current" else None for place in row])
        found.append(
            bag.readings(
                kind,
                meter,
                value[row],
                board=board[row],
                air_c=air[row],
                row=row,
                part=np.zeros(row.size, dtype=np.intp),
            )
        )
    return joined(found)


def _without_slips(log: Readings, expected: Boards) -> tuple[Readings, tuple[str, ...]]:
    there = np.full(log.size, np.nan)
    for kind, values in (("current", expected.current_a), ("voltage", expected.voltage_v)):
        own = log.kind == kind
        there[own] = values[log.board[own]]
    return without_slips(log, there)


def _output_readings(bag: _Bag, log: Sequence[SupplyReading]) -> Readings:
    """Return every current and voltage of the supply log as a reading, as if of one board."""
    found = []
    for kind, column in OUTPUT_COLUMNS.items():
        value = np.array([getattr(entry, column) for entry in log], dtype=float)
        row = np.flatnonzero(np.isfinite(value))
        names = [log[int(place)].meter if kind == "whole current" else None for place in row]
        none = np.zeros(row.size, dtype=np.intp)
        found.append(
            bag.readings(kind, bag.numbers(OUTPUT_KINDS[kind], names), value[row], board=none, row=row, part=none)
        )
    return joined(found)


def _light_readings(bag: _Bag, fixture: Fixture, rows: Sequence[int]) -> Readings:
    taken = taken_readings(fixture)
    value, factor = (np.array(column, dtype=float) for column in corrected(fixture, rows))
    point = np.arange(value.size, dtype=np.intp)
    found = bag.readings(
        "PPFD",
        bag.numbers("PPFD", [taken[row].reading.meter for row in rows]),
        value,
        point=point,
        row=np.array(rows, dtype=np.intp),
        part=point % PARTS,
    )
    return replace(found, staying=found.staying * factor)


def _points(fixture: Fixture, taken: Sequence[TakenReading]) -> LightPoints:
    entries = [one.reading for one in taken]
    return LightPoints(
        survey=np.array([entry.survey for entry in entries], dtype=str),
        height_m=np.array([fixture.height_m if entry.height_m is None else entry.height_m for entry in entries]),
        x_m=np.array([entry.x_m for entry in entries]),
        y_m=np.array([entry.y_m for entry in entries]),
        places=tuple(one.place for one in taken),
    )


def _settled(log: Readings, elapsed_h: FloatArray, tags: Sequence[str]) -> tuple[Readings, tuple[str, ...]]:
    """Return the readings of each board from where on it is settled, dealt out into parts, and what to know of that."""
    kept, part = np.zeros(log.size, dtype=bool), log.part.copy()
    once, moving = [], []
    for number, tag in enumerate(tags):
        own = np.flatnonzero(log.board == number)
        if not own.size:
            continue
        rows = np.unique(log.row[own])
        rows = rows[np.argsort(elapsed_h[rows], kind="stable")]
        by_row = np.argsort(rows)
        turn = by_row[np.searchsorted(rows, log.row[own], sorter=by_row)]
        first = settled_from(_courses(log.only(own), turn, rows.size))
        kept[own] = turn >= first
        left = rows.size - first
        part[own] = (turn + number) % PARTS if left > 1 else number % PARTS
        once += [tag] if rows.size == 1 else []
        moving += [tag] if rows.size > 1 and left == 1 else []
    notes = []
    if once:
        notes.append(f"read once only, taken as settled: {_named(once)}")
    if moving:
        notes.append(f"still moving at the last reading, which is taken as settled: {_named(moving)}")
    return replace(log, part=part).only(kept), tuple(notes)


def _courses(own: Readings, turn: NDArray[np.intp], rows: int) -> list[tuple[FloatArray, FloatArray]]:
    """Return each quantity of a board in order of time with its scatter; temperatures as rises where air was read."""
    found = []
    for kind in dict.fromkeys(own.kind.tolist()):
        read = own.kind == kind
        values, sigma = np.full(rows, np.nan), np.full(rows, np.nan)
        above = own.air_c[read] if kind == "temperature" else np.zeros(read.sum())
        values[turn[read]] = own.value[read] - np.nan_to_num(above)
        sigma[turn[read]] = own.sigma[read]
        found.append((values, sigma))
    return found


def _named(tags: Sequence[str]) -> str:
    return ", ".join(tags[:6]) + (f" and {len(tags) - 6} more" if len(tags) > 6 else "")
