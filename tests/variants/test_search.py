"""Inverse design: against brute force on invented catalogues, against the fixture drawn by hand, and as a workbook."""

import dataclasses
import math
import sys
from pathlib import Path

import pytest

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Part
from ledcalc.variants.search import DesignSpace, DesignTarget, find_fixtures, target_of_site
from ledcalc.variants.search.layouts import LayoutBook
from ledcalc.workbook.template import write_inputs

sys.path.insert(0, str(Path(__file__).parent))
from invented_catalogue import brute_force, catalogue_of

SIX = DesignSpace(least_boards_count=6, most_boards_count=6, least_height_m=0.24, most_height_m=0.34)


@pytest.fixture(scope="module")
def by_hand(bench):
    """The example as drawn by hand, and what it gives as a target."""
    results = lc.evaluate(bench)
    light = results.light.statistics
    return results, DesignTarget(mean_ppfd_umol_m2_s=light.mean, least_min_over_mean=light.min_over_mean)


@pytest.fixture(scope="module")
def found(bench, by_hand):
    """The best of one to nine boards, hung as high as by hand or higher."""
    space = DesignSpace(least_boards_count=1, most_boards_count=9, least_height_m=0.28, most_height_m=0.4)
    return find_fixtures(bench, by_hand[1], space, best_count=3)


def test_no_worse_than_the_fixture_drawn_by_hand(by_hand, found):
    hand, _ = by_hand
    best = found.best[0].results
    assert found.is_certain
    assert best.cost.owning_cost < hand.cost.owning_cost
    assert best.light.statistics.mean >= hand.light.statistics.mean
    assert best.light.statistics.min_over_mean >= hand.light.statistics.min_over_mean
    eight = next(one.results for one in found.best if len(one.results.boards.tag) == 8)
    assert eight.operating.mains_power_w < hand.operating.mains_power_w


def test_every_rule_is_obeyed_and_what_limits_is_said(found):
    for one in found.best:
        assert {finding.severity for finding in one.results.findings} <= {"note"}
        assert one.line.startswith("held by ")
        assert one.limits[0].used_fraction == max(limit.used_fraction for limit in one.limits)
        assert "mean PPFD" in one.line
    assert [one.objective for one in found.best] == sorted(one.objective for one in found.best)
    assert found.candidates_count == found.bounded_count + sum(one.count for one in found.refused)
    assert "no seed" in found.notes[0]
    # 1 x 1 board of 18 W cannot give what eight give.
    assert {one.reason for one in found.refused} == {"boards give too little light", "no layout is even enough"}


def test_the_dial_stands_at_the_lowest_step_that_does(found, by_hand):
    for one in found.best:
        lower = dataclasses.replace(one.fixture, current_setting_a=one.fixture.current_setting_a - 0.01)
        assert lc.evaluate(lower).light.statistics.mean < by_hand[1].mean_ppfd_umol_m2_s


def test_the_winner_opens_as_a_filled_workbook(found, tmp_path):
    best = found.best[0]
    write_inputs(best.fixture, tmp_path / "winner.xlsx")
    again = lc.evaluate(lc.read_workbook(tmp_path / "winner.xlsx"))
    for figure, value in best.results.summary().items():
        assert again.summary()[figure] == (value if isinstance(value, str) else pytest.approx(value, rel=1e-9))
    assert [one.code for one in again.findings] == [one.code for one in best.results.findings]
    assert again.cost.purchase.total_cost == pytest.approx(best.results.cost.purchase.total_cost)


@pytest.mark.parametrize("objective", ["owning_cost", "purchase_cost", "mains_power_w"])
def test_brute_force_on_a_small_invented_catalogue_finds_no_better(bench, objective):
    catalogue = catalogue_of(bench, seed=11, boards_count=4, drivers_count=3, sinks_count=2)
    target = DesignTarget(mean_ppfd_umol_m2_s=150.0, least_min_over_mean=0.5)
    space = dataclasses.replace(SIX, in_series_counts=(1, 2))
    agrees(catalogue, target, space, objective)


@pytest.mark.slow
def test_brute_force_on_twenty_boards_ten_drivers_and_six_sinks_finds_no_better(bench):
    catalogue = catalogue_of(bench, seed=7, boards_count=20, drivers_count=10, sinks_count=6)
    target = DesignTarget(mean_ppfd_umol_m2_s=170.0, least_min_over_mean=0.5, most_board_c=60.0)
    agrees(catalogue, target, SIX, "owning_cost")


def agrees(catalogue, target, space, objective):
    found = find_fixtures(catalogue, target, space, objective=objective, best_count=1)
    parts, value, count = brute_force(catalogue, target, space, LayoutBook(catalogue, target, space), objective)
    assert parts is not None
    assert found.is_certain
    assert found.candidates_count == count
    assert found.tried_count < 0.5 * count
    assert found.best[0].objective == pytest.approx(value, rel=1e-9)
    assert found.best[0].parts == parts


def test_limits_of_the_target_hold(bench, by_hand):
    _, target = by_hand
    space = dataclasses.replace(SIX, least_boards_count=6, most_boards_count=8, least_height_m=0.2)
    free = find_fixtures(bench, target, space, objective="mains_power_w", best_count=1).best[0]
    assert len(free.results.boards.tag) == 8
    cheap = dataclasses.replace(target, most_purchase_cost=180.0)
    held = find_fixtures(bench, cheap, space, objective="mains_power_w", best_count=1)
    assert len(held.best[0].results.boards.tag) == 6
    assert held.best[0].results.cost.purchase.total_cost <= 180.0
    assert {one.reason for one in held.refused} >= {"parts cost too much"}
    light = find_fixtures(bench, dataclasses.replace(target, most_weight_kg=1.0), space)
    assert light.best == ()
    assert {one.reason for one in light.refused} == {"too heavy"}
    cool = find_fixtures(bench, dataclasses.replace(target, most_board_c=30.0), space)
    assert cool.best == ()
    said = [one.reason for one in cool.near_misses] + [one.reason for one in cool.refused]
    assert any("hottest board" in reason or reason == "boards too hot" for reason in said)


def test_what_is_not_known_is_said(bench, by_hand):
    _, target = by_hand
    no_years = dataclasses.replace(bench, costs=dataclasses.replace(bench.costs, service_years=None))
    with pytest.raises(ArgumentError, match="no years of service"):
        find_fixtures(no_years, target, SIX)
    with pytest.raises(ArgumentError, match="no part has a price"):
        find_fixtures(dataclasses.replace(bench, parts=()), target, SIX, objective="purchase_cost")
    boards_unpriced = dataclasses.replace(bench, parts=(Part(tag="Channel 300", price=4.2),))
    found = find_fixtures(boards_unpriced, target, SIX)
    assert found.best == ()
    assert [one.reason for one in found.refused] == ["no price on the Parts sheet"]
    assert "18 AWG" in find_fixtures(bench, target, SIX, best_count=1).notes[1]
    with pytest.raises(ArgumentError, match="at least one of each"):
        find_fixtures(dataclasses.replace(bench, drivers=()), target, SIX)
    with pytest.raises(ArgumentError, match="target PPFD or DLI"):
        target_of_site(dataclasses.replace(bench, site=dataclasses.replace(bench.site, target_dli_low_mol_m2_d=None)))


def test_it_says_when_it_stops_before_the_end(bench, by_hand):
    space = dataclasses.replace(SIX, least_boards_count=6, most_boards_count=8)
    found = find_fixtures(bench, by_hand[1], space, best_count=3, most_tries=1)
    assert not found.is_certain
    assert found.tried_count == 1
    assert math.isfinite(found.least_possible)
