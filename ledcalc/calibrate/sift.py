"""Readings that cannot be what they say: slips, columns that never change, points outside. Told and left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.bench_model import BenchModel, State
from ledcalc.calibrate.instruments import KINDS, OUTPUT_KINDS, UNITS, Instrument
from ledcalc.calibrate.light_factors import unit_sources
from ledcalc.calibrate.readings import Readings
from ledcalc.calibrate.slips import without_slips
from ledcalc.calibrate.taken import Taken
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture
from ledcalc.light_sources import all_sources, raised, room_about
from ledcalc.light_taken import taken_readings

__all__ = ["sifted_of", "usable_light_rows"]

# Fewer readings than these may well be alike.
FEW = 4
# A column that does not change where the meter would see a change of so many of its standard deviations was not read.
UNSEEN = 6.0


def usable_light_rows(
    fixture: Fixture, placed: Sequence[PlacedBoard], surveys: Sequence[str] | None
) -> tuple[list[int], tuple[str, ...]]:
    """Return the light readings that lie where light can be predicted, and what to say of the others.

    Parameters
    ----------
    fixture, placed : the boards and where they hang
    surveys : names of the surveys to take; None: all
    """
    taken = taken_readings(fixture)
    site, notes, kept = fixture.site, list[str](), list[int]()
    unit = all_sources(fixture, unit_sources(fixture, placed))
    has_room = room_about(fixture, unit) is not None
    heights = {
        fixture.height_m if entry.height_m is None else entry.height_m for entry in (one.reading for one in taken)
    }
    fits = {height: room_about(fixture, raised(unit, height - fixture.height_m)) is not None for height in heights}
    for row, one in enumerate(taken):
        entry = one.reading
        if surveys is not None and entry.survey not in surveys:
            continue
        x, y = entry.x_m + fixture.crop_x_m, entry.y_m + fixture.crop_y_m
        height = fixture.height_m if entry.height_m is None else entry.height_m
        if has_room and not (
            0.0 <= x <= float(site.room_width_m or 0.0) and 0.0 <= y <= float(site.room_depth_m or 0.0)
        ):
            notes.append(f"{one.place}: x {x:.3g} m, y {y:.3g} m lies outside the room: left out")
        elif has_room and not fits[height]:
            notes.append(f"{one.place}: at {height:.3g} m the boards pass the ceiling: left out")
        else:
            kept.append(row)
    return kept, tuple(notes)


def sifted_of(model: BenchModel, start: State, taken: Taken) -> tuple[Readings, tuple[str, ...]]:
    """Return the readings without those that cannot be what they say, and what to say of these."""
    rows, slips = without_slips(taken.readings, model.readings_at(start, taken.readings), taken.points.places)
    notes, dead = list(slips), np.zeros(rows.size, dtype=bool)
    for own, text, is_left_out in _constant_columns(rows, model.readings_at(start, rows), taken.instruments):
        notes.append(text)
        dead |= own & is_left_out
    return rows.only(~dead), tuple(notes)


def _constant_columns(
    readings: Readings, predicted: FloatArray, instruments: Sequence[Instrument]
) -> Iterator[tuple[NDArray[np.bool_], str, bool]]:
    """Yield columns that hold one value: which readings, what to say, and whether they are to be left out.

    Parameters
    ----------
    readings : one a board or point
    predicted : for each of them
    instruments : that they were taken with
    """
    for kind in (kind for kind in KINDS if kind not in OUTPUT_KINDS):
        for meter in np.unique(readings.meter[readings.kind == kind]):
            own = (readings.kind == kind) & (readings.meter == meter)
            if own.sum() < FEW or readings.value[own].min() < readings.value[own].max():
                continue
            value = f"{readings.value[own][0]:.4g} {UNITS[kind]}"
            column = f"all {own.sum()} {kind} readings of {instruments[meter].name} are {value}"
            differ = float(np.ptp(predicted[own]))
            if differ > UNSEEN * readings.sigma[own].mean():
                yield own, f"{column}, where {differ:.2g} {UNITS[kind]} between them is expected: left out", True
            else:
                yield own, f"{column}: they differ by less than the meter shows", False
