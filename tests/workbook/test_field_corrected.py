"""Light readings that are corrected: messages and maps keep to corrected figures, and name the raw ones as read."""

import dataclasses

import ledcalc as lc
from ledcalc.fixture import SurveyCondition
from ledcalc.workbook.results.field_measured import field_measured_page
from ledcalc.workbook.results.pages import FieldMap, Lines

SUSPECT = 8


def with_suspect(bench, other_light):
    """Return the example with one reading a quarter too high, and light of other sources in all of them."""
    rows = tuple(
        dataclasses.replace(row, ppfd_umol_m2_s=row.ppfd_umol_m2_s * (1.25 if n == SUSPECT else 1.0) + other_light)
        for n, row in enumerate(bench.light_readings)
    )
    taken = (SurveyCondition(survey=rows[0].survey, other_light_umol_m2_s=other_light),)
    return lc.evaluate(dataclasses.replace(bench, light_readings=rows, surveys=taken if other_light else ()))


def suspect_of(results):
    (found,) = [one for one in results.findings if one.code == "reading-suspect"]
    return found


def lines_of(results):
    page = field_measured_page(results)
    return " ".join(line for block in page.blocks if isinstance(block, Lines) for line in block.lines)


def maps_of(results):
    return [block.heading for block in field_measured_page(results).blocks if isinstance(block, FieldMap)]


def test_a_suspect_is_named_corrected_with_the_raw_figure_behind_it(bench):
    results = with_suspect(bench, 30.0)
    (survey,) = results.surveys
    raw, corrected = survey.measured.raw_umol_m2_s[SUSPECT], survey.ppfd_umol_m2_s[SUSPECT]
    assert raw == corrected + 30.0
    found = suspect_of(results)
    assert f": {corrected:.0f} (read {raw:g}) at x" in found.message
    assert found.value == corrected
    assert f"{corrected:.0f}, corrected (read {raw:g})" in lines_of(results)


def test_uncorrected_readings_are_named_once(bench):
    results = with_suspect(bench, 0.0)
    assert "(read" not in suspect_of(results).message
    assert "(read" not in lines_of(results)


def test_a_map_of_corrected_readings_says_so(bench):
    assert maps_of(with_suspect(bench, 30.0))[0].startswith("Measured PPFD, corrected, first map")
    assert maps_of(with_suspect(bench, 0.0))[0].startswith("Measured PPFD, as read, first map")
