"""The page on the light as it was read: only with readings, figures as evaluated, maps on one scale."""

import dataclasses

import numpy as np
import openpyxl
import pytest

import ledcalc as lc
from ledcalc.fixture import LightReading
from ledcalc.records import with_values
from ledcalc.report.contents import report_sections
from ledcalc.workbook.results import write_results
from ledcalc.workbook.results.field_measured import field_measured_page
from ledcalc.workbook.results.pages import Facts, FieldMap, Lines


def facts_of(page, label):
    return [fact for block in page.blocks if isinstance(block, Facts) for fact in block.facts if fact.label == label]


def maps_of(page):
    return [block for block in page.blocks if isinstance(block, FieldMap)]


def lines_of(page):
    return [line for block in page.blocks if isinstance(block, Lines) for line in block.lines]


def test_no_readings_no_page(bench):
    assert field_measured_page(lc.evaluate(dataclasses.replace(bench, light_readings=()))) is None


def test_figures_have_meaningful_digits_and_their_half_width(bench_results):
    """189.2 +- 9.3: two digits of the half width (GUM 7.2.6), the figure cut to match."""
    (mean,) = facts_of(field_measured_page(bench_results), "Mean over the crop")
    fitted = bench_results.surveys[0].judgement.means.fitted
    assert mean.value == round(fitted.value, mean.digits)
    assert mean.remark.startswith(f"+- {fitted.half_width():.1f};")
    assert mean.digits == 1


def test_measured_predicted_and_difference_on_one_scale(bench_results):
    (survey,) = bench_results.surveys
    measured, predicted, difference = maps_of(field_measured_page(bench_results))
    assert measured.scale == predicted.scale
    both = np.concatenate([survey.ppfd_umol_m2_s, survey.predicted_umol_m2_s])
    assert measured.scale == pytest.approx((both.min(), both.max()))
    assert measured.ppfd_umol_m2_s.ravel() == pytest.approx(survey.ppfd_umol_m2_s)
    assert difference.ppfd_umol_m2_s == pytest.approx(measured.ppfd_umol_m2_s - predicted.ppfd_umol_m2_s)
    assert difference.scale[0] == -difference.scale[1]


def test_a_suspect_is_told_and_does_not_stretch_the_scale(bench, bench_results):
    usual = maps_of(field_measured_page(bench_results))
    page = field_measured_page(lc.evaluate(with_values(bench, {"light_readings[8].ppfd_umol_m2_s": 21.1})))
    assert maps_of(page)[0].scale == pytest.approx(usual[0].scale)
    assert maps_of(page)[0].ppfd_umol_m2_s.min() == 21.1
    assert any("perhaps 211, a digit lost" in line for line in lines_of(page))
    assert facts_of(page, "Mean over the crop, all readings")


def test_a_gap_stays_blank_and_rings_become_a_fitted_map(bench, tmp_path):
    gap = dataclasses.replace(bench, light_readings=bench.light_readings[1:])
    assert np.isnan(maps_of(field_measured_page(lc.evaluate(gap)))[0].ppfd_umol_m2_s[0, 0])
    path = tmp_path / "gap.xlsx"
    write_results(lc.evaluate(gap), path)
    assert "Field measured" in openpyxl.load_workbook(path).sheetnames
    corners = [(0.6 + a * side, 0.3 + b * side) for side in (0.1, 0.2, 0.29) for a in (-1, 1) for b in (-1, 1)]
    places = [(0.6, 0.3), *corners]
    rings = tuple(
        LightReading(survey="rings", x_m=x, y_m=y, ppfd_umol_m2_s=215 - 100 * ((x - 0.6) ** 2 + (y - 0.3) ** 2))
        for x, y in places
    )
    page = field_measured_page(lc.evaluate(dataclasses.replace(bench, light_readings=rings)))
    assert "as fitted between the readings" in maps_of(page)[0].heading
    assert maps_of(page)[0].ppfd_umol_m2_s.shape == (bench.map_rows_count, bench.map_columns_count)
    assert facts_of(page, "Square ring of 0.4 m")[0].remark.startswith("+- ")


def test_rings_are_those_asked_for_or_those_read(bench, bench_results):
    """Readings 0.1 and 0.2 m out lie within a quarter step of the 0.3 m ring, those 0.3 m out on the 0.6 m ring."""

    def labels(results):
        facts = [block for block in field_measured_page(results).blocks if isinstance(block, Facts)]
        return [one.label for block in facts for one in block.facts if one.label.startswith("Square ring")]

    assert labels(bench_results) == [f"Square ring of {side} m" for side in ("0.2", "0.4", "0.6", "1")]
    asked = lc.evaluate(dataclasses.replace(bench, ring_step_m=0.3))
    assert labels(asked) == ["Square ring of 0.3 m", "Square ring of 0.6 m"]


def test_a_later_survey_is_held_against_the_first_at_its_height(bench):
    later = [
        dataclasses.replace(one, survey="a year on", taken_on="2027-11-20", ppfd_umol_m2_s=0.9 * one.ppfd_umol_m2_s)
        for one in bench.light_readings
    ]
    results = lc.evaluate(dataclasses.replace(bench, light_readings=(*bench.light_readings, *later)))
    page = field_measured_page(results)
    (overview,) = facts_of(page, "a year on of 2027-11-20, 0.28 m")
    # The sensor's 5 % cancels: what is left is scatter.
    assert "0.900 +- 0.0" in overview.remark
    assert overview.remark.endswith("of what it was on 2026-11-20")
    assert len(maps_of(page)) == 6
    assert len({one.scale for one in maps_of(page) if one.scale[0] >= 0}) == 1


def test_one_reading_makes_no_map_and_no_claim(bench):
    one = LightReading(survey="one", x_m=0.6, y_m=0.3, ppfd_umol_m2_s=210.0, meter="Sensor 1")
    page = field_measured_page(lc.evaluate(dataclasses.replace(bench, light_readings=(one,))))
    assert maps_of(page) == []
    assert "one reading says nothing" in facts_of(page, "Mean over the crop")[0].remark


def test_the_report_holds_it(bench_results):
    assert "Field measured" in [section.heading for section in report_sections(bench_results)]
