"""Rules about bench readings: measured against rating, against prediction, against the fixture's own light."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import OVER, dial_down, driver_of, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.light_taken import taken_readings
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["canopy_above_fixture", "measured_off_prediction", "measured_over_rating"]

SETTING = "fixture.current_setting_a"


def measured_over_rating(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A logged current is over the board's rating: surely, or within what the meter can tell."""
    logged = results.logged
    if logged is None:
        return
    half = np.nan_to_num(logged.half_width_a)
    ratio = (logged.current_a + half) / logged.rated_current_a
    top = int(np.argmax(ratio))
    if ratio[top] <= OVER:
        return
    sure = logged.current_a[top] - half[top] > logged.rated_current_a[top] * OVER
    setting = dial_down(float(fixture.current_setting_a / ratio[top]))
    reachable = setting >= driver_of(fixture)[1].current_low_a
    changes: dict[str, Value] = {SETTING: setting} if reachable else {}
    yield Finding(
        code="measured-over-rating",
        severity="stop" if sure else "act",
        path=SETTING,
        message=f"{logged.tag[top]} was last read at {logged.current_a[top]:.3g} A +- {half[top]:.2g} A, rated "
        f"{logged.rated_current_a[top]:.3g} A: {'over it' if sure else 'too near for this meter to tell'}.",
        value=float(logged.current_a[top]),
        limit=float(logged.rated_current_a[top]),
        unit="A",
        remedy=f"set the driver's current to {setting:.2f} A and log it again"
        if reachable
        else f"the current would have to be {setting:.2f} A, below the driver's dial: add boards",
        basis="the board's datasheet rating, with the meter's stated accuracy",
        changes=changes,
    )


def measured_off_prediction(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A logged current differs from the prediction by more than meter and model explain."""
    logged = results.logged
    if logged is None:
        return
    allowance = np.nan_to_num(logged.half_width_a) + limit("prediction_tolerance_fraction") * logged.predicted_current_a
    off = logged.current_a - logged.predicted_current_a
    for number in np.flatnonzero(np.abs(off) > allowance * OVER):
        yield Finding(
            code="measured-off-prediction",
            severity="note",
            path=f"current_log[{_latest_row(fixture, logged.tag[number])}].current_a",
            message=f"{logged.tag[number]} was last read at {logged.current_a[number]:.3g} A; predicted "
            f"{logged.predicted_current_a[number]:.3g} A.",
            value=float(off[number]),
            limit=float(allowance[number]),
            unit="A",
            remedy=f"re-zero the meter and read {logged.tag[number]} again; if it stays {abs(off[number]):.2g} "
            "A off, check its "
            f"joints and whether the driver is set as the Fixture sheet says",
            basis=limit_source("prediction_tolerance_fraction"),
        )


def _latest_row(fixture: Fixture, tag: str) -> int:
    own = [(reading.elapsed_h, row) for row, reading in enumerate(fixture.current_log) if reading.board == tag]
    return max(own)[1]


def canopy_above_fixture(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A survey finds more light on the canopy than the fixtures over it make."""
    made, count = results.light.room_photon_flux_umol_s, fixture.in_room_count
    boards = "the boards make" if count == 1 else f"the boards of all {count} fixtures make"
    area = fixture.crop_width_m * fixture.crop_depth_m
    for survey in results.surveys:
        found = survey.statistics.area_weighted_mean * area
        if found <= made * OVER:
            continue
        yield Finding(
            code="canopy-above-fixture",
            severity="act",
            path=taken_readings(fixture)[survey.rows[0]].path,
            message=f"Survey {survey.survey!r} puts {found:.0f} umol/s on the crop; {boards} {made:.0f} umol/s in all.",
            value=found,
            limit=made,
            unit="umol/s",
            remedy=f"check the sensor's calibration, other light in the room, and that the crop area is {area:.2f} m2",
            basis="conservation of photons",
        )
