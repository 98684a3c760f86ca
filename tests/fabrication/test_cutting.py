"""Cutting plans against brute force, bounds, and what must hold of any plan."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.fabrication import Stock, cut_length, cut_plan
from ledcalc.fabrication.cutting_patterns import _dual_bound
from ledcalc.fabrication.cutting_task import Task

MILLIMETRES = st.integers(min_value=150, max_value=1200)
KERFS = st.sampled_from([0.0, 0.003])


def partitions(items):
    """Every way to lay items into bars that cannot be told apart."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for bars in partitions(rest):
        yield [[first], *bars]
        for n, bar in enumerate(bars):
            yield [*bars[:n], [first, *bar], *bars[n + 1 :]]


def least_cost_by_trying_all(pieces_mm, stocks_mm, kerf_mm):
    """Stocks as (length, price, limit). Each bar takes any stock that holds it, within the limits."""
    best = math.inf
    for bars in partitions(pieces_mm):
        needs = [sum(bar) + kerf_mm * (len(bar) - 1) for bar in bars]
        if len(stocks_mm) == 1:
            length, price, limit = stocks_mm[0]
            if max(needs) <= length and len(bars) <= limit:
                best = min(best, price * len(bars))
            continue
        for choice in itertools.product(range(len(stocks_mm)), repeat=len(bars)):
            if all(need <= stocks_mm[one][0] for need, one in zip(needs, choice, strict=True)) and all(
                choice.count(one) <= stock[2] for one, stock in enumerate(stocks_mm)
            ):
                best = min(best, sum(stocks_mm[one][1] for one in choice))
    return best


def assert_plan_holds(plan, pieces_m, stocks, kerf_m):
    assert sorted(piece for bar in plan.bars for piece in bar.pieces) == list(range(len(pieces_m)))
    for bar in plan.bars:
        assert bar.pieces_m == tuple(pieces_m[piece] for piece in bar.pieces)
        assert bar.stock_m == stocks[bar.stock].length_m
        cuts = kerf_m * (len(bar.pieces) - 1)
        assert sum(bar.pieces_m) + cuts <= bar.stock_m + 1e-7
        last_cut = kerf_m if bar.offcut_m > 0 else 0.0
        assert sum(bar.pieces_m) + cuts + last_cut + bar.offcut_m <= bar.stock_m + 1e-7
    for one, stock in enumerate(stocks):
        assert stock.limit is None or sum(bar.stock == one for bar in plan.bars) <= stock.limit
    prices = [stock.length_m if stock.price is None else stock.price for stock in stocks]
    assert plan.cost == pytest.approx(sum(prices[bar.stock] for bar in plan.bars))
    assert plan.stock_used_count == len(plan.bars)
    assert plan.waste_m == pytest.approx(plan.stock_used_m - sum(pieces_m))
    assert plan.least_cost <= plan.cost * (1 + 1e-9)
    assert plan.baseline_cost is None or plan.cost <= plan.baseline_cost * (1 + 1e-12)
    assert plan.is_proven == (plan.gap_fraction == 0.0)


@given(st.lists(MILLIMETRES, min_size=1, max_size=7), KERFS)
@settings(max_examples=40, deadline=None)
def test_small_plans_are_the_least_of_all_there_are(pieces_mm, kerf_m):
    pieces = [one / 1000 for one in pieces_mm]
    stocks = [Stock(length_m=1.2)]
    plan = cut_plan(pieces, stocks, kerf_m=kerf_m)
    assert_plan_holds(plan, pieces, stocks, kerf_m)
    assert plan.is_proven
    best = least_cost_by_trying_all(pieces_mm, [(1200, 1.2, 99)], round(kerf_m * 1000))
    assert plan.cost == pytest.approx(best)


@given(
    st.lists(MILLIMETRES, min_size=1, max_size=5),
    KERFS,
    st.integers(min_value=1, max_value=9),
    st.integers(min_value=1, max_value=9),
    st.integers(min_value=0, max_value=3),
)
@settings(max_examples=40, deadline=None)
def test_small_plans_of_several_stocks_are_the_least_of_all_there_are(pieces_mm, kerf_m, price, other_price, limit):
    pieces = [one / 1000 for one in pieces_mm]
    stocks = [
        Stock(length_m=1.2, price=float(price)),
        Stock(length_m=0.7, price=other_price / 2, limit=limit),
        Stock(length_m=2.0, price=8.25, limit=1),
    ]
    plan = cut_plan(pieces, stocks, kerf_m=kerf_m)
    assert_plan_holds(plan, pieces, stocks, kerf_m)
    assert plan.is_proven
    tried = [(1200, float(price), 99), (700, other_price / 2, limit), (2000, 8.25, 1)]
    assert plan.cost == pytest.approx(least_cost_by_trying_all(pieces_mm, tried, round(kerf_m * 1000)))


@given(st.lists(MILLIMETRES, min_size=8, max_size=40), KERFS)
@settings(max_examples=20, deadline=None)
def test_plans_of_any_size_hold(pieces_mm, kerf_m):
    pieces = [one / 1000 for one in pieces_mm]
    stocks = [Stock(length_m=2.0, price=7.0), Stock(length_m=1.25, price=5.0, limit=6)]
    plan = cut_plan(pieces, stocks, kerf_m=kerf_m)
    assert_plan_holds(plan, pieces, stocks, kerf_m)
    # No plan can be cheaper than its pieces' length at the better price by the metre.
    assert plan.cost >= sum(pieces) * 7.0 / (2.0 + kerf_m) - 1e-9
    again = cut_plan(pieces, stocks, kerf_m=kerf_m)
    assert again == plan


@pytest.mark.parametrize("seed", range(4))
def test_sixty_pieces(seed):
    """Sixty pieces of all different lengths: never fewer bars than the length asks for, and proven."""
    pieces = np.round(np.random.default_rng(seed).uniform(0.3, 1.2, 60), 3).tolist()
    stocks = [Stock(length_m=2.4)]
    plan = cut_plan(pieces, stocks, kerf_m=0.003)
    assert_plan_holds(plan, pieces, stocks, 0.003)
    least = math.ceil((sum(pieces) + 60 * 0.003) / 2.403 - 1e-9)
    assert least <= plan.stock_used_count <= least + 1
    assert plan.least_cost >= 2.4 * least - 1e-9
    assert plan.is_proven


def test_a_thorough_plan_is_no_worse():
    pieces = np.round(np.random.default_rng(100).uniform(0.2, 1.2, 30), 3).tolist()
    stocks = [Stock(length_m=2.4, price=9.0, limit=4), Stock(length_m=1.5, price=6.0), Stock(length_m=3.0, price=12.5)]
    plan = cut_plan(pieces, stocks, kerf_m=0.003)
    thorough = cut_plan(pieces, stocks, kerf_m=0.003, thorough=True)
    assert_plan_holds(thorough, pieces, stocks, 0.003)
    assert thorough.cost <= plan.cost + 1e-9
    assert thorough.cost >= plan.least_cost - 1e-9


@given(
    st.lists(MILLIMETRES, min_size=1, max_size=6),
    st.lists(st.floats(min_value=0, max_value=5), min_size=6, max_size=6),
    st.floats(min_value=-2, max_value=0),
    st.integers(min_value=0, max_value=2),
)
@settings(max_examples=40, deadline=None)
def test_any_prices_whatever_give_a_bound(pieces_mm, values, change, limit):
    """Lagrange: prices of pieces at least 0 and of limits at most 0 bound the cost, settled or not."""
    pieces = [one / 1000 for one in pieces_mm]
    task = Task.of(pieces, 0.003, [1.2, 0.7], [3.0, 2.0], [len(pieces), limit])
    bound = _dual_bound(task, np.array(values[: len(task.sizes)]), np.array([0.0, change]))
    assert bound <= least_cost_by_trying_all(pieces_mm, [(1200, 3.0, 99), (700, 2.0, limit)], 3) + 1e-9


def test_the_baseline_fills_a_stock_to_its_end():
    plan = cut_plan([0.998, 0.998, 0.5], [Stock(length_m=2.0)], kerf_m=0.004)
    assert (plan.baseline_count, plan.stock_used_count) == (2, 2)
    assert cut_plan([0.998, 0.998], [Stock(length_m=2.0)], kerf_m=0.004).baseline_count == 1


def test_a_plan_better_than_by_hand():
    """Twice 0.8 + 0.6 + 0.6 fills two stocks of 2.0 m; longest first puts 0.8 + 0.8 together and needs a third."""
    plan = cut_plan([0.8, 0.8, 0.6, 0.6, 0.6, 0.6], [Stock(length_m=2.0)])
    assert (plan.stock_used_count, plan.baseline_count, plan.is_proven) == (2, 3, True)
    assert plan.waste_m == pytest.approx(0.0)


def test_kerf_costs_a_bar():
    """Three pieces of 0.8 m make a stock of 2.4 m whole without a kerf; each cut of 2 mm then takes what is missing."""
    assert cut_plan([0.8] * 3, [Stock(length_m=2.4)]).stock_used_count == 1
    assert cut_plan([0.8] * 3, [Stock(length_m=2.4)], kerf_m=0.002).stock_used_count == 2
    assert cut_plan([0.8] * 3, [Stock(length_m=2.404)], kerf_m=0.002).stock_used_count == 1


def test_inches_add_up():
    """Eight feet are four times two feet, and 1/16 inch is no whole number of tenths of a millimetre."""
    inch = 0.0254
    assert cut_plan([24 * inch] * 4, [Stock(length_m=96 * inch)]).stock_used_count == 1
    assert cut_plan([191 / 16 * inch, 193 / 16 * inch], [Stock(length_m=24 * inch)]).stock_used_count == 1


def test_prices_decide():
    """One stock of 2 m for 10, or two of 1 m for 4 each."""
    cheap = [Stock(length_m=2.0, price=10.0), Stock(length_m=1.0, price=4.0)]
    plan = cut_plan([0.9, 0.9], cheap)
    assert [bar.stock for bar in plan.bars] == [1, 1]
    few = [Stock(length_m=2.0, price=10.0), Stock(length_m=1.0, price=4.0, limit=1)]
    assert [bar.stock for bar in cut_plan([0.9, 0.9], few).bars] == [0]


def test_limits_that_defeat_first_fit_are_met():
    pieces, stocks = [0.8, 0.8, 0.6, 0.6, 0.6, 0.6], [Stock(length_m=2.0, limit=2)]
    plan = cut_plan(pieces, stocks)
    assert_plan_holds(plan, pieces, stocks, 0.0)
    assert plan.baseline_count is None
    assert plan.baseline_cost is None


def test_spools():
    """Wire from spools of 30 m: pieces of 7.5 m go four a spool."""
    plan = cut_plan([7.5] * 9, [Stock(length_m=30.0, price=18.0)])
    assert plan.stock_used_count == 3
    assert plan.cost == 54.0


@pytest.mark.parametrize(
    ("pieces", "stocks", "words"),
    [
        ([2.5], [Stock(length_m=2.4)], "longest stock"),
        ([2.0], [Stock(length_m=2.4, limit=0), Stock(length_m=1.0)], "longest stock"),
        ([1.0] * 5, [Stock(length_m=2.4, limit=2)], "more stock"),
        ([1.0] * 5, [Stock(length_m=2.5, limit=2)], "more stock"),
        ([1.0], [Stock(length_m=2.4, price=3.0), Stock(length_m=1.2)], "prices for all"),
        ([1.0], [], "at least one stock"),
        ([], [Stock(length_m=2.4)], "1 to 2000"),
        ([0.0], [Stock(length_m=2.4)], "above 0"),
        ([1.0], [Stock(length_m=2.4, limit=-1)], "limit"),
    ],
)
def test_impossible_tasks_are_refused(pieces, stocks, words):
    with pytest.raises(ArgumentError, match=words):
        cut_plan(pieces, stocks)


@given(
    st.floats(min_value=0, max_value=20),
    st.floats(min_value=0, max_value=1),
    st.sampled_from([0.0, 0.001, 0.005, 0.01]),
)
def test_cut_length_is_rounded_up_by_less_than_a_step(path, spare, step):
    exact = path * (1 + spare) + 0.1 + 0.02
    cut = cut_length(path, service_loops_m=0.1, strip_m=0.02, spare_fraction=spare, step_m=step)
    assert exact - 1e-8 <= cut <= exact + step + 1e-8


def test_cut_lengths_of_many_wires_are_those_of_each():
    paths = [0.3, 1.25, 4.0]
    many = cut_length(paths, strip_m=0.02, spare_fraction=0.05)
    assert many.tolist() == [cut_length(path, strip_m=0.02, spare_fraction=0.05) for path in paths]
    assert cut_length(1.0, step_m=0.1) == 1.0
    assert isinstance(cut_length(1.0), float)


def test_a_negative_spare_is_refused():
    with pytest.raises(ArgumentError, match="spare_fraction"):
        cut_length(1.0, spare_fraction=-0.1)
