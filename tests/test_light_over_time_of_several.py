"""Ageing, plan and lux where the fixture hangs again in the room: all age and are dimmed together."""

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.evaluation.light import light_over_crop
from ledcalc.light_views import hung_sources, mean_illuminance
from ledcalc.records import with_values
from ledcalc.workbook.results.pages import Facts, Table
from ledcalc.workbook.results.write import pages_of

sys.path.insert(0, str(Path(__file__).parent / "checks"))
from ageing_cases import ALPHA_PER_H, ageing_bench

ROOM = {
    "room_width_m": 2.8,
    "room_depth_m": 1.0,
    "room_height_m": 1.2,
    "wall_reflectance_fraction": 0.8,
    "mirror_share_fraction": 0.2,
}
BESIDE = (lc.OtherFixture(tag="F2", shift_x_m=1.25, shift_y_m=0.05, height_change_m=0.1),)
TARGET = 150.0


def with_plan(bench):
    """Weeks lit by dose, a dark one, and a target for the boards' whole life."""
    plan = (
        lc.PlanStep(from_week=1, target_ppfd_umol_m2_s=TARGET),
        lc.PlanStep(from_week=3, target_dli_mol_m2_d=0.0),
    )
    lit = with_values(
        ageing_bench(bench, wanted_life_h=30_000.0),
        {
            "site.target_dli_low_mol_m2_d": None,
            "site.target_dli_high_mol_m2_d": None,
            "site.target_ppfd_umol_m2_s": TARGET,
        },
    )
    return dataclasses.replace(lit, light_plan=plan)


def in_room(bench):
    site = dataclasses.replace(bench.site, **ROOM)
    return dataclasses.replace(bench, site=site, crop_x_m=0.2, crop_y_m=0.2, canopy_height_m=0.3)


@pytest.fixture(scope="module")
def alone(bench):
    return lc.evaluate(with_plan(bench))


@pytest.fixture(scope="module")
def both(bench):
    return lc.evaluate(dataclasses.replace(with_plan(bench), other_fixtures=BESIDE))


def blocks_of(results, title, kind):
    return [
        block
        for entry in pages_of(results)
        if entry.title == title
        for block in entry.blocks
        if isinstance(block, kind)
    ]


def test_all_fixtures_turn_together(alone, both):
    """Turned to any current, the light of both is what the map has with both settled there."""
    for amps in (2.0, 3.0, 4.0):
        turned = lc.evaluate(with_values(both.fixture, {"fixture.current_setting_a": amps}))
        assert both.dimmed.ppfd_at(amps) == pytest.approx(turned.light.statistics.mean, rel=1e-3)
    factor = both.light.statistics.mean / alone.light.statistics.mean
    assert factor > 1.03
    assert both.dimmed.least_ppfd_umol_m2_s == pytest.approx(alone.dimmed.least_ppfd_umol_m2_s * factor, rel=1e-2)
    assert both.dimmed.power_w == pytest.approx(alone.dimmed.power_w)


def test_in_a_room_the_parts_are_the_map(bench):
    """Walls send the light of both back: the boards' parts add up to the map, sensor for sensor."""
    results = lc.evaluate(dataclasses.replace(in_room(with_plan(bench)), other_fixtures=BESIDE))
    present = bench.current_setting_a * bench.dimming_fraction
    assert "walls send back" in results.light.basis
    assert results.dimmed.ppfd_at(present) == pytest.approx(results.light.statistics.mean, rel=1e-9)
    assert results.ageing.share_of_ppfd_fraction.sum() == pytest.approx(1.0, rel=1e-12)


def test_all_fixtures_age_together(both):
    table = next(block for block in blocks_of(both, "Ageing", Table) if block.heading.startswith("Light over life"))
    labels = [column.label for column in table.columns]
    for row in table.rows:
        shown = dict(zip(labels, row, strict=True))
        kept = np.exp(-ALPHA_PER_H * shown["Hours lit"])
        assert shown["Mean PPFD, dial as now"] == pytest.approx(both.light.statistics.mean * kept, rel=1e-9)
        assert shown["Mean PPFD, target kept"] == pytest.approx(TARGET)
        assert both.dimmed.ppfd_at(shown["Or current dial, undimmed"]) * kept == pytest.approx(TARGET, rel=1e-6)


def test_a_boards_part_is_that_of_its_likes_too(bench):
    """A second fixture shifted by a column: parts are the mean light with all other boards dark, in both fixtures."""
    shifted = dataclasses.replace(
        ageing_bench(bench), other_fixtures=(lc.OtherFixture(tag="F2", shift_x_m=0.6, shift_y_m=0.2),)
    )
    results = lc.evaluate(shifted)
    x, y = np.meshgrid(results.light.x_m, results.light.y_m)
    own = hung_sources(results)
    for number, part in enumerate(results.ageing.share_of_ppfd_fraction):
        lit = [
            dataclasses.replace(source, photon_flux_umol_s=source.photon_flux_umol_s if n == number else 0.0)
            for n, source in enumerate(own)
        ]
        expected = light_over_crop(shifted, lit, x, y).mean() / results.light.statistics.mean
        assert part == pytest.approx(expected, rel=1e-9)


def test_a_plan_turns_the_dials_of_all(both):
    """The dial of the plan, set on all fixtures, gives the light; a dark week is dark, and energy is this fixture's."""
    plan = both.light_plan
    turned = lc.evaluate(with_values(both.fixture, {"fixture.current_setting_a": float(plan.dial_a[0])}))
    assert turned.light.statistics.mean == pytest.approx(TARGET, rel=1e-3)
    assert plan.ppfd_umol_m2_s == pytest.approx([TARGET, 0.0])
    hours = both.fixture.site.photoperiod_h * 7
    assert plan.energy_kwh[0] == pytest.approx(turned.operating.mains_power_w * hours / 1000.0, rel=1e-3)
    facts = {entry.label: entry for block in blocks_of(both, "Light plan", Facts) for entry in block.facts}
    assert facts["Energy of the plan"].remark.endswith("of this fixture")
    assert blocks_of(both, "Light plan", Table)[0].rows[-1][-1] == "dark: switched off"


def test_a_target_missed_with_age_counts_all_fixtures(bench):
    """Alone the aged boards fall short of the target; with another fixture's light, aged as they are, they do."""
    lit = with_values(with_plan(bench), {"fixture.dimming_fraction": 1.0})
    mean = lc.evaluate(lit).light.statistics.mean
    tight = with_values(lit, {"site.target_ppfd_umol_m2_s": mean, "site.wanted_life_h": 54_000.0})
    code, kept = "aged-light-below-target", np.exp(-ALPHA_PER_H * 54_000.0)
    fired = set()
    for shift_m in (0.4, 0.7, 1.2):
        close = dataclasses.replace(tight, other_fixtures=(lc.OtherFixture(tag="F2", shift_y_m=shift_m),))
        results = lc.evaluate(close)
        is_short = results.light.statistics.mean * kept < 0.9 * mean
        assert (code in {found.code for found in results.findings}) == is_short
        fired.add(is_short)
    assert fired == {True, False}
    assert code in {found.code for found in lc.evaluate(tight).findings}


def test_boards_to_add_are_of_each_fixture(bench):
    asked = dataclasses.replace(
        bench, other_fixtures=BESIDE, light_plan=(lc.PlanStep(from_week=1, target_ppfd_umol_m2_s=400.0),)
    )
    found = next(found for found in lc.evaluate(asked).findings if found.code == "plan-above-full-light")
    assert "boards instead of 8 in each of the 2 fixtures" in found.remedy


def test_lux_is_that_of_all_fixtures(alone, both):
    one, two = mean_illuminance(alone), mean_illuminance(both)
    assert two.lx_per_umol_m2_s == pytest.approx(one.lx_per_umol_m2_s)
    assert two.mean_lx == pytest.approx(one.lx_per_umol_m2_s * both.light.statistics.mean)
    assert two.luminous_flux_lm == pytest.approx(2 * one.luminous_flux_lm)


def test_lux_of_two_spectra_counts_each_board_once_a_fixture(bench):
    """A second fixture in the very place of the first: every part of the light twice, whatever its spectrum."""
    nm = ((400.0, 0.0), (554.9, 0.0), (555.0, 1.0), (555.1, 0.0), (700.0, 0.0))
    line = tuple(lc.SpectrumPoint(tag="line", wavelength_nm=at, value=value) for at, value in nm)
    green = dataclasses.replace(bench.boards[0], tag="green", spectrum="line")
    places = tuple(
        lc.Position(tag=f"B{n + 1}", board="green" if n % 4 == 0 else None, x_m=x, y_m=y)
        for n, (x, y) in enumerate((x, y) for y in (0.15, 0.45) for x in (0.15, 0.45, 0.75, 1.05))
    )
    mixed = dataclasses.replace(
        bench,
        boards=(*bench.boards, green),
        board_points=(*bench.board_points, *(dataclasses.replace(one, board="green") for one in bench.board_points)),
        spectra=(*bench.spectra, *line),
        positions=places,
    )
    twice = dataclasses.replace(mixed, other_fixtures=(lc.OtherFixture(tag="F2"),))
    one, two = (mean_illuminance(lc.evaluate(entry)) for entry in (mixed, twice))
    assert two.mean_lx == pytest.approx(2 * one.mean_lx, rel=1e-9)
    assert two.lx_per_umol_m2_s == pytest.approx(one.lx_per_umol_m2_s)
