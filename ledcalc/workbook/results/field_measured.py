"""The page on the light field as it was read: maps beside the prediction's, figures with their uncertainty."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench import Estimate, UncertaintyPart, canopy_figures, judged_dip, last_digit, ring_means, without
from ledcalc.checks.limits import limit
from ledcalc.photons import ring_sides
from ledcalc.results import Evaluation, LightSurvey
from ledcalc.workbook.results.field_cells import AS_READ, FieldCells, counted, field_cells, is_corrected
from ledcalc.workbook.results.pages import Block, Fact, Facts, FieldMap, Lines, Page, fact

__all__ = ["field_measured_page"]

PPFD_UNIT = "umol m-2 s-1"
MOST_RINGS = 6
RING_STEP_M = 0.01
# How far off a ring that was asked for a reading may lie.
RING_TOLERANCE_M = 0.08
CENTRE = {"none": "no dip"}


def field_measured_page(results: Evaluation) -> Page | None:
    """Return the light as it was read beside what was predicted, None without light readings."""
    if not results.surveys:
        return None
    blocks: list[Block] = [_overview(results)] if len(results.surveys) > 1 else []
    cells = [field_cells(results, survey) for survey in results.surveys]
    scale = _scale(cells)
    for survey, maps in zip(results.surveys, cells, strict=True):
        blocks.append(_figures(survey))
        if not survey.judgement.means.fitted.missing:
            blocks += [_evenness(results, survey), _canopy(results, survey)]
        blocks += _maps(survey, maps, scale)
        blocks.append(Lines(heading="Seen in these readings", lines=tuple(_remarks(survey))))
    lead = "What was read beside what was predicted. Behind +- stands how far a figure may be off, with 95 % of trust."
    return Page(title="Field measured", lead=lead, blocks=blocks)


def _overview(results: Evaluation) -> Facts:
    return Facts(
        heading="Surveys by height and date",
        facts=tuple(
            _figure(
                f"{_named(survey)}, {survey.height_m:g} m",
                survey.judgement.kept_means.fitted,
                PPFD_UNIT,
                f"{survey.over_prediction.text()} of what is predicted{_since(results, survey)}",
            )
            for survey in results.surveys
        ),
    )


def _since(results: Evaluation, survey: LightSurvey) -> str:
    """Return how a survey stands to the earliest at its height, each taken over its own prediction."""
    dated = [one for one in results.surveys if one.taken_on and one.height_m == survey.height_m]
    first = min(dated, key=lambda one: one.taken_on, default=survey)
    if not survey.taken_on or first.taken_on == survey.taken_on:
        return ""
    now, then = survey.over_prediction, first.over_prediction
    if survey.sensor and survey.sensor == first.sensor:
        now, then = (_scatter_only(one) for one in (now, then))
    return f"; {now.over(then).text()} of what it was on {first.taken_on}"


def _scatter_only(estimate: Estimate) -> Estimate:
    """Return an estimate less what one and the same sensor carries into both of two maps."""
    parts = tuple(part for part in estimate.parts if part.name == "scatter")
    return Estimate(value=estimate.value, parts=parts, missing=estimate.missing)


def _figures(survey: LightSurvey) -> Facts:
    judgement = survey.judgement
    means, left_out = judgement.kept_means, len(judgement.outliers)
    without = f", {left_out} suspect left out" if left_out else ""
    facts = [
        fact("Sensor", survey.sensor or "not known", "", 0, f"{means.basis}{_corrections(survey)}"),
        _figure("Mean over the crop", means.fitted, PPFD_UNIT, f"of the field between readings; {means.fit}{without}"),
        _figure("Area-weighted mean", means.area_weighted, PPFD_UNIT, "each reading weighs as the area nearest to it"),
        _figure("Mean of the readings", means.plain, PPFD_UNIT),
    ]
    if left_out:
        facts.append(_figure("Mean over the crop, all readings", judgement.means.fitted, PPFD_UNIT, "suspects and all"))
    facts += [
        fact("Predicted mean at these points", survey.predicted_mean_umol_m2_s, PPFD_UNIT, 0, survey.conditions),
        _figure("Measured over predicted", survey.over_prediction.scaled(100.0), "%"),
    ]
    where = f"boards {survey.height_m:g} m over the sensor, {counted(survey.statistics.reading_count)}"
    return Facts(heading=f"{_named(survey)}: {where}", facts=tuple(facts))


def _evenness(results: Evaluation, survey: LightSurvey) -> Facts:
    measured, means, shape = survey.measured, survey.judgement.kept_means, survey.judgement.shape
    dip = judged_dip(measured)
    return Facts(
        heading="How even",
        facts=(
            fact("Lowest", means.statistics.minimum, PPFD_UNIT, 0),
            fact("Highest", means.statistics.maximum, PPFD_UNIT, 0),
            _figure("min/mean", means.min_over_mean, "", "depends on the grid of points"),
            *_rings(results, survey),
            _figure("Rise along x over the mean", shape.tilt_x.scaled(100.0), "%", "best plane, edge to edge"),
            _figure("Rise along y over the mean", shape.tilt_y.scaled(100.0), "%", "best plane, edge to edge"),
            _figure("Brightest less dimmest quarter", shape.four_fold.scaled(100.0), "%", "over the mean"),
            fact("Centre", CENTRE.get(dip.verdict, dip.verdict), "", 0, f"{dip.place}: {dip.words}"),
        ),
    )


def _rings(results: Evaluation, survey: LightSurvey) -> Iterator[Fact]:
    """Yield the means along the rings asked for on the Fixture sheet, else along those that the readings lie on."""
    step, shorter = results.fixture.ring_step_m, min(results.fixture.crop_width_m, results.fixture.crop_depth_m)
    sides = _ring_sides(survey) if step is None else ring_sides(shorter, step).tolist()
    tolerance = RING_STEP_M / 2 if step is None else min(RING_TOLERANCE_M, step / 4)
    kept = without(survey.measured, *survey.judgement.outliers)
    found = ring_means(kept, sides, ring_tolerance_m=tolerance)
    for side, count, mean, share in zip(found.sides_m, found.counts, found.means, found.over_mean, strict=True):
        if count:
            remark = f"{counted(count)}, {share.text()} of the mean"
            yield _figure(f"Square ring of {side:.3g} m", mean, PPFD_UNIT, remark)


def _ring_sides(survey: LightSurvey) -> list[float]:
    """Return the sides of the squares that readings lie on, none where nearly each lies on one of its own."""
    measured = survey.measured
    off = np.maximum(np.abs(measured.x_m - measured.centre_m[0]), np.abs(measured.y_m - measured.centre_m[1]))
    sides = np.unique(np.round(2.0 * off / RING_STEP_M).astype(int)) * RING_STEP_M
    lit = sides[sides > 0]
    return [float(side) for side in lit] if lit.size <= MOST_RINGS else []


def _canopy(results: Evaluation, survey: LightSurvey) -> Facts:
    tolerance, fixture = limit("prediction_tolerance_fraction"), results.fixture
    found = canopy_figures(
        survey.judgement.kept_means.fitted,
        (fixture.crop_width_m, fixture.crop_depth_m),
        fixture_flux=_predicted(results.light.room_photon_flux_umol_s, tolerance),
        power=_predicted(results.operating.mains_power_w * fixture.in_room_count, tolerance),
        photoperiod_h=fixture.site.photoperiod_h,
    )
    facts = [
        _figure("Daily light integral", found.dose, "mol m-2 d-1", f"{fixture.site.photoperiod_h:g} h a day"),
        _figure("Photon flux on the crop", found.canopy_flux, "umol/s"),
    ]
    if not survey.conditions:
        facts += [
            _figure("Share of the boards' flux", found.fixture_share.scaled(100.0), "%", found.verdict),
            _figure("Canopy efficacy, AC basis", found.canopy_efficacy, "umol/J", "flux as read, mains as predicted"),
        ]
    return Facts(heading="On the crop", facts=tuple(facts))


def _predicted(value: float, tolerance: float) -> Estimate:
    size = abs(value) * tolerance / np.sqrt(3.0)
    part = UncertaintyPart(name="model", standard_uncertainty=float(np.nan_to_num(size)), shape="rectangular")
    return Estimate(value=value, parts=(part,))


def _scale(cells: list[FieldCells | None]) -> tuple[float, float]:
    """Return one range of PPFD for all maps; suspects do not stretch it."""
    fields = [field for maps in cells if maps for field in (maps.ordinary, maps.predicted) if field is not None]
    known: FloatArray = np.concatenate([field[np.isfinite(field)] for field in fields] or [np.zeros(1)])
    return float(known.min()), float(known.max())


def _maps(survey: LightSurvey, cells: FieldCells | None, scale: tuple[float, float]) -> Iterator[FieldMap]:
    if cells is None:
        return
    words = cells.words
    if is_corrected(survey):
        words = "corrected" if words == AS_READ else f"corrected, {words}"
    yield _map(f"Measured PPFD, {words}, {_named(survey)}", cells, cells.measured, scale)
    if cells.predicted is None:
        return
    yield _map("Predicted PPFD at the same places, on the same scale", cells, cells.predicted, scale)
    difference = cells.measured - cells.predicted
    reach = max(float(np.nanmax(np.abs(cells.ordinary - cells.predicted))), 1.0)
    yield _map("Measured less predicted: more is warm, less is cold", cells, difference, (-reach, reach))


def _map(heading: str, cells: FieldCells, field: FloatArray, scale: tuple[float, float]) -> FieldMap:
    return FieldMap(heading=heading, x_m=cells.x_m, y_m=cells.y_m, ppfd_umol_m2_s=field, boards=(), scale=scale)


def _remarks(survey: LightSurvey) -> Iterator[str]:
    judgement = survey.judgement
    yield f"Suspects: {len(judgement.suspects.readings) or 'none'}; {judgement.suspects.tested}."
    for suspect in judgement.suspects.readings:
        x, y = survey.x_m[suspect.index], survey.y_m[suspect.index]
        raw = survey.measured.raw_umol_m2_s[suspect.index]
        read = f", corrected (read {raw:g})" if is_corrected(survey) else ""
        yield f"{suspect.place} at x = {x:g} m, y = {y:g} m: {suspect.ppfd:.0f}{read}: {suspect.words}."
    yield from (f"{note.place}: {note.text}." for note in survey.measured.notes)
    yield from (f"The light {word}." for word in judgement.shape.words)


def _named(survey: LightSurvey) -> str:
    return f"{survey.survey} of {survey.taken_on}" if survey.taken_on else survey.survey


def _corrections(survey: LightSurvey) -> str:
    sensor = survey.measured.sensor
    if sensor is None or not is_corrected(survey):
        return ""
    return f"; readings less {sensor.zero_reading_umol_m2_s:g}, times {sensor.correction_factor:g}"


def _figure(label: str, estimate: Estimate, unit: str, remark: str = "") -> Fact:
    """Return a figure cut to its meaningful digits, its half width in front of the remark."""
    half = estimate.half_width()
    if np.isnan(estimate.value) or np.isnan(half) or half == 0:
        why = "; ".join(filter(None, (estimate.missing, remark)))
        return fact(label, estimate.value, unit, 2, why)
    place = last_digit(half)
    digits = max(place, 0)
    said = f"+- {round(half, place):.{digits}f}"
    return fact(label, round(estimate.value, place), unit, digits, f"{said}; {remark}" if remark else said)
