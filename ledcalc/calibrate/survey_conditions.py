"""Light readings as the Surveys sheet says they were taken: corrected, or told to be of another setting."""

from __future__ import annotations

from collections.abc import Sequence

from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.sensors import dark_reading
from ledcalc.fixture import Fixture, SurveyCondition
from ledcalc.light_taken import taken_readings

__all__ = ["as_taken", "corrected"]

# A survey at a current further off its setting was not taken at it.
OTHER_SETTING_FRACTION = 0.05
# Sinks are warm after this time, and light hardly knows of air that differs by less: common practice, no source.
WARM_H, OTHER_AIR_K = 1.0, 5.0


def corrected(fixture: Fixture, rows: Sequence[int]) -> tuple[list[float], list[float]]:
    """Return the PPFD of readings, less that of other sources and times the sensor's factor; and that factor.

    Parameters
    ----------
    fixture : with its light readings and the conditions of its surveys
    rows : which readings
    """
    conditions, meters = {entry.survey: entry for entry in fixture.surveys}, {one.tag: one for one in fixture.meters}
    taken_all = taken_readings(fixture)
    values, factors = [], []
    for row in rows:
        entry = taken_all[row].reading
        taken = conditions.get(entry.survey, SurveyCondition(survey=entry.survey))
        dark = dark_reading(taken, meters.get(entry.meter or ""))
        values.append(max(entry.ppfd_umol_m2_s - dark, 0.0) * taken.sensor_factor)
        factors.append(taken.sensor_factor)
    return values, factors


def as_taken(fixture: Fixture, settled: Settled, rows: Sequence[int]) -> tuple[list[int], tuple[str, ...]]:
    """Return the readings that were taken with the fixture set as it is, and what to say of the surveys.

    Parameters
    ----------
    fixture, settled : as it is set, and its steady state
    rows : which readings
    """
    entries = [one.reading for one in taken_readings(fixture)]
    names = {entries[row].survey for row in rows}
    notes, others = [], set[str]()
    for taken in fixture.surveys:
        if taken.survey not in names:
            continue
        name, holds = f"Surveys, {taken.survey!r}", float(settled.split.driver_current_a)
        is_set = str(settled.split.mode) == "constant current" and taken.current_a is not None
        if is_set and abs(float(taken.current_a or 0.0) - holds) > OTHER_SETTING_FRACTION * holds:
            others.add(taken.survey)
            notes.append(
                f"{name}: taken at {taken.current_a:.3g} A, where the driver as set holds {holds:.3g} A: left out; "
                "calibrate a copy with that setting by it"
            )
            continue
        if taken.warm_up_h is not None and taken.warm_up_h < WARM_H:
            notes.append(f"{name}: read {taken.warm_up_h:.2g} h after switch-on, and predicted for boards gone warm")
        air = taken.air_temperature_c
        if air is not None and abs(air - settled.air_c) > OTHER_AIR_K:
            notes.append(f"{name}: read in air of {air:.3g} degC, and predicted for {settled.air_c:.3g} degC")
    return [row for row in rows if entries[row].survey not in others], tuple(notes)
