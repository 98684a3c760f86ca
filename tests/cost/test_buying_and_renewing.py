"""Packs, landed price, renewals and payback: by hand, and what must hold of any."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledcalc.cost import (
    CostOfOne,
    annuity_fraction,
    cost_per_dli_area,
    cost_per_flux,
    cost_per_mol,
    packs_to_buy,
    part_life_years,
    parts_bill,
    payback,
    payback_years,
    present_value,
    renewals_value,
)
from ledcalc.errors import ArgumentError


def test_packs_round_up_but_not_for_dust():
    assert packs_to_buy([10, 11, 0], pack_size=5).tolist() == [2, 3, 0]
    assert packs_to_buy(0.3, pack_size=0.1) == 3.0
    assert packs_to_buy(8, pack_size=10, spares=2) == 1.0
    assert packs_to_buy(8, pack_size=10, spares=3) == 2.0


def test_what_is_sold_by_measure_is_not_rounded():
    assert packs_to_buy([2.5, 3.0], pack_size=[0.0, 0.0], spares=0.5).tolist() == [3.0, 3.5]
    bill = parts_bill([2.5], [4.0])
    assert (bill.total_cost, bill.left_over.tolist()) == (10.0, [0.0])


@given(st.integers(0, 10_000), st.integers(1, 500), st.integers(0, 50))
def test_packs_hold_enough_and_no_pack_too_many(quantity, size, spares):
    packs = packs_to_buy(quantity, pack_size=size, spares=spares)
    assert (packs - 1) * size < quantity + spares <= packs * size or packs == 0 == quantity + spares


def test_a_landed_order_by_hand():
    """2 packs of 12.00 and one of 39.00: goods 63.00. Shipping 10.00; duty 5 % of 73.00: 3.65; tax 20 % of 76.65:
    15.33; 91.98 in all. With duty on the goods alone: 3.15, tax 15.23, 91.38 (hand calculation)."""
    bill = parts_bill(
        [8, 1], [12.0, 39.0], pack_size=[5, 1], spares=[1, 0], shipping=10.0, duty_fraction=0.05, tax_fraction=0.2
    )
    assert bill.packs.tolist() == [2, 1]
    assert bill.left_over.tolist() == [2, 0]
    assert (bill.goods_cost, bill.duty_cost, bill.tax_cost) == pytest.approx((63.0, 3.65, 15.33))
    assert bill.total_cost == pytest.approx(91.98)
    without = parts_bill(
        [9, 1],
        [12.0, 39.0],
        pack_size=[5, 1],
        shipping=10.0,
        duty_fraction=0.05,
        tax_fraction=0.2,
        duty_on_shipping=False,
    )
    assert without.total_cost == pytest.approx(91.38)


def test_a_column_a_variant():
    bill = parts_bill([[6, 10], [1, 1]], [[11.5], [39.0]], pack_size=[[4], [1]])
    assert bill.total_cost.tolist() == [2 * 11.5 + 39.0, 3 * 11.5 + 39.0]


def test_life_by_hours_or_by_years():
    assert part_life_years(lit_hours_a_year_h=5840, life_h=50_000) == pytest.approx(8.561644, abs=1e-6)
    assert part_life_years(lit_hours_a_year_h=0, life_h=50_000) == math.inf
    assert part_life_years(lit_hours_a_year_h=0, life_h=50_000, life_years=7) == 7.0


@given(st.floats(0.5, 40), st.floats(0.5, 40), st.floats(0, 0.5))
def test_renewals_one_by_one(life, service, rate):
    """Against adding up the present value of each renewal."""
    total, year = 0.0, life
    while year < service * (1 - 1e-9):
        total += present_value(100.0, year, discount_fraction=rate)
        year += life
    if math.isclose(year, service, rel_tol=1e-6):
        return  # a renewal on the last day is a matter of rounding
    assert renewals_value(100.0, life, service_years=service, discount_fraction=rate) == pytest.approx(total)


def test_what_never_wears_out_is_never_renewed():
    assert renewals_value([40.0, 40.0], [np.inf, 4.0], service_years=8.0).tolist() == [0.0, 40.0]


@given(st.floats(1, 40), st.floats(0, 0.4))
def test_an_annuity_is_worth_what_it_pays_for(years, rate):
    """Whole years: the present values of its payments add up to the sum."""
    whole = math.ceil(years)
    due = annuity_fraction(whole, discount_fraction=rate)
    payments = sum(present_value(due, year, discount_fraction=rate) for year in range(1, whole + 1))
    assert payments == pytest.approx(1.0)


@given(st.floats(1, 1000), st.floats(0.5, 1000), st.floats(0, 0.5))
def test_after_payback_savings_are_worth_the_cost(extra, saving, rate):
    years = payback_years(extra, saving, discount_fraction=rate)
    if math.isinf(years):
        # All savings for ever are worth less than the cost.
        assert saving / rate <= extra * (1 + 1e-9)
    else:
        worth = saving * years if rate < 1e-9 else saving * -math.expm1(-years * math.log1p(rate)) / rate
        assert worth == pytest.approx(extra, rel=1e-6)


def test_more_interest_never_pays_back_sooner():
    years = payback_years(100.0, 20.0, discount_fraction=np.linspace(0, 0.3, 31))
    assert (np.diff(years[np.isfinite(years)]) > 0).all()
    assert np.isinf(years[-1])


def one(name, purchase, yearly, currency="EUR"):
    return CostOfOne(name=name, purchase_cost=purchase, yearly_cost=yearly, currency=currency)


def test_payback_in_words():
    def said(a, b, rate=0.0):
        return payback(one("a", *a), one("b", *b), discount_fraction=rate).verdict

    assert said((200, 60), (260, 48)).endswith("paid back after 5.0 years")
    # ln(1 - 0.05 x 60 / 12) / -ln 1.05 = 5.896 (hand calculation)
    assert said((200, 60), (260, 48), 0.05).endswith("paid back after 5.0 years, 5.9 years at 5 % interest")
    assert said((200, 60), (260, 48), 0.25).endswith("never at 25 % interest, which takes more a year than is saved")
    assert "8.00 EUR a year more to run: never paid back" in said((200, 60), (260, 68))
    assert "as much to run: never paid back" in said((200, 60), (260, 60))
    assert said((200, 60), (200, 60)) == "b and a cost the same to buy and to run"
    assert said((200, 60), (200, 50)) == "both cost the same to buy; b costs 10.00 EUR a year less to run than a"


def test_payback_is_of_the_dearer_one_whichever_comes_first():
    first = payback(one("soft", 260, 48), one("hard", 200, 60))
    assert first == payback(one("hard", 200, 60), one("soft", 260, 48))
    assert (first.dearer, first.extra_cost, first.yearly_saving, first.years) == ("soft", 60, 12, 5.0)
    assert payback(one("a", 200, 60), one("b", 300, 70)).years == math.inf


def test_money_is_never_converted():
    with pytest.raises(ArgumentError, match=r"'USD'.*'EUR'.*not converted"):
        payback(one("a", 1, 1), one("b", 2, 1, "USD"))


def test_cost_of_light_by_hand():
    """180.00 for 240 umol/s: 0.75 each. 50.00 a year for 12 mol m-2 d-1 on 0.72 m2: 5.787 (hand calculation)."""
    assert cost_per_flux(180.0, 240.0) == 0.75
    assert cost_per_dli_area(50.0, 12.0, 0.72) == pytest.approx(5.787037, abs=1e-6)
    assert np.isnan(cost_per_mol(50.0, [0.0, 10.0])).tolist() == [True, False]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: packs_to_buy(-1),
        lambda: packs_to_buy(1, pack_size=-1),
        lambda: parts_bill([1, 2], [1, 2, 3]),
        lambda: parts_bill([1], [1], duty_fraction=-0.1),
        lambda: part_life_years(lit_hours_a_year_h=-1),
        lambda: part_life_years(lit_hours_a_year_h=1, life_h=0),
        lambda: renewals_value(1, 1, service_years=0),
        lambda: annuity_fraction(0),
        lambda: payback_years(1, 1, discount_fraction=-0.1),
        lambda: cost_per_flux(-1, 1),
    ],
)
def test_what_is_no_cost_is_refused(wrong):
    with pytest.raises(ArgumentError):
        wrong()
