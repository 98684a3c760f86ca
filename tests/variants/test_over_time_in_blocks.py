"""Blocks of variants that age, follow a light plan or get notes on their light: as ``evaluate`` has them one by one."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.records import placed_boards
from ledcalc.variants.rules import over_time

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))
from ageing_cases import ALPHA_PER_H, ageing_bench, dense_bench, falling, untargeted
from test_same_as_evaluate import (
    COUNT,
    assert_same,
    beside_another,
    between,
    on_a_trunk,
    on_two_lead_sets,
    one_of,
    whole,
    worked_out,
)

COMPARED = 10
OVER_TIME = {
    "aged-light-below-target",
    "aged-share-below-wanted",
    "life-beyond-projection",
    "board-hotter-than-tests",
    "plan-above-full-light",
    "plan-below-dimmer",
}


def with_sheets(fixture):
    """Two maintenance tests, lives wanted, and a plan of doses, a ramp and a dark week."""
    tests = (*falling(34.0, ALPHA_PER_H), *falling(40.0, 2 * ALPHA_PER_H))
    plan = (
        lc.PlanStep(from_week=1, target_dli_mol_m2_d=6.0, until_next="straight ramp"),
        lc.PlanStep(from_week=4, target_ppfd_umol_m2_s=180.0),
        lc.PlanStep(from_week=6, target_dli_mol_m2_d=0.0),
        lc.PlanStep(from_week=7, target_dli_mol_m2_d=0.8, photoperiod_h=12.0),
    )
    return replace(ageing_bench(fixture, tests, wanted_life_h=40_000.0, maintained_share_fraction=0.8), light_plan=plan)


def one_untested(fixture):
    """One board of a model that names no table: the fixture as a whole is not projected, the others may run too hot."""
    bare = replace(fixture.boards[0], tag="bare", maintenance=None)
    places = tuple(
        replace(place, board="bare" if place.tag == "B3" else place.board) for place in placed_boards(fixture)
    )
    points = tuple(replace(point, board="bare") for point in fixture.board_points)
    return replace(
        fixture, boards=(*fixture.boards, bare), board_points=(*fixture.board_points, *points), positions=places
    )


SETTINGS = {
    "fixture.current_setting_a": between(1.0, 6.0),
    "fixture.dimming_fraction": between(0.05, 1.0),
    "fixture.voltage_setting_v": between(21.0, 26.0),
}
SWEEPS = {
    "settings": (with_sheets, SETTINGS),
    "air": (with_sheets, {"site.air_temperature_c": between(-5, 40), "site.price_per_kwh": between(0, 0.6)}),
    "targets and hours": (
        with_sheets,
        {
            "site.photoperiod_h": between(4, 24),
            "site.target_ppfd_umol_m2_s": between(60, 260),
            "site.wanted_life_h": between(5_000, 90_000),
            "site.maintained_share_fraction": between(0.6, 0.95),
        },
    ),
    "layout": (
        with_sheets,
        {
            "fixture.row_pitch_m": between(0.1, 0.5),
            "fixture.column_pitch_m": between(0.15, 0.4),
            "fixture.height_m": between(0.1, 0.9),
        },
    ),
    "driver": (
        with_sheets,
        {
            "drivers[0].current_low_a": between(0.2, 2.0),
            "drivers[0].current_high_a": between(2.5, 9.0),
            "drivers[0].dimming_low_fraction": between(0.05, 0.9),
            "drivers[0].power_limit_w": between(60, 180),
            "drivers[0].window_min_v": between(10, 22.5),
            "drivers[0].cut_off_v": between(5, 22),
            "boards[0].rated_current_a": between(0.4, 1.2),
        },
    ),
    "beyond what settles": (
        with_sheets,
        {
            "fixture.current_setting_a": between(2.0, 5.0),
            "drivers[0].current_high_a": between(20.0, 60.0),
            "drivers[0].power_limit_w": between(1000, 1600),
            "heat_sinks[0].sink_resistance_k_per_w": between(5, 14),
        },
    ),
    "one untested": (lambda bench: one_untested(with_sheets(bench)), SETTINGS),
    "trunk": (lambda bench: on_a_trunk(with_sheets(bench)), SETTINGS),
    "lead sets": (lambda bench: on_two_lead_sets(with_sheets(bench)), {"fixture.dimming_fraction": between(0.05, 1.0)}),
    "two fixtures": (
        lambda bench: beside_another(with_sheets(bench)),
        {
            **SETTINGS,
            "site.ventilation_m3_per_h": between(5, 200),
            "fixture.height_m": one_of(0.2, 0.3, 0.4),
        },
    ),
    "close boards, CO2 and hours": (
        dense_bench,
        {
            **SETTINGS,
            "fixture.height_m": between(0.04, 0.2),
            "site.added_co2": one_of("yes", "no"),
            "site.photoperiod_h": between(12, 24),
            "site.days_lit_count": whole(100, 367),
        },
    ),
    "crop without target": (
        lambda bench: untargeted(bench, "head lettuce"),
        {"site.photoperiod_h": between(4, 24), "fixture.dimming_fraction": between(0.3, 1.0)},
    ),
}


@pytest.mark.parametrize("name", SWEEPS)
def test_random_variants_come_out_as_one_by_one(bench, name):
    make, columns = SWEEPS[name]
    rng = np.random.default_rng(list(SWEEPS).index(name) + 100)
    drawn = {path: draw(rng) for path, draw in columns.items()}
    changes = [{path: values[number] for path, values in drawn.items()} for number in range(COUNT)]
    engine, results = worked_out(make(bench), changes)
    assert engine.met
    assert all(prepared.is_proven for prepared in engine.met.values())
    for number in rng.choice(COUNT, COMPARED, replace=False).tolist():
        assert_same(engine.one(changes[number]), results.outcome(number))


def test_every_rule_fires_for_some_variants_and_not_for_others(bench):
    """What never fires would come out the same without any array form."""
    rng = np.random.default_rng(5)
    draws = {**SETTINGS, **SWEEPS["targets and hours"][1], "site.air_temperature_c": between(0, 40)}
    drawn = {path: draw(rng) for path, draw in draws.items()}
    changes = [{path: values[number] for path, values in drawn.items()} for number in range(COUNT)]
    _, results = worked_out(with_sheets(bench), changes)
    for code in OVER_TIME:
        fired = {code in results.outcome(number).codes for number in range(COUNT)}
        assert fired == {True, False}, code


def test_currents_that_arrays_do_not_settle_are_tried_one_by_one(bench, monkeypatch):
    real, asked = over_time.dimmed_of, []

    def unsettled(block, steady, per_flux):
        points = real(block, steady, per_flux)
        return [*(replace(point, is_settled=np.zeros(block.count, dtype=bool)) for point in points[:-1]), points[-1]]

    def counted(*given):
        asked.append(given)
        return real_settled(*given)

    real_settled = over_time.settled_at_limit
    monkeypatch.setattr(over_time, "dimmed_of", unsettled)
    monkeypatch.setattr(over_time, "settled_at_limit", counted)
    changes = [{"fixture.dimming_fraction": level} for level in (0.4, 0.6, 0.8)]
    engine, results = worked_out(with_sheets(bench), changes)
    assert len(asked) == 5 * len(changes)
    for number, own in enumerate(changes):
        assert_same(engine.one(own), results.outcome(number))


def test_nothing_over_time_is_worked_out_where_no_sheet_asks(bench, monkeypatch):
    def never(*_):
        raise AssertionError

    monkeypatch.setattr(over_time, "dimmed_of", never)
    changes = [{"fixture.dimming_fraction": level} for level in (0.4, 0.6, 0.8)]
    engine, _ = worked_out(ageing_bench(bench), changes)
    assert all(prepared.is_proven for prepared in engine.met.values())
