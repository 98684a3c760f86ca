"""Rules about light readings: wrong ones, stray ones, lopsided maps, and light that is not as predicted."""

from __future__ import annotations

from collections.abc import Iterator

from ledcalc import bench
from ledcalc.checks.limits import OVER, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.light_taken import taken_readings
from ledcalc.results import Evaluation, LightSurvey

__all__ = [
    "light_lopsided",
    "light_off_prediction",
    "reading_outside_crop",
    "reading_suspect",
    "readings_few",
    "readings_odd",
    "survey_not_warm",
]

PPFD_UNIT = "umol m-2 s-1"
PLACE_TOLERANCE_M = 1e-3
ODD = ("disagree", "constant", "dark")


def reading_suspect(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A light reading that the survey's other readings contradict."""
    for survey in results.surveys:
        for suspect in survey.judgement.suspects.readings:
            if suspect.verdict == "outlier":
                yield _suspect(fixture, survey, suspect)


def _suspect(fixture: Fixture, survey: LightSurvey, suspect: bench.SuspectReading) -> Finding:
    row = survey.rows[suspect.index]
    taken = taken_readings(fixture)[row]
    written, path = taken.reading, taken.path
    slip = suspect.slips[0] if suspect.slips else None
    off = suspect.deviation_fraction
    # Held against the others it is corrected, as they are; the sheet has it as it was read.
    read = f" (read {written.ppfd_umol_m2_s:g})" if f"{written.ppfd_umol_m2_s:.0f}" != f"{suspect.ppfd:.0f}" else ""
    return Finding(
        code="reading-suspect",
        severity="act",
        path=path,
        message=f"{_name(survey)}: {suspect.ppfd:.0f}{read} at x = {written.x_m:g} m, y = {written.y_m:g} m lies "
        f"{abs(off):.0%} {'above' if off > 0 else 'below'} what the other readings say.",
        value=suspect.ppfd,
        limit=suspect.expected_umol_m2_s,
        unit=PPFD_UNIT,
        remedy=f"read it again; meant was perhaps {slip.value:g} ({slip.slip})"
        if slip
        else f"read it again; the others say {suspect.expected_umol_m2_s:.0f}. If it stays, look for a shadow, a dirty "
        "lens or a board that is off",
        basis="the field fitted to the other readings, and how far they scatter",
        changes={path: slip.value} if slip else {},
    )


def reading_outside_crop(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A light reading lies outside the crop area, and is left out."""
    width, depth = results.fixture.crop_width_m, results.fixture.crop_depth_m
    for one in taken_readings(fixture):
        reading = one.reading
        past_x, past_y = max(reading.x_m - width, -reading.x_m), max(reading.y_m - depth, -reading.y_m)
        past = max(past_x, past_y)
        if past <= PLACE_TOLERANCE_M:
            continue
        axis, value, side = ("x", reading.x_m, width) if past_x >= past_y else ("y", reading.y_m, depth)
        allowed = 0.0 if value < 0 else side
        yield Finding(
            code="reading-outside-crop",
            severity="act",
            path=f"{one.key}[{one.row}].{one.x_field if axis == 'x' else one.y_field}",
            message=f"Survey {reading.survey!r} has a reading at {axis} = {value:g} m, {past:.3g} m outside the crop; "
            "it is left out.",
            value=value,
            limit=allowed,
            unit="m",
            remedy=f"mend its place (from 0 to {side:g} m, from the crop area's corner), or the crop area's size",
            basis="the crop area on the Fixture sheet",
        )


def readings_odd(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Readings that cannot all be right: one place with two figures, a row of one figure, a reading of 0."""
    for survey in results.surveys:
        for note in survey.measured.notes:
            if note.kind in ODD:
                yield _odd(fixture, survey, note)


def _odd(fixture: Fixture, survey: LightSurvey, note: bench.MapNote) -> Finding:
    first = note.place.partition(", ")[0].partition(" to ")[0]
    row = survey.rows[survey.measured.places.index(first)]
    taken = taken_readings(fixture)[row]
    reading = taken.reading
    text, _, remedy = note.text.partition(": ")
    again = f"read x = {reading.x_m:g} m, y = {reading.y_m:g} m again"
    return Finding(
        code="readings-odd",
        severity="note",
        path=taken.path,
        message=f"{_name(survey)}, {note.place}: {text}.",
        value=reading.ppfd_umol_m2_s,
        limit=None,
        unit=PPFD_UNIT,
        remedy=again if note.kind == "disagree" else f"{again}: {remedy.rstrip('?')}",
        basis="how far readings of one place scatter by hand (2 %: common practice, no source)",
    )


def readings_few(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A survey has too few readings at one height to show how even the light is."""
    fewest = limit("survey_fewest_readings_count")
    for survey in results.surveys:
        count = survey.statistics.reading_count
        if count >= fewest:
            continue
        yield Finding(
            code="readings-few",
            severity="note",
            path=taken_readings(fixture)[survey.rows[0]].path,
            message=f"{_name(survey)} has {count} reading{'s' if count > 1 else ''} at {survey.height_m:g} m: neither "
            "a wrong one nor the light between them can be told.",
            value=count,
            limit=fewest,
            unit="",
            remedy=f"read at least {fewest:.0f} places, 3 x 3 evenly over the {fixture.crop_width_m:g} x "
            f"{fixture.crop_depth_m:g} m",
            basis=limit_source("survey_fewest_readings_count"),
        )


def light_lopsided(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A measured map rises to one side, or its corners or sides differ, by more than chance."""
    for survey in results.surveys:
        shape = survey.judgement.shape
        if not shape.words:
            continue
        parted = [word.partition(": ") for word in shape.words]
        what = " and ".join(said for said, _, _ in parted)
        remedy = "; ".join(dict.fromkeys(remedy for _, _, remedy in parted))
        yield Finding(
            code="light-lopsided",
            severity="note",
            path=taken_readings(fixture)[survey.rows[0]].path,
            message=f"{_name(survey)}: the light {what}.",
            value=shape.four_fold.value,
            limit=shape.four_fold.half_width(),
            unit="",
            remedy=f"{remedy} (boards hang {survey.height_m:g} m over the sensor)",
            basis="the field fitted to the readings; all such remarks together are chance in one map of twenty",
        )


def light_off_prediction(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The light read differs from the prediction by more than sensor, scatter and model explain."""
    tolerance = limit("prediction_tolerance_fraction")
    for survey in results.surveys:
        ratio, allowance = survey.over_prediction.value, survey.over_prediction.half_width() + tolerance
        if not survey.sensor or not abs(ratio - 1.0) > allowance * OVER:
            continue
        yield Finding(
            code="light-off-prediction",
            severity="note",
            path=taken_readings(fixture)[survey.rows[0]].path,
            message=f"{_name(survey)} reads {ratio:.0%} of what is predicted at its points; sensor, scatter and model "
            f"explain {allowance:.0%} either way.",
            value=100.0 * (ratio - 1.0),
            limit=100.0 * allowance,
            unit="%",
            remedy=f"check current, warm-up, sensor factor and the {survey.height_m:g} m from boards to sensor; if it "
            f"stays, the boards give {ratio:.0%} of the photon flux of their points",
            basis=limit_source("prediction_tolerance_fraction"),
        )


def survey_not_warm(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A light survey was taken before the boards were warm: they give more light cold."""
    least = limit("survey_warm_up_h")
    for row, survey in enumerate(fixture.surveys):
        if survey.warm_up_h is None or survey.warm_up_h >= least / OVER:
            continue
        yield Finding(
            code="survey-not-warm",
            severity="note",
            path=f"surveys[{row}].warm_up_h",
            message=f"Survey {survey.survey!r} was taken {survey.warm_up_h * 60:.0f} min after switch-on; boards that "
            "are not warm yet give more light than is predicted.",
            value=survey.warm_up_h,
            limit=least,
            unit="h",
            remedy=f"read it again once the light has been on for {least * 60:.0f} min",
            basis=limit_source("survey_warm_up_h"),
        )


def _name(survey: LightSurvey) -> str:
    date = f" of {survey.taken_on}" if survey.taken_on else ""
    return f"Survey {survey.survey!r}{date}"
