"""Few boards run hard against many run soft, on the example's driver; and what else two fixtures can differ in."""

import dataclasses

import pytest

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.variants.compare import compare_fixtures
from ledcalc.variants.input_differences import input_differences


def with_boards(bench, columns, current_a):
    """Two rows of boards on home runs like the example's."""
    model = bench.cables[0]
    cables = tuple(
        dataclasses.replace(model, tag=f"W{n}", to_node=f"B{n}", sleeve=None, gland=None)
        for n in range(1, 2 * columns + 1)
    )
    return dataclasses.replace(
        bench,
        columns_count=columns,
        column_pitch_m=max(1.2 / columns, 0.25),
        build=dataclasses.replace(bench.build, rail_length_m=1.35),
        cables=cables,
        current_setting_a=current_a,
        current_log=(),
        light_readings=(),
        origin=None,
    )


@pytest.fixture(scope="module")
def hard_and_soft(bench):
    """Six boards near their rating of 0.8 A, ten at 60 % of it."""
    hard, soft = with_boards(bench, 3, 6 * 0.78), with_boards(bench, 5, 10 * 0.48)
    return compare_fixtures(lc.evaluate(hard), lc.evaluate(soft), one_name="hard", other_name="soft")


def of(comparison, figure):
    return next(one for one in comparison.figures if one.figure == figure)


def test_soft_is_cooler_and_gives_more_light_a_joule_and_costs_more(hard_and_soft):
    load = of(hard_and_soft, "load_fraction")
    assert (load.one, load.other) == (pytest.approx(0.975, abs=0.01), pytest.approx(0.6, abs=0.01))
    for figure in ("dc_efficacy_umol_per_j", "highest_board_temperature_c", "least_margin_c", "load_fraction"):
        assert of(hard_and_soft, figure).better == "soft"
    bought = of(hard_and_soft, "purchase_cost")
    # Four boards and four sinks more: 4 x (11.50 + 4.20) = 62.80 (hand calculation).
    assert bought.other - bought.one == pytest.approx(62.8)
    assert bought.better == "hard"


def test_payback_is_that_of_what_buying_and_running_cost(hard_and_soft):
    running, light = of(hard_and_soft, "running_cost"), of(hard_and_soft, "canopy_photons_mol")
    paid = hard_and_soft.payback
    assert paid.dearer == "soft"
    assert paid.extra_cost == pytest.approx(62.8)
    assert paid.yearly_saving == pytest.approx(running.one - running.other)
    # For the same light soft is lit for fewer hours: energy and renewals shrink with them.
    share = light.one / light.other
    assert share < 0.98
    same = hard_and_soft.same_light_payback
    assert same.yearly_saving == pytest.approx(running.one - share * running.other)
    assert same.years == pytest.approx(62.8 / same.yearly_saving)
    assert f"soft is lit {100 * share:.0f} % of the hours of hard" in hard_and_soft.payback_note


def test_every_input_that_differs_is_named(hard_and_soft):
    said = {(one.sheet, one.row, one.field): (one.one, one.other) for one in hard_and_soft.inputs}
    assert said.pop(("Fixture", "", "Current setting")) == ("4.68 A", "4.8 A")
    assert said.pop(("Fixture", "", "Columns (along x)")) == ("3", "5")
    assert said.pop(("Fixture", "", "Column pitch")) == ("0.4 m", "0.25 m")
    assert said == {("Cables", f"W{n}", ""): ("not there", "there") for n in range(7, 11)}


def test_the_line_says_why_one_wins(hard_and_soft):
    assert hard_and_soft.winner in {"hard", "soft"}
    assert hard_and_soft.decided_by == "owning_cost_per_mol"
    assert hard_and_soft.line.startswith(f"{hard_and_soft.winner} wins by owning it, for a mole on the crop ")
    paid = hard_and_soft.same_light_payback
    late = ", which is later than its 10 years of service" if paid.years > 10 else ""
    assert f"For the same light, {paid.verdict}{late}." in hard_and_soft.line
    for word in ("Better: ", "Worse: ", "photon efficacy on the crop", "hottest board"):
        assert word in hard_and_soft.line
    owning = of(hard_and_soft, "owning_cost_per_mol")
    assert owning.better == hard_and_soft.winner


def test_turned_round_the_same_wins(bench, hard_and_soft):
    hard, soft = with_boards(bench, 3, 6 * 0.78), with_boards(bench, 5, 10 * 0.48)
    turned = compare_fixtures(lc.evaluate(soft), lc.evaluate(hard), one_name="soft", other_name="hard")
    assert turned.winner == hard_and_soft.winner
    assert turned.payback == hard_and_soft.payback
    assert {one.figure for one in turned.figures} == {one.figure for one in hard_and_soft.figures}


def test_a_stop_loses_whatever_it_costs(bench, bench_results):
    hot = lc.evaluate(lc.with_values(bench, {"boards[0].rated_current_a": 0.5}))
    found = compare_fixtures(hot, bench_results, one_name="hot", other_name="as it is")
    assert (found.winner, found.decided_by) == ("as it is", "findings")
    assert found.findings["board-over-current"] == ("stop", "")
    assert found.line == "as it is wins: hot has a finding of severity stop. To act on at as it is: light-uneven."
    both = compare_fixtures(hot, hot, one_name="a", other_name="b")
    assert (both.winner, both.decided_by) == ("", "findings")


def test_the_same_fixture_twice(bench_results):
    found = compare_fixtures(bench_results, bench_results, one_name="a", other_name="b")
    assert (found.inputs, found.figures, found.findings, found.winner) == ((), (), {}, "")
    assert "mean PPFD" in found.alike
    assert found.line.endswith("is alike")
    assert found.same_light_payback is None
    assert found.payback.verdict == "b and a cost the same to buy and to run"


def test_without_parts_there_is_no_payback(bench, bench_results):
    bare = lc.evaluate(dataclasses.replace(bench, parts=(), current_setting_a=3.0, origin=None))
    found = compare_fixtures(bench_results, bare, one_name="a", other_name="bare")
    assert found.payback is None
    assert found.payback_note == "no payback: the Parts sheet of bare is empty"
    assert found.decided_by == "energy_cost_per_mol"


def test_names_and_currencies(bench, bench_results):
    with pytest.raises(ArgumentError, match="another name"):
        compare_fixtures(bench_results, bench_results)
    other = lc.evaluate(lc.with_values(bench, {"site.currency": "EUR"}))
    with pytest.raises(ArgumentError, match="not converted"):
        compare_fixtures(bench_results, other, one_name="a", other_name="b")


def test_rows_are_paired_by_tag_whatever_their_order(bench):
    turned = dataclasses.replace(bench, cables=bench.cables[::-1], parts=bench.parts[1:])
    (found,) = input_differences(bench, turned)
    assert (found.sheet, found.row, found.one, found.other) == ("Parts", "Bench bar 250", "there", "not there")
