"""The report's section on prediction beside readings: in plain words, by kind, absent where nothing was read."""

import dataclasses

import ledcalc as lc
from ledcalc.calibrate import predicted_against_measured
from ledcalc.fixture import Meter, SurveyCondition
from ledcalc.report import report_sections
from ledcalc.report.against_measured import against_measured


def section_of(fixture):
    return next((one for one in report_sections(lc.evaluate(fixture)) if one.heading.startswith("Predicted ag")), None)


def test_the_example_is_held_against_its_readings_in_words(bench):
    section = section_of(bench)
    lines, table = section.blocks
    found = predicted_against_measured(bench, stated_meters_only=True)
    (said,) = lines.lines
    assert said.endswith(f" (chi-square {found.chi_square:.1f} of 26 readings).")
    assert said.removesuffix(f" (chi-square {found.chi_square:.1f} of 26 readings).").lower() == found.agreement.lower()
    assert [row[:2] for row in table.rows] == [("current", 8), ("temperature", 8), ("PPFD", 18)]
    assert table.rows[1][3].endswith(" K")


def test_readings_of_no_listed_meter_are_shown_and_not_judged(bench):
    """The example lists no thermometer: sinks 40 K hotter than predicted are shown, and change no verdict."""
    table = section_of(bench).blocks[1]
    assert [row[4] == "no meter listed: shown, not judged" for row in table.rows] == [False, True, False]
    hot = tuple(dataclasses.replace(row, temperature_c=row.temperature_c + 40.0) for row in bench.current_log)
    lines = section_of(dataclasses.replace(bench, current_log=hot)).blocks[0]
    assert lines.lines == section_of(bench).blocks[0].lines
    probe = Meter(tag="T", quantity="temperature", accuracy_fraction=0.0, accuracy_digits_count=10, resolution=0.1)
    judged = section_of(dataclasses.replace(bench, current_log=hot, meters=(*bench.meters, probe))).blocks
    assert "of 34 readings" in judged[0].lines[0]
    assert judged[1].rows[1][4] > 10.0
    currents, light = (
        tuple(dataclasses.replace(row, meter=None) for row in rows)
        for rows in (bench.current_log, bench.light_readings)
    )
    bare = dataclasses.replace(bench, meters=(), current_log=currents, light_readings=light)
    (line,) = section_of(bare).blocks[0].lines
    assert line == "No meter of the readings is listed: they are shown, not judged."


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
