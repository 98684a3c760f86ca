"""Ageing, light plan, dose and notes as the workbook has them; each by a second way."""

import dataclasses
import re
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pytest

import ledcalc as lc
from ledcalc.errors import InputErrors
from ledcalc.light_views import mean_illuminance
from ledcalc.photons import LightSource, ppfd_map
from ledcalc.records import records_from_fixture, with_values
from ledcalc.workbook.reader import fixture_of, read_inputs
from ledcalc.workbook.rest import rest_of
from ledcalc.workbook.results import write_results
from ledcalc.workbook.results.pages import Facts, Table
from ledcalc.workbook.results.write import pages_of
from ledcalc.workbook.template import copy_inputs, write_blank

sys.path.insert(0, str(Path(__file__).parent / "checks"))
from ageing_cases import ALPHA_PER_H, ageing_bench, dense_bench, falling, planned_bench

PLAN = (
    lc.PlanStep(from_week=1, target_dli_mol_m2_d=6.0),
    lc.PlanStep(from_week=3, target_dli_mol_m2_d=8.0, until_next="straight ramp"),
    lc.PlanStep(from_week=6, target_dli_mol_m2_d=11.0),
    lc.PlanStep(from_week=7, target_ppfd_umol_m2_s=150.0, photoperiod_h=12.0),
    lc.PlanStep(from_week=8, target_dli_mol_m2_d=0.0),
)


def page(results, title):
    return next((entry for entry in pages_of(results) if entry.title == title), None)


def table_of(results, title, heading):
    return next(
        block for block in page(results, title).blocks if isinstance(block, Table) and block.heading.startswith(heading)
    )


def facts_of(results, title):
    return {
        entry.label: entry for block in page(results, title).blocks if isinstance(block, Facts) for entry in block.facts
    }


@pytest.fixture(scope="module")
def planned(bench):
    return lc.evaluate(dataclasses.replace(bench, light_plan=PLAN))


@pytest.fixture(scope="module")
def aged(bench):
    return lc.evaluate(ageing_bench(bench, wanted_life_h=30_000.0, maintained_share_fraction=0.92))


def test_nothing_is_worked_out_unasked(bench_results):
    assert bench_results.ageing is None
    assert bench_results.dimmed is None
    assert bench_results.light_plan is None
    assert {"Ageing", "Light plan"}.isdisjoint(entry.title for entry in pages_of(bench_results))


def test_readings_of_one_exponential_are_found_again(aged):
    """The test falls as exp(-alpha t), so that any hour's share and any share's hour are known by hand."""
    ageing = aged.ageing
    assert ageing.limit_h == 54_000.0
    assert ageing.kept_fraction(30_000.0) == pytest.approx(np.exp(-ALPHA_PER_H * 30_000.0), rel=1e-9)
    assert ageing.hours_until(0.9) == pytest.approx(np.log(1 / 0.9) / ALPHA_PER_H, rel=1e-9)
    assert ageing.hours_until(0.8) == np.inf
    assert [at.fit.decay_per_h for at in ageing.boards] == pytest.approx([ALPHA_PER_H] * 8, rel=1e-9)


def test_boards_of_two_tables_age_by_what_each_gives_the_crop(bench):
    """The mean of the map with every board's flux aged by itself, worked out by the library alone."""
    fixture = ageing_bench(bench, (*falling(55.0, 2e-6, "slow"), *falling(55.0, 2e-5, "quick")))
    quick = dataclasses.replace(fixture.boards[0], tag="quick one", maintenance="quick")
    points = tuple(dataclasses.replace(point, board="quick one") for point in fixture.board_points)
    places = tuple(
        lc.Position(tag=f"B{n + 1}", board="quick one" if n in (1, 2) else None, x_m=x, y_m=y)
        for n, (x, y) in enumerate((x, y) for y in (0.15, 0.45) for x in (0.15, 0.45, 0.75, 1.05))
    )
    fixture = dataclasses.replace(
        fixture, boards=(*fixture.boards, quick), board_points=(*fixture.board_points, *points), positions=places
    )
    results = lc.evaluate(fixture)
    boards, light, hours = results.boards, results.light, 20_000.0
    alphas = np.where(np.array(boards.model) == "quick one", 2e-5, 2e-6)
    x, y = np.meshgrid(light.x_m, light.y_m)
    sources = [
        LightSource(
            x_m=boards.x_m[n],
            y_m=boards.y_m[n],
            z_m=boards.z_m[n],
            width_m=0.25,
            length_m=0.06,
            photon_flux_umol_s=boards.photon_flux_umol_s[n] * np.exp(-alphas[n] * hours),
        )
        for n in range(8)
    ]
    mean = ppfd_map(sources, np.stack([x, y, np.zeros_like(x)], axis=-1)).mean()
    assert results.ageing.kept_fraction(hours) * light.statistics.mean == pytest.approx(mean, rel=1e-9)


def test_the_dial_over_life_gives_the_target_with_aged_boards(bench, aged):
    """The fixture evaluated anew, dimmed as the page says and with boards of so much less flux: the target.

    Within 0.5 %: what is no light any more warms the boards, and warmer ones give a little less.
    """
    table = table_of(aged, "Ageing", "Light over life")
    labels = [column.label for column in table.columns]
    assert aged.ageing.held_ppfd_umol_m2_s == pytest.approx(8.0 / (16 * 3600e-6))
    for row in (table.rows[0], table.rows[len(table.rows) // 2], table.rows[-1]):
        shown = dict(zip(labels, row, strict=True))
        kept = shown["Light kept"] / 100.0
        dim = {f"board_points[{n}].photon_flux_umol_s": kept * p.photon_flux_umol_s for n, p in points(bench)}
        for change in (
            {"fixture.dimming_fraction": shown["Dimming level at 4.4 A"] / 100.0},
            {"fixture.current_setting_a": shown["Or current dial, undimmed"]},
        ):
            old = lc.evaluate(with_values(bench, {**dim, **change}))
            assert old.light.statistics.mean == pytest.approx(aged.ageing.held_ppfd_umol_m2_s, rel=5e-3)
            assert shown["Mean PPFD, target kept"] == pytest.approx(aged.ageing.held_ppfd_umol_m2_s)
    assert any("the life wanted" in str(row[-1]) for row in table.rows)


def points(fixture):
    return enumerate(fixture.board_points)


def test_a_target_out_of_reach_is_blank_with_its_reason(bench):
    results = lc.evaluate(ageing_bench(bench, falling(55.0, 1e-5), target_dli_low_mol_m2_d=10.5))
    last = table_of(results, "Ageing", "Light over life").rows[-1]
    assert np.isnan(last[-3])
    assert np.isnan(last[-2])
    assert "out of reach" in last[-1]


def test_why_dimmer_or_dial_is_blank_stands_beside_it(bench):
    """8 mol of 12.1 (5 A) and 10.8 (4.4 A): the dimmer's share ends first; 0.5 mol lie below the dial; a bare dial."""
    cases = (
        ({}, -1, (True, False), "with this dial: turn it up"),
        ({"site.target_dli_low_mol_m2_d": 2.0}, 0, (False, True), "below the dial's range"),
        ({"site.target_dli_low_mol_m2_d": 0.5}, 0, (True, True), "less than the least light"),
        ({"drivers[0].dimming_low_fraction": 1.0}, 0, (True, False), "with this dial: turn it down"),
    )
    base = ageing_bench(bench, falling(55.0, 6e-6))
    for changes, at, blank, words in cases:
        row = table_of(lc.evaluate(with_values(base, changes)), "Ageing", "Light over life").rows[at]
        assert tuple(np.isnan(row[-3:-1])) == blank
        assert words in row[-1]


def test_years_are_hours_at_the_sites_days(aged):
    facts = facts_of(aged, "Ageing")
    assert facts["Hours lit a year"].value == 16 * 150
    assert facts["Life wanted"].remark == "12.5 years"
    assert facts["92 % of the light is kept for"].value == pytest.approx(np.log(1 / 0.92) / ALPHA_PER_H)
    lives = table_of(aged, "Ageing", "The boards").rows[0]
    assert lives[4] == pytest.approx(np.log(1 / 0.9) / ALPHA_PER_H)
    assert lives[5] == pytest.approx(lives[4] / 2400.0)
    assert (lives[6], lives[7]) == ("over 54000", "over 22.5")


def test_without_a_target_the_dial_is_blank_with_its_reason(bench):
    site = {"target_dli_low_mol_m2_d": None, "target_dli_high_mol_m2_d": None}
    results = lc.evaluate(ageing_bench(bench, **site))
    assert results.dimmed is None
    assert "names no target" in facts_of(results, "Ageing")["Dial that keeps the target"].remark
    assert table_of(results, "Ageing", "Light over life").rows[0][5:10] == (None,) * 5


def test_boards_without_or_beyond_their_tests_are_not_projected(bench):
    hot = lc.evaluate(ageing_bench(bench, falling(40.0, ALPHA_PER_H), wanted_life_h=30_000.0))
    assert "not projected" in hot.ageing.reason
    assert any("hotter than the hottest test" in line for line in hot.not_checked)
    [block] = [
        entry for entry in page(hot, "Ageing").blocks if getattr(entry, "heading", "") == "The fixture as a whole"
    ]
    assert "Not projected: B" in block.lines[0]
    assert np.isnan(hot.ageing.kept_fraction(1000.0))
    first = table_of(hot, "Ageing", "The boards").rows[0]
    assert first[2:-1] == (None,) * 8


def test_limit_and_length_of_a_projection_may_come_from_one_test_each(bench):
    """6200 h of 10 units reach 34,100 h, 6000 h of 20 units 36,000 h: 5.5 times is the lesser, and of the first."""
    cool = [*range(0, 6001, 1000), 6200]
    rows = (
        *(
            dataclasses.replace(falling(25.0, 1e-6, units_count=10)[0], elapsed_h=float(h), flux_fraction=1 - 1e-6 * h)
            for h in cool
        ),
        *(row for row in falling(55.0, 4e-6) if row.elapsed_h <= 6000),
    )
    results = lc.evaluate(ageing_bench(bench, rows, wanted_life_h=40_000.0))
    found = next(entry for entry in results.findings if entry.code == "life-beyond-projection")
    assert found.limit == 34_100.0
    assert "a test of 6,200 h is projected to 5.5 times that" in found.message


def test_units_that_nobody_counted_are_an_assumption(bench):
    rows = falling(55.0, ALPHA_PER_H, units_count=None)
    said = [entry.value for entry in lc.evaluate(ageing_bench(bench, rows)).assumptions]
    assert "invented test at 55 degC: 20 units tested" in said
    counted = [entry.value for entry in lc.evaluate(ageing_bench(bench)).assumptions]
    assert not any("units tested" in value for value in counted)


def test_a_plans_steps_and_ramps_by_hand(planned):
    """Two held weeks of 6 mol, a ramp of 1 mol a week from 8 to 11, a PPFD, and a dark week."""
    plan = planned.light_plan
    assert plan.week == (1, 3, 4, 5, 6, 7, 8)
    assert plan.weeks_count == (2, 1, 1, 1, 1, 1, 1)
    assert plan.row == (0, 1, 1, 1, 2, 3, 4)
    assert plan.wanted_dli_mol_m2_d == pytest.approx([6, 8, 9, 10, 11, 150 * 12 * 3600e-6, 0])
    assert plan.dli_mol_m2_d == pytest.approx(plan.wanted_dli_mol_m2_d, rel=1e-9)
    assert plan.reach == ("within",) * 7
    assert (plan.current_a[-1], plan.energy_kwh[-1]) == (0.0, 0.0)
    weeks = [row[0] for row in table_of(planned, "Light plan", "Step").rows]
    assert weeks == ["1 to 2", "3", "4", "5", "6", "7", "8 on"]


def test_a_plans_dial_gives_its_light_and_its_energy(bench, planned):
    """The whole evaluation at the level and at the dial that the plan names: PPFD to a thousandth, mains power too."""
    plan = planned.light_plan
    for entry in range(6):
        changes = [{"fixture.current_setting_a": float(plan.dial_a[entry])}]
        if np.isfinite(plan.level_fraction[entry]):
            changes.append({"fixture.dimming_fraction": float(plan.level_fraction[entry])})
        for change in changes:
            there = lc.evaluate(with_values(bench, change))
            hours = float(plan.photoperiod_h[entry])
            assert there.light.statistics.mean == pytest.approx(plan.ppfd_umol_m2_s[entry], rel=1e-3)
            energy = there.operating.mains_power_w * hours * 7 / 1000.0
            assert plan.energy_kwh[entry] == pytest.approx(energy, rel=2e-3)
            assert plan.energy_cost[entry] == pytest.approx(energy * 0.22, rel=2e-3)
    assert np.isnan(plan.level_fraction[4])


def test_what_ends_the_reach_is_said(bench):
    """The dial, a board's rating, the voltage setting, the rated output, the driver's window; each limit is met."""
    cases = (
        ({}, "the current dial's high end", 5.0),
        ({"boards[0].rated_current_a": 0.6}, "a board is at its rated current", None),
        ({"fixture.voltage_setting_v": 22.0}, "the voltage setting", None),
        ({"drivers[0].power_limit_w": 105.0}, "the driver's rated output", None),
    )
    base = planned_bench(bench, target_dli_mol_m2_d=6.0)
    for changes, words, amps in cases:
        results = lc.evaluate(with_values(base, changes))
        dimmed = results.dimmed
        assert words in dimmed.most_by
        assert dimmed.most_a == pytest.approx(amps or dimmed.most_a)
        at_most = lc.evaluate(with_values(base, {**changes, "fixture.current_setting_a": dimmed.most_a}))
        assert at_most.light.statistics.mean == pytest.approx(dimmed.most_ppfd_umol_m2_s, rel=2e-3)
        if "rated current" in words:
            assert at_most.boards.current_a.max() == pytest.approx(0.6, rel=2e-3)
    window = lc.evaluate(with_values(base, {"drivers[0].window_min_v": 21.0}))
    assert "out of its window" in window.dimmed.least_by
    assert window.dimmed.least_a > 0.44


def test_a_dark_fixture_has_no_plan_and_says_so(bench):
    dark = {"drivers[0].voltage_low_v": 1.0, "fixture.voltage_setting_v": 2.0}
    results = lc.evaluate(with_values(planned_bench(bench, target_dli_mol_m2_d=6.0), dark))
    assert results.light_plan is None
    assert "gives no light" in page(results, "Light plan").blocks[0].lines[0]
    old = lc.evaluate(with_values(ageing_bench(bench, wanted_life_h=9000.0), dark))
    assert old.ageing.reason == "no light reaches the crop"
    assert page(old, "Ageing") is not None


def test_a_dim_plan_obeys_the_dimmer_and_the_dial(bench):
    """4.4 A dims to 10 %: 0.44 A; the dial itself ends at 2 A."""
    results = lc.evaluate(planned_bench(bench, target_ppfd_umol_m2_s=50.0))
    assert results.light_plan.level_fraction[0] == pytest.approx(1.09 / 4.4, rel=0.02)
    assert np.isnan(results.light_plan.dial_a[0])
    assert results.dimmed.least_a == pytest.approx(0.44)
    no_dimmer = {"drivers[0].dimming_low_fraction": 1.0}
    stiff = lc.evaluate(with_values(planned_bench(bench, target_ppfd_umol_m2_s=50.0), no_dimmer))
    assert stiff.light_plan.reach == ("below",)
    assert stiff.dimmed.least_by == "the current dial's low end"
    assert stiff.light_plan.ppfd_umol_m2_s[0] == pytest.approx(stiff.dimmed.ppfd_at(2.0))


def test_levels_in_remedies_clear_what_they_are_for(bench):
    strong = dense_bench(bench)
    found = {entry.code: entry for entry in lc.evaluate(strong).findings}
    for code in ("ppfd-without-co2", "blue-light", "bright-source"):
        percent = float(re.search(r"dim to (\d+) %", found[code].remedy).group(1))
        dimmed = lc.evaluate(with_values(strong, {"fixture.dimming_fraction": percent / 100.0}))
        assert code not in {entry.code for entry in dimmed.findings}
        bright = lc.evaluate(with_values(strong, {"fixture.dimming_fraction": (percent + 4) / 100.0}))
        assert code in {entry.code for entry in bright.findings}


def test_a_level_below_the_dimmers_low_end_is_not_named(bench):
    strong = with_values(dense_bench(bench), {"drivers[0].dimming_low_fraction": 0.8})
    found = next(entry for entry in lc.evaluate(strong).findings if entry.code == "bright-source")
    assert "80 %, the least that Twin-dial 120 gives" in found.remedy


def test_lux_by_the_spectrum(bench):
    """One line of 555 nm: 683 lm/W (SI), 119.6266/555 J a umol (CODATA): 147.2 lx a umol m-2 s-1."""
    nm = ((400.0, 0.0), (554.9, 0.0), (555.0, 1.0), (555.1, 0.0), (700.0, 0.0))
    line = tuple(lc.SpectrumPoint(tag="line", wavelength_nm=at, value=value) for at, value in nm)
    model = dataclasses.replace(bench.boards[0], spectrum="line")
    results = lc.evaluate(dataclasses.replace(bench, boards=(model,), spectra=line))
    light = mean_illuminance(results)
    assert light.lx_per_umol_m2_s == pytest.approx(683.0 * 119.6266 / 555.0, rel=1e-4)
    assert light.mean_lx == pytest.approx(results.light.statistics.mean * light.lx_per_umol_m2_s)
    assert light.luminous_flux_lm == pytest.approx(results.light.photon_flux_umol_s * light.lx_per_umol_m2_s)
    assert facts_of(results, "Light field")["Mean illuminance"].value == pytest.approx(light.mean_lx)


def test_lux_of_two_spectra_is_the_sum_of_each(bench):
    """Boards of 555 nm at the left, of the example's white at the right: each part of the map times its own ratio."""
    nm = ((400.0, 0.0), (554.9, 0.0), (555.0, 1.0), (555.1, 0.0), (700.0, 0.0))
    line = tuple(lc.SpectrumPoint(tag="line", wavelength_nm=at, value=value) for at, value in nm)
    green = dataclasses.replace(bench.boards[0], tag="green", spectrum="line")
    extra = tuple(dataclasses.replace(point, board="green") for point in bench.board_points)
    places = tuple(
        lc.Position(tag=f"B{n + 1}", board="green" if n % 4 == 0 else None, x_m=x, y_m=y)
        for n, (x, y) in enumerate((x, y) for y in (0.15, 0.45) for x in (0.15, 0.45, 0.75, 1.05))
    )
    both = dataclasses.replace(
        bench,
        boards=(*bench.boards, green),
        board_points=(*bench.board_points, *extra),
        spectra=(*bench.spectra, *line),
        positions=places,
    )
    results = lc.evaluate(both)
    white = mean_illuminance(lc.evaluate(bench)).lx_per_umol_m2_s
    boards, light = results.boards, results.light
    x, y = np.meshgrid(light.x_m, light.y_m)
    expected = 0.0
    for n, model in enumerate(boards.model):
        source = LightSource(
            x_m=boards.x_m[n],
            y_m=boards.y_m[n],
            z_m=boards.z_m[n],
            width_m=0.25,
            length_m=0.06,
            photon_flux_umol_s=boards.photon_flux_umol_s[n],
        )
        mean = ppfd_map(source, np.stack([x, y, np.zeros_like(x)], axis=-1)).mean()
        expected += mean * (683.0 * 119.6266 / 555.0 if model == "green" else white)
    assert mean_illuminance(results).mean_lx == pytest.approx(expected, rel=1e-4)


def test_a_board_without_spectrum_has_no_lux(bench):
    results = lc.evaluate(with_values(bench, {"boards[0].spectrum": None}))
    assert mean_illuminance(results) is None
    assert any("blue light and ultraviolet of Bench bar 250" in line for line in results.not_checked)
    assert "Mean illuminance" not in facts_of(results, "Light field")


def test_strong_light_dazzles_whatever_its_spectrum(bench):
    codes = {
        entry.code for entry in lc.evaluate(with_values(dense_bench(bench), {"boards[0].spectrum": None})).findings
    }
    assert "bright-source" in codes
    assert "blue-light" not in codes


def test_what_is_published_for_the_crop_stands_beside_the_dose(bench, bench_results):
    facts = facts_of(bench_results, "Light field")
    published = facts["Published: seedlings before transplant"]
    assert published.value == "8 to 14"
    assert "lies within it; confidence high: UNH Extension" in published.remark
    mean = bench_results.light.statistics.mean
    low, high = (dose / (mean * 3600e-6) for dose in (8.0, 14.0))
    assert facts["Light a day for the dose"].value == f"{low:.1f} to {high:.1f}"
    energy = bench_results.operating.mains_power_w / 1000.0 / (bench_results.light.canopy_flux_umol_s * 3600e-6)
    assert facts["Energy of a mole on the crop, AC basis"].value == pytest.approx(energy)
    near = facts_of(lc.evaluate(with_values(bench, {"site.crop": "lettuce"})), "Light field")
    assert "head lettuce" in near["Published dose of the crop"].remark


def test_a_target_is_never_filled_from_the_table(bench):
    """A crop far from its dose: only the note speaks, no rule on targets."""
    site = {"site.target_dli_low_mol_m2_d": None, "site.target_dli_high_mol_m2_d": None, "site.crop": "head lettuce"}
    results = lc.evaluate(with_values(bench, site))
    codes = {found.code: found.severity for found in results.findings}
    assert codes["dose-off-published-range"] == "note"
    assert "light-below-target" not in codes
    assert any("light against a target" in line for line in results.not_checked)
    facts = facts_of(results, "Light field")
    assert "published" in facts["Light a day for the dose"].remark


BAD = {
    "share that leaps": ({"maintenance[2].flux_fraction": 1.15}, "the light rises from"),
    "share at 0 h": ({"maintenance[0].flux_fraction": 0.98}, "at 0 h, where the share"),
    "hours out of order": ({"maintenance[2].elapsed_h": 1000.0}, "1000 h does not come after 1000 h"),
    "units that differ": ({"maintenance[2].units_count": 30}, "30 units, where the first row"),
    "too few units": ({"maintenance.units_count": 9}, "units tested: 9"),
    "table that is not there": ({"boards[0].maintenance": "invented tset"}, "there is no photon maintenance"),
    "both wanted": ({"light_plan[0].target_ppfd_umol_m2_s": 100.0}, "both a DLI and a PPFD"),
    "neither wanted": ({"light_plan[0].target_dli_mol_m2_d": None}, "neither a DLI nor a PPFD"),
    "weeks out of order": ({"light_plan[1].from_week": 1}, "week 1 does not come after week 1"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_tables_are_named(name, bench):
    changes, words = BAD[name]
    fixture = dataclasses.replace(ageing_bench(bench), light_plan=PLAN)
    with pytest.raises(InputErrors, match=re.escape(words)):
        lc.evaluate(with_values(fixture, changes))


def test_a_share_beyond_what_leds_gain_is_out_of_range(bench):
    first = dataclasses.replace(ageing_bench(bench).maintenance[0], flux_fraction=1.3)
    with pytest.raises(InputErrors, match=r"too large: 1.3; allowed: a number above 0 up to 1.2"):
        lc.evaluate(ageing_bench(bench, (first, *ageing_bench(bench).maintenance[1:])))


def test_a_test_that_is_too_short_for_the_method(bench):
    with pytest.raises(InputErrors, match="hours of the last reading: 4000; allowed: a finite number, at least 6000"):
        lc.evaluate(ageing_bench(bench, ageing_bench(bench).maintenance[:5]))


@pytest.mark.parametrize("readings", [1, 2])
def test_fewer_readings_than_the_method_needs(bench, readings):
    rows = ageing_bench(bench).maintenance
    few = (rows[0], rows[-1])[:readings]
    with pytest.raises(InputErrors, match="at least two readings in the fit window"):
        lc.evaluate(ageing_bench(bench, few))


def test_workbook_and_folder_carry_the_new_sheets(bench, tmp_path):
    fixture = dataclasses.replace(
        ageing_bench(bench, wanted_life_h=30_000.0, maintained_share_fraction=0.9, added_co2="no"), light_plan=PLAN
    )
    for name in ("filled.xlsx", "filled"):
        write_blank(tmp_path / name, records=records_from_fixture(fixture))
        assert lc.read_workbook(tmp_path / name) == fixture
    copy_inputs(tmp_path / "filled", tmp_path / "copy.xlsx")
    assert lc.read_workbook(tmp_path / "copy.xlsx") == fixture
    results = lc.recalculate(tmp_path / "filled", tmp_path / "results.xlsx")
    book = openpyxl.load_workbook(tmp_path / "results.xlsx")
    assert {"Ageing", "Light plan"} <= set(book.sheetnames)
    write_results(results, tmp_path / "out")
    assert {"Ageing.csv", "Light plan.csv"} <= {path.name for path in (tmp_path / "out").iterdir()}
    write_results(results, tmp_path / "out")


def test_a_bad_cell_is_named_by_its_place_and_the_rest_computes(bench, tmp_path):
    fixture = dataclasses.replace(ageing_bench(bench), light_plan=PLAN)
    write_blank(tmp_path / "filled", records=records_from_fixture(fixture))
    path = tmp_path / "filled" / "light_plan.csv"
    path.write_text(path.read_text().replace("3,8,,,straight ramp", "3,8,90,,straight ramp"))
    inputs = read_inputs(tmp_path / "filled")
    [problem] = inputs.problems
    assert (problem.sheet, problem.cell, problem.field) == ("light_plan", "C4", "PPFD wanted")
    assert fixture_of(dataclasses.replace(inputs, problems=())).light_plan[1].target_ppfd_umol_m2_s == 90.0
    rest = rest_of(inputs)
    assert rest.light_plan == PLAN
    short = tmp_path / "filled" / "maintenance.csv"
    path.write_text(path.read_text().replace("3,8,90", "3,8,"))
    short.write_text("".join(f"{line}\n" for line in short.read_text().splitlines()[:6]))
    inputs = read_inputs(tmp_path / "filled")
    assert [entry.field for entry in inputs.problems] == ["Photon maintenance"]
    rest = rest_of(inputs)
    assert rest.boards[0].maintenance is None
    assert lc.evaluate(rest).ageing is None


def test_hotter_boards_age_faster(bench):
    warm = ageing_bench(bench, (*falling(30.0, 1e-6), *falling(85.0, 9e-6)))
    better, worse = (
        lc.evaluate(with_values(warm, {"heat_sinks[0].sink_resistance_k_per_w": ohms})) for ohms in (3.5, 9.0)
    )
    assert better.ageing.kept_fraction(20_000) > worse.ageing.kept_fraction(20_000)


def test_a_plan_pays_the_tariff_of_its_hours(bench):
    """At night for 0.10 and by day for 0.40: on at 20 h, twelve hours cost (10 x 0.10 + 2 x 0.40) / 12 a kWh."""
    night = lc.TariffHours(tag="night", price_per_kwh=0.10, from_h=20.0, to_h=6.0)
    plan = (lc.PlanStep(from_week=1, target_ppfd_umol_m2_s=100.0, photoperiod_h=12.0),)
    paid = dataclasses.replace(with_values(bench, {"site.price_per_kwh": 0.40}), tariff=(night,), light_plan=plan)
    for lights_on_h, price in ((20.0, 0.15), (8.0, 0.40), (None, 0.15)):
        costs = dataclasses.replace(paid.costs, lights_on_h=lights_on_h)
        found = lc.evaluate(dataclasses.replace(paid, costs=costs)).light_plan
        assert found.price_per_kwh[0] == pytest.approx(price)
        assert found.energy_cost[0] == pytest.approx(found.energy_kwh[0] * price)


def test_years_of_ageing_are_of_the_hours_that_seasons_light(bench):
    """Half a year at 12 h: 54,000 h of projection last twice as long as at 12 h all year."""
    season = lc.Season(tag="winter", from_month=10, to_month=3, photoperiod_h=12.0)
    results = lc.evaluate(dataclasses.replace(ageing_bench(bench), seasons=(season,)))
    facts = facts_of(results, "Ageing")
    assert facts["Hours lit a year"].value == 12.0 * (31 + 30 + 31 + 31 + 28 + 31)
    assert facts["Hours lit a year"].remark == "by the seasons"
    assert facts["Projected up to"].remark.startswith(f"{54_000 / (12 * 182):.1f} years")
