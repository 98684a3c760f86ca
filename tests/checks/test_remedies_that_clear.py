"""Remedies of light and wires followed once are enough; reasons show the digits that tell value from limit."""

import pytest

import ledcalc as lc
from ledcalc.checks.limits import apart
from ledcalc.records import with_values
from ledcalc.workbook.results.what_if import faults_page


def of(code, fixture):
    return [found for found in lc.evaluate(fixture).findings if found.code == code]


@pytest.mark.parametrize("length_m", [60.0, 75.0, 90.0, 150.0])
def test_one_long_run_is_cleared_by_the_size_named(bench, length_m):
    long = with_values(bench, {"cables[7].one_way_length_m": length_m})
    [found] = of("wire-drop-high", long)
    assert found.changes["cables[7].size"] in found.remedy
    assert not of("wire-drop-high", with_values(long, found.changes))


@pytest.mark.parametrize("wanted", [0.62, 0.64, 0.66, 0.68])
def test_the_height_as_said_is_as_even_as_wanted(bench, wanted):
    uneven = with_values(bench, {"site.target_min_over_mean_fraction": wanted, "fixture.height_m": 0.283})
    [found] = of("light-uneven", uneven)
    said = float(found.remedy.split("hang the boards at ")[1].split(" m")[0])
    assert said == found.changes["fixture.height_m"]
    assert not of("light-uneven", with_values(uneven, {"fixture.height_m": said}))


def test_hours_are_offered_against_a_dose_only_and_the_dial_aims_inside(bench):
    [by_ppfd] = of("light-above-target", with_values(bench, {"site.target_ppfd_umol_m2_s": 150.0}))
    assert "h a day" not in by_ppfd.remedy
    mended = lc.evaluate(with_values(bench, {"site.target_ppfd_umol_m2_s": 150.0, **by_ppfd.changes}))
    assert mended.light.statistics.mean == pytest.approx(150.0, rel=0.03)
    [by_dose] = of("light-above-target", with_values(bench, {"site.target_dli_high_mol_m2_d": 9.5}))
    hours = float(by_dose.remedy.split("light for ")[1].split(" h")[0])
    shorter = {"site.target_dli_high_mol_m2_d": 9.5, "site.photoperiod_h": hours}
    assert not of("light-above-target", with_values(bench, shorter))


def test_value_and_limit_are_told_apart():
    assert apart(2.1017, 2.1) == ("2.102", "2.1")
    assert apart(2.9, 2.1) == ("2.9", "2.1")
    assert apart(75.04, 75.0, ".1f", ".0f") == ("75.04", "75")
    assert apart(74.6, 74.4, ".0f") == ("75", "74")
    assert apart(75.4, 75.2, ".0f") == ("75.4", "75")
    assert apart(2.1, 2.1) == ("2.1", "2.1")


def test_a_board_hardly_over_its_rating_shows_it(bench):
    amps = float(lc.evaluate(bench).boards.current_a.max())
    rated = float(f"{amps:.3g}") if float(f"{amps:.3g}") < amps else float(f"{amps - 5e-4:.3g}")
    [found] = of("board-over-current", with_values(bench, {"boards[0].rated_current_a": rated}))
    takes, limit = (part.split(" A")[0] for part in found.message.split("takes ")[1].split("rated "))
    assert float(takes) > float(limit)


def test_no_setting_contains_dials_turned_fully_up(bench):
    page = faults_page(lc.evaluate(with_values(bench, {"boards[0].rated_current_a": 0.55})))
    [row] = [row for block in page.blocks for row in getattr(block, "rows", ()) if row[0] == "driver at its highest"]
    assert row[-1] == "mark or lock the dials"
