"""Energy by the clock: against a printed tariff, sums done by hand, minute by minute, and what must hold of any."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.cost import (
    LitSpan,
    Tariff,
    TariffPeriod,
    cheapest_lights_on,
    energy_cost,
    energy_kwh,
    energy_year,
    mean_price_per_kwh,
    week_of_prices,
)
from ledcalc.errors import ArgumentError

WEEKDAYS, WEEKEND = (0, 1, 2, 3, 4), (5, 6)
WINTER, SUMMER = (11, 12, 1, 2, 3, 4), (5, 6, 7, 8, 9, 10)


def period(name, price, from_h, to_h, days=WEEKDAYS, months=tuple(range(1, 13))):
    return TariffPeriod(name=name, price_per_kwh=price, from_h=from_h, to_h=to_h, days=days, months=months)


# Regulated price plan of the Ontario Energy Board, time-of-use prices from 1 November 2023, in CAD a kWh: off-peak
# 0.087 (19 to 7 on weekdays, weekends), mid-peak 0.122, on-peak 0.182; in winter the peaks are at 7 to 11 and 17 to 19,
# mid between; in summer the other way round. Prices and hours from memory.
ONTARIO = Tariff(
    other_price_per_kwh=0.087,
    periods=(
        period("on-peak, winter morning", 0.182, 7, 11, months=WINTER),
        period("on-peak, winter evening", 0.182, 17, 19, months=WINTER),
        period("mid-peak, winter", 0.122, 11, 17, months=WINTER),
        period("on-peak, summer", 0.182, 11, 17, months=SUMMER),
        period("mid-peak, summer morning", 0.122, 7, 11, months=SUMMER),
        period("mid-peak, summer evening", 0.122, 17, 19, months=SUMMER),
    ),
    standing_charge_per_day=0.90,
)


def test_a_printed_tariff_by_hand():
    """100 W from 6 to 22 o'clock on all 181 days from November to April (hand calculation).

    A weekday holds 6 h on-peak, 6 h mid-peak and 4 h off-peak: 0.6 x 0.182 + 0.6 x 0.122 + 0.4 x 0.087 = 0.2172 CAD; a
    day of the weekend 1.6 x 0.087 = 0.1392. A week: 5 x 0.2172 + 2 x 0.1392 = 1.3644; 181 days: 181 / 7 x 1.3644 =
    35.279486.
    """
    span = LitSpan(photoperiod_h=16, days_count=181, power_w=100.0, months=WINTER, lights_on_h=6.0)
    year = energy_year(ONTARIO, [span])
    assert year.energy_kwh == pytest.approx(289.6)
    assert year.energy_cost == pytest.approx(35.279486, abs=1e-6)
    assert year.standing_cost == pytest.approx(328.5)
    assert year.total_cost == pytest.approx(363.779486, abs=1e-6)
    # 181 days x 5/7: 129.2857 weekdays with 0.4 kWh in the morning's peak.
    named = dict(zip(year.period_names, year.period_kwh.tolist(), strict=True))
    assert named["on-peak, winter morning"] == pytest.approx(51.714286, abs=1e-6)
    assert named["on-peak, summer"] == 0.0


def test_the_cheapest_start_of_the_printed_tariff():
    """16 h in winter: from 15 to 7 o'clock two hours of mid and two of on-peak are left, from 19 to 11 four of on-peak.

    By hand a weekday from 15 o'clock costs (2 x 0.122 + 2 x 0.182 + 12 x 0.087) / 16 = 0.10325 a kWh; Friday's light
    after midnight and Sunday's are off-peak in any case.
    """
    found = cheapest_lights_on(ONTARIO, photoperiod_h=16, months=WINTER)
    assert found.lights_on_h == 15.0
    assert found.price_per_kwh == pytest.approx((5 * 0.10325 + 2 * 0.087) / 7)
    # From 3 to 19 o'clock all peaks are lit.
    assert found.dearest_on_h == 3.0


def test_night_and_day_by_hand():
    """Night from 22 to 6; 12 h from 20: 2 h at 0.30, 8 h at 0.12 and 2 h at 0.30, mean 0.18 (hand calculation)."""
    tariff = Tariff(other_price_per_kwh=0.30, periods=(period("night", 0.12, 22, 6, days=tuple(range(7))),))
    assert mean_price_per_kwh(tariff, lights_on_h=20.0, photoperiod_h=12.0) == pytest.approx(0.18)


def test_a_photoperiod_runs_on_into_the_next_day_and_the_next_week():
    """Sunday from 20 o'clock for 8 h: the last four hours are Monday's (hand calculation)."""
    tariff = Tariff(other_price_per_kwh=1.0, periods=(period("Monday", 8.0, 0, 24, days=(0,)),))
    # Of 56 h a week Monday has 4 of Sunday's light and 4 of its own.
    assert mean_price_per_kwh(tariff, lights_on_h=20.0, photoperiod_h=8.0) == pytest.approx((48 + 8 * 8) / 56)


def test_demand_is_charged_by_power_and_days():
    tariff = Tariff(other_price_per_kwh=0.0, demand_charge_per_kw_day=0.5)
    year = energy_year(tariff, [LitSpan(photoperiod_h=12, days_count=100, power_w=2000.0)])
    assert year.demand_cost == pytest.approx(100.0)
    assert year.total_cost == pytest.approx(100.0)


def test_a_season_is_the_sum_of_its_spans():
    """Two spans of 100 days at 200 W for 16 h and of 50 days at 100 W for 12 h: 320 + 60 kWh (hand calculation)."""
    spans = [
        LitSpan(photoperiod_h=16, days_count=100, power_w=200.0, months=(1, 2, 3, 4)),
        LitSpan(photoperiod_h=12, days_count=50, power_w=100.0, months=(9, 10)),
    ]
    year = energy_year(Tariff(other_price_per_kwh=0.2), spans)
    assert year.energy_kwh == pytest.approx(380.0)
    assert year.energy_cost == pytest.approx(76.0)
    assert year.lit_h == pytest.approx(2200.0)


def test_variants_pass_through_as_an_array():
    span = LitSpan(photoperiod_h=16, days_count=181, power_w=np.array([100.0, 250.0]), months=WINTER, lights_on_h=6.0)
    year = energy_year(ONTARIO, [span])
    assert year.energy_cost == pytest.approx([35.279486, 88.198714], abs=1e-6)
    assert year.period_kwh.shape == (7, 2)


@given(power=st.floats(0, 1e4), hours=st.floats(0.1, 24), days=st.floats(0, 365), price=st.floats(0, 10))
def test_without_periods_it_is_the_flat_price(power, hours, days, price):
    year = energy_year(
        Tariff(other_price_per_kwh=price), [LitSpan(photoperiod_h=hours, days_count=days, power_w=power)]
    )
    assert year.total_cost == pytest.approx(energy_cost(energy_kwh(power, hours * days), price), rel=1e-12)


quarters = st.integers(0, 95).map(lambda count: count / 4)
days = st.sets(st.integers(0, 6), min_size=1).map(lambda found: tuple(sorted(found)))


@st.composite
def tariffs(draw):
    """Periods cut from one line of times, so that none overlap."""
    cuts = sorted(draw(st.sets(quarters, min_size=2, max_size=7)))
    prices = draw(st.lists(st.integers(1, 50), min_size=len(cuts), max_size=len(cuts)))
    periods = tuple(
        period(str(start), price / 100, start, end, days=draw(days))
        for start, end, price in zip(cuts, [*cuts[1:], cuts[0]], prices, strict=True)
    )
    return Tariff(other_price_per_kwh=draw(st.integers(1, 50)) / 100, periods=periods)


def counted_price(tariff, start, hours):
    """Return the mean price by counting every quarter of an hour of the week, one by one."""
    paid, counted = 0.0, 0
    for day in range(7):
        for quarter in range(round(4 * hours)):
            moment = (24 * day + start + quarter / 4) % 168
            weekday, hour = int(moment // 24), moment % 24
            price = tariff.other_price_per_kwh
            for one in tariff.periods:
                inside = one.from_h <= hour < one.to_h or (one.to_h < one.from_h and not one.to_h <= hour < one.from_h)
                price = one.price_per_kwh if inside and weekday in one.days else price
            paid, counted = paid + price, counted + 1
    return paid / counted


@settings(deadline=None)
@given(tariff=tariffs(), start=quarters, hours=st.integers(1, 96).map(lambda count: count / 4))
def test_against_counting_every_quarter_of_an_hour(tariff, start, hours):
    assert mean_price_per_kwh(tariff, lights_on_h=start, photoperiod_h=hours) == pytest.approx(
        counted_price(tariff, start, hours)
    )


@settings(deadline=None)
@given(tariff=tariffs(), hours=st.integers(1, 96).map(lambda count: count / 4))
def test_no_start_is_cheaper_than_the_cheapest(tariff, hours):
    every = mean_price_per_kwh(tariff, lights_on_h=np.arange(0, 24, 0.05), photoperiod_h=hours)
    found = cheapest_lights_on(tariff, photoperiod_h=hours)
    assert found.price_per_kwh <= every.min() + 1e-12
    assert found.dearest_price_per_kwh >= every.max() - 1e-12


def test_overlapping_periods_are_named_with_the_hour():
    tariff = Tariff(other_price_per_kwh=0.1, periods=(period("a", 0.2, 7, 11), period("b", 0.3, 10, 12, days=(2,))))
    with pytest.raises(ArgumentError, match=r"'a', 'b'.*Wednesday from 10 h in month 1"):
        week_of_prices(tariff, 1)


def test_periods_of_different_months_do_not_overlap():
    tariff = Tariff(
        other_price_per_kwh=0.1,
        periods=(period("a", 0.2, 7, 11, months=WINTER), period("b", 0.3, 7, 11, months=SUMMER)),
    )
    assert 0.2 in week_of_prices(tariff, 1).price_per_kwh
    assert 0.3 in week_of_prices(tariff, 7).price_per_kwh


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: period("a", -0.1, 7, 11),
        lambda: period("a", 0.1, 7, 7),
        lambda: period("a", 0.1, 24, 0),
        lambda: period("a", 0.1, 7, 25),
        lambda: period("a", 0.1, 7, 11, days=()),
        lambda: period("a", 0.1, 7, 11, months=(13,)),
        lambda: Tariff(other_price_per_kwh=-1),
        lambda: mean_price_per_kwh(ONTARIO, lights_on_h=24.0, photoperiod_h=8),
        lambda: cheapest_lights_on(ONTARIO, photoperiod_h=25),
        lambda: energy_year(ONTARIO, []),
        lambda: energy_year(ONTARIO, [LitSpan(photoperiod_h=8, days_count=32, power_w=1.0, months=(1,))]),
        lambda: energy_year(ONTARIO, [LitSpan(photoperiod_h=8, days_count=1, power_w=1.0, months=())]),
        lambda: energy_year(ONTARIO, [LitSpan(photoperiod_h=8, days_count=1, power_w=-1.0)]),
    ],
)
def test_what_is_no_tariff_is_refused(wrong):
    with pytest.raises(ArgumentError):
        wrong()
