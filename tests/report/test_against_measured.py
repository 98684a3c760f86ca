"""The report's section on prediction beside readings: in plain words, by kind, absent where nothing was read."""

import dataclasses

import ledcalc as lc
from ledcalc.calibrate import predicted_against_measured
from ledcalc.fixture import SurveyCondition
from ledcalc.report import report_sections
from ledcalc.report.against_measured import against_measured


def section_of(fixture):
    return next((one for one in report_sections(lc.evaluate(fixture)) if one.heading.startswith("Predicted ag")), None)


def test_the_example_agrees_with_its_readings_and_says_so(bench):
    section = section_of(bench)
    lines, table = section.blocks
    found = predicted_against_measured(bench)
    assert lines.lines == (
        "The readings agree with the model within the meters' accuracy "
        f"(chi-square {found.chi_square:.1f} of 34 readings).",
    )
    assert [row[:2] for row in table.rows] == [("current", 8), ("temperature", 8), ("PPFD", 18)]
    assert table.rows[1][3].endswith(" K")


def test_readings_far_off_are_said_to_be(bench):
    dimmer = tuple(dataclasses.replace(row, ppfd_umol_m2_s=0.7 * row.ppfd_umol_m2_s) for row in bench.light_readings)
    (line,) = section_of(dataclasses.replace(bench, light_readings=dimmer)).blocks[0].lines
    assert "times the meters' accuracy off: something is there that the model does not have" in line


def test_nothing_read_nothing_said(bench):
    assert section_of(dataclasses.replace(bench, current_log=(), light_readings=())) is None


def test_readings_that_cannot_be_used_are_said(bench):
    """All of one survey, taken at another current."""
    taken = (SurveyCondition(survey="first map", current_a=2.0),)
    (lines,) = against_measured(dataclasses.replace(bench, current_log=(), surveys=taken))
    assert lines.lines[1].startswith("Light readings: no readings to calibrate by (Surveys, 'first map': taken at 2 A")
