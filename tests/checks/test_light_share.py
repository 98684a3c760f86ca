"""Datasheet efficacy in place of photons per joule of light: found, with the cell that is off."""

import pytest

import ledcalc as lc
from ledcalc.explain import explain
from ledcalc.records import with_values
from ledcalc.variants.rules.registry import unknown_rules

PER_JOULE = "boards[0].photons_per_joule_umol_per_j"


def found(fixture):
    return [one for one in lc.evaluate(fixture).findings if one.code == "light-share-high"]


def test_an_efficacy_in_its_place_takes_the_heat_away_and_is_named(bench):
    wrong = with_values(bench, {"boards[0].spectrum": None, PER_JOULE: 3.0})
    [one] = found(wrong)
    assert one.path == PER_JOULE
    assert one.severity == "act"
    assert one.value == pytest.approx(35.3 / (22.73 * 0.6) / 3.0, rel=0.05)
    assert "leave the cell blank (4.6 umol/J)" in one.remedy
    assert "photon flux / (voltage x current) of a Board points row" in one.remedy
    mended = with_values(wrong, one.changes)
    assert not found(mended)
    hotter, cooler = (lc.evaluate(fixture).boards for fixture in (mended, wrong))
    assert hotter.heat_w.sum() > 2.0 * cooler.heat_w.sum()


def test_with_a_spectrum_the_points_are_named(bench):
    wrong = with_values(bench, FLUXES)
    [one] = found(wrong)
    assert one.path == "board_points[3].photon_flux_umol_s"
    assert "that at 0.6 A has 3.88 umol/J" in one.remedy


FLUXES = {
    f"board_points[{row}].photon_flux_umol_s": 1.5 * flux for row, flux in enumerate((6.3, 12.4, 24.1, 35.3, 46.0))
}


def test_a_dark_fixture_has_no_share(bench):
    dark = {"drivers[0].voltage_low_v": 1.0, "fixture.voltage_setting_v": 2.0, PER_JOULE: 3.0}
    assert not found(with_values(bench, {**dark, "boards[0].spectrum": None}))


def test_variants_know_the_rule():
    assert unknown_rules() == []


def test_help_says_which_value_is_meant():
    said = explain("boards.photons_per_joule_umol_per_j")
    assert "umol per joule of electricity" in str(said)
