"""Light surveys: readings put together, corrected as stated, beside the prediction for what they were taken under."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

# By the folder's name: what it holds of light maps loads only where there are light readings.
from ledcalc import bench
from ledcalc.arguments import FloatArray
from ledcalc.errors import NotSettledError
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.light import light_over_crop
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.evaluation.sensors import dark_reading, light_sensor
from ledcalc.fixture import DriverModel, Fixture, LightReading, Meter, SurveyCondition
from ledcalc.light_taken import TakenReading, taken_readings
from ledcalc.photons import LightSource
from ledcalc.ppfd.map_conditions import MapConditions
from ledcalc.results import LightSurvey

__all__ = ["light_surveys"]

# Inside what ``measured_map`` still takes as within the area.
PLACE_TOLERANCE_M = 0.5e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """Readings of one survey at one height on one date that lie over the crop, and their rows."""

    survey: str
    height_m: float
    taken_on: str
    rows: tuple[int, ...]
    taken: tuple[TakenReading, ...]

    @property
    def readings(self) -> tuple[LightReading, ...]:
        return tuple(one.reading for one in self.taken)


def light_surveys(
    fixture: Fixture, placed: Sequence[PlacedBoard], driver: DriverModel, sources: Sequence[LightSource]
) -> tuple[LightSurvey, ...]:
    """Return each survey at each of its heights and dates with its statistics and the prediction at the same points."""
    conditions = {one.survey: one for one in fixture.surveys}
    groups = _groups(fixture)
    predictions = {
        survey: _prediction(fixture, conditions.get(survey), placed, driver, sources)
        for survey in dict.fromkeys(group.survey for group in groups)
    }
    meters = [_meter(fixture.meters, group) for group in groups]
    maps = [
        _measured(fixture, group, conditions.get(group.survey), meter)
        for group, meter in zip(groups, meters, strict=True)
    ]
    return tuple(
        _survey(fixture, group, meters[number], maps, number, predictions[group.survey])
        for number, group in enumerate(groups)
    )


def _groups(fixture: Fixture) -> list[_Group]:
    """Return the surveys' groups in the sheet's order; a date left blank is the survey's only one."""
    dates: dict[tuple[str, float], set[str]] = {}
    keyed = []
    for row, one in enumerate(taken_readings(fixture)):
        reading = one.reading
        height = fixture.height_m if reading.height_m is None else reading.height_m
        if reading.taken_on:
            dates.setdefault((reading.survey, height), set()).add(reading.taken_on)
        if _over_crop(fixture, reading):
            keyed.append((height, row, one))
    groups: dict[tuple[str, float, str], list[tuple[int, TakenReading]]] = {}
    for height, row, one in keyed:
        survey = one.reading.survey
        known = dates.get((survey, height), set())
        date = one.reading.taken_on or (next(iter(known)) if len(known) == 1 else "")
        groups.setdefault((survey, height, date), []).append((row, one))
    return [
        _Group(
            survey=survey,
            height_m=height,
            taken_on=date,
            rows=tuple(row for row, _ in members),
            taken=tuple(one for _, one in members),
        )
        for (survey, height, date), members in groups.items()
    ]


def _over_crop(fixture: Fixture, reading: LightReading) -> bool:
    sides = (reading.x_m, fixture.crop_width_m), (reading.y_m, fixture.crop_depth_m)
    return all(-PLACE_TOLERANCE_M <= place <= side + PLACE_TOLERANCE_M for place, side in sides)


def _survey(
    fixture: Fixture,
    group: _Group,
    meter: Meter | None,
    maps: Sequence[bench.MeasuredMap],
    number: int,
    under: _Prediction,
) -> LightSurvey:
    measured = maps[number]
    judgement = bench.judged_map(measured, others=[*maps[:number], *maps[number + 1 :]])
    predicted = under.at(fixture, measured.x_m, measured.y_m, group.height_m)
    kept = np.delete(np.arange(measured.ppfd.size), judgement.outliers)
    return LightSurvey(
        survey=group.survey,
        height_m=group.height_m,
        taken_on=group.taken_on,
        sensor=meter.tag if meter else "",
        conditions=under.conditions,
        rows=group.rows,
        measured=measured,
        judgement=judgement,
        over_prediction=_over(bench.without(measured, *judgement.outliers), predicted[kept]),
        x_m=measured.x_m,
        y_m=measured.y_m,
        ppfd_umol_m2_s=measured.ppfd,
        half_width_umol_m2_s=_half_width(meter, measured),
        predicted_umol_m2_s=predicted,
        statistics=judgement.means.statistics,
        predicted_mean_umol_m2_s=float(predicted.mean()),
    )


def _over(kept: bench.MeasuredMap, predicted: FloatArray) -> bench.Estimate:
    if np.isnan(predicted).any():
        return bench.Estimate(value=float("nan"), parts=(), missing="not predicted")
    return bench.mean_over(kept, predicted)


def _measured(
    fixture: Fixture, group: _Group, condition: SurveyCondition | None, meter: Meter | None
) -> bench.MeasuredMap:
    return bench.measured_map(
        [reading.x_m for reading in group.readings],
        [reading.y_m for reading in group.readings],
        _shown(fixture, group, condition, meter),
        conditions=MapConditions(date=group.taken_on, sensor=meter.tag if meter else ""),
        sensor=light_sensor(condition, meter),
        height_m=group.height_m,
        area_m=(fixture.crop_width_m, fixture.crop_depth_m),
        centre_m=(fixture.crop_width_m / 2, fixture.crop_depth_m / 2),
        places=[one.words for one in group.taken],
    )


def _shown(fixture: Fixture, group: _Group, condition: SurveyCondition | None, meter: Meter | None) -> list[float]:
    """Return the PPFD as read; of several sensors each less its own zero offset, which no one correction could hold."""
    offsets: dict[str | None, float] = {}
    if meter is None and not dark_reading(condition, None):
        offsets = {one.tag: one.zero_offset for one in fixture.meters}
    return [max(one.ppfd_umol_m2_s - offsets.get(one.meter, 0.0), 0.0) for one in group.readings]


def _meter(meters: Sequence[Meter], group: _Group) -> Meter | None:
    """Return the sensor that all readings were taken with, None where there is no such."""
    used = {reading.meter for reading in group.readings}
    return next((meter for meter in meters if used == {meter.tag}), None)


def _half_width(meter: Meter | None, measured: bench.MeasuredMap) -> FloatArray:
    """Return the sensor's stated accuracy at each reading, as its data sheet adds it; NaN without one."""
    if meter is None or measured.sensor is None:
        return np.full(measured.ppfd.size, np.nan)
    return np.asarray(replace(measured.sensor, noise_fraction=0.0).half_width(measured.ppfd))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Prediction:
    """The boards as they shine under a survey's conditions; None: no steady state."""

    conditions: str
    sources: tuple[LightSource, ...] | None

    def at(self, fixture: Fixture, x_m: FloatArray, y_m: FloatArray, height_m: float) -> FloatArray:
        if self.sources is None:
            return np.full(x_m.size, np.nan)
        return light_over_crop(fixture, self.sources, x_m, y_m, raised_m=height_m - fixture.height_m)


def _prediction(
    fixture: Fixture,
    condition: SurveyCondition | None,
    placed: Sequence[PlacedBoard],
    driver: DriverModel,
    sources: Sequence[LightSource],
) -> _Prediction:
    changed, said = fixture, []
    if condition and condition.current_a not in (None, fixture.current_setting_a * fixture.dimming_fraction):
        changed = replace(changed, current_setting_a=condition.current_a / fixture.dimming_fraction)
        said.append(f"{condition.current_a:g} A")
    if condition and condition.air_temperature_c not in (None, fixture.site.air_temperature_c):
        changed = replace(changed, site=replace(changed.site, air_temperature_c=condition.air_temperature_c))
        said.append(f"{condition.air_temperature_c:g} degC")
    if not said:
        return _Prediction(conditions="", sources=tuple(sources))
    under = f"predicted for {' and '.join(said)}"
    try:
        settled = settle(changed, placed, driver)
    except NotSettledError:
        return _Prediction(conditions=f"no steady state at {' and '.join(said)}: not predicted", sources=None)
    fluxes = settled.photon_flux_umol_s.tolist()
    shining = [replace(source, photon_flux_umol_s=flux) for source, flux in zip(sources, fluxes, strict=True)]
    return _Prediction(conditions=under, sources=tuple(shining))
