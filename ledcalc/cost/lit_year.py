"""A year of light at a tariff: where the photoperiod stands in the day, and what its energy costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.cost.energy import WATTS_PER_KW, energy_kwh
from ledcalc.cost.tariff import ALL_MONTHS, DAYS_IN_MONTH, HOURS_PER_DAY, HOURS_PER_WEEK, Tariff, week_of_prices
from ledcalc.errors import ArgumentError

__all__ = [
    "OTHER_HOURS",
    "EnergyYear",
    "LightsOn",
    "LitSpan",
    "cheapest_lights_on",
    "energy_year",
    "mean_price_per_kwh",
]

DAYS_PER_YEAR = 365.0
OTHER_HOURS = "other hours"
DAY_STARTS_H = HOURS_PER_DAY * np.arange(7.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LitSpan:
    """Months lit alike: how many days, how many hours a day, at which mains power (one number, or one a variant).

    ``lights_on_h``: when the light comes on, 0 to below 24; None: when it costs least.
    """

    photoperiod_h: float
    days_count: float
    power_w: Numbers
    months: tuple[int, ...] = ALL_MONTHS
    lights_on_h: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightsOn:
    """When the light comes on at the least price, and at the highest: h of the day, money a kWh."""

    lights_on_h: float
    price_per_kwh: float
    dearest_on_h: float
    dearest_price_per_kwh: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EnergyYear:
    """Energy and money of a year. ``lights_on_h``, ``price_per_kwh``: of each span, the price being its mean.

    ``period_names`` are the tariff's periods and, last, ``OTHER_HOURS``; ``period_kwh`` and ``period_cost`` have a row
    each. ``energy_cost``, ``standing_cost`` and ``demand_cost`` add up to ``total_cost``.
    """

    lit_h: float
    energy_kwh: Numbers
    energy_cost: Numbers
    standing_cost: float
    demand_cost: Numbers
    total_cost: Numbers
    lights_on_h: tuple[float, ...]
    price_per_kwh: tuple[float, ...]
    period_names: tuple[str, ...]
    period_kwh: FloatArray
    period_cost: FloatArray


def mean_price_per_kwh(
    tariff: Tariff, *, lights_on_h: ArrayLike, photoperiod_h: float, months: Sequence[int] = ALL_MONTHS
) -> Numbers:
    """Return the mean price of energy drawn evenly through a photoperiod that starts at the same time every day.

    Parameters
    ----------
    tariff : prices by the hour
    lights_on_h : h of the day, from 0 to below 24
    photoperiod_h : h, above 0, at most 24; it may run past midnight
    months : those lit, each counted by its days

    Returns
    -------
    money a kWh, in the shape of ``lights_on_h``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or periods that overlap

    Examples
    --------
    >>> from ledcalc.cost.tariff import TariffPeriod
    >>> night = Tariff(other_price_per_kwh=0.30, periods=(TariffPeriod(name="n", price_per_kwh=0.10, to_h=6),))
    >>> mean_price_per_kwh(night, lights_on_h=[0.0, 8.0], photoperiod_h=12.0).round(3).tolist()
    [0.2, 0.3]
    """
    starts = numbers("lights_on_h", lights_on_h, at_least=0, below=HOURS_PER_DAY)
    hours = float(numbers("photoperiod_h", photoperiod_h, above=0, at_most=HOURS_PER_DAY))
    shares = _shares(months)
    if not tariff.periods:
        return answer(np.full(starts.shape, tariff.other_price_per_kwh))
    paid = np.zeros(starts.shape)
    for month, share in shares:
        week = week_of_prices(tariff, month)
        paid = paid + share * (_hours_lit(week.edges_h, starts, hours) @ week.price_per_kwh)
    return answer(paid / (7.0 * hours))


def cheapest_lights_on(tariff: Tariff, *, photoperiod_h: float, months: Sequence[int] = ALL_MONTHS) -> LightsOn:
    """Return when an unbroken photoperiod starts to cost least; exact, not searched in steps.

    Parameters
    ----------
    tariff : prices by the hour
    photoperiod_h : h, above 0, at most 24
    months : those lit

    Returns
    -------
    LightsOn; of several starts that cost the same, the earliest in the day

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or periods that overlap

    Validity
    --------
    One start for every day of the week and month. Between two starts at which neither end of the photoperiod crosses a
    change of price the cost is a straight line, so that a start or end at such a change is among the cheapest.

    Examples
    --------
    >>> from ledcalc.cost.tariff import TariffPeriod
    >>> peak = TariffPeriod(name="peak", price_per_kwh=0.4, from_h=17, to_h=20)
    >>> cheapest_lights_on(Tariff(other_price_per_kwh=0.2, periods=(peak,)), photoperiod_h=16.0).lights_on_h
    0.0
    """
    hours = float(numbers("photoperiod_h", photoperiod_h, above=0, at_most=HOURS_PER_DAY))
    changes = np.concatenate([week_of_prices(tariff, month).edges_h for month, _ in _shares(months)])
    starts = np.concatenate([changes, changes - hours]) % HOURS_PER_DAY
    # A start a rounding below 24 is one at 0.
    starts = np.unique(np.round(starts, 9) % HOURS_PER_DAY)
    prices = np.asarray(mean_price_per_kwh(tariff, lights_on_h=starts, photoperiod_h=hours, months=months))
    # The first of those that differ by rounding alone.
    least = int(np.flatnonzero(prices <= prices.min() * (1.0 + 1e-12))[0])
    most = int(np.flatnonzero(prices >= prices.max() * (1.0 - 1e-12))[0])
    return LightsOn(
        lights_on_h=float(starts[least]),
        price_per_kwh=float(prices[least]),
        dearest_on_h=float(starts[most]),
        dearest_price_per_kwh=float(prices[most]),
    )


def energy_year(tariff: Tariff, spans: Sequence[LitSpan]) -> EnergyYear:
    """Return energy and money of a year that consists of spans lit alike.

    Parameters
    ----------
    tariff : prices by the hour, and what is charged by the day
    spans : at least one

    Returns
    -------
    EnergyYear; arrays of variants pass through where ``power_w`` is one

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, a span with more days than its months have, or periods that
    overlap

    Validity
    --------
    A span's days lie evenly over its months and weekdays. The demand charge counts the power of the days lit alone.

    Examples
    --------
    >>> year = energy_year(Tariff(other_price_per_kwh=0.22), [LitSpan(photoperiod_h=16, days_count=150, power_w=100.0)])
    >>> round(year.energy_kwh, 6), round(year.total_cost, 6)
    (240.0, 52.8)
    """
    if not spans:
        raise ArgumentError("spans", 0, "at least one span")
    lit, demand = 0.0, np.zeros(())
    starts, prices, shares, energies = list[float](), list[float](), list[FloatArray](), list[FloatArray]()
    for span in spans:
        hours, days = _checked(span)
        start = span.lights_on_h
        if start is None and not tariff.periods:
            start = 0.0
        elif start is None:
            start = cheapest_lights_on(tariff, photoperiod_h=hours, months=span.months).lights_on_h
        lit += hours * days
        demand = demand + tariff.demand_charge_per_kw_day * np.asarray(span.power_w) / WATTS_PER_KW * days
        starts.append(start)
        prices.append(float(mean_price_per_kwh(tariff, lights_on_h=start, photoperiod_h=hours, months=span.months)))
        shares.append(_period_shares(tariff, start, hours, span.months))
        energies.append(np.asarray(energy_kwh(span.power_w, hours * days)))
    kwh = sum(energies, np.zeros(()))
    by_period = np.tensordot(np.array(shares).T, np.array(np.broadcast_arrays(*energies)), axes=1)
    rates = np.array([*(period.price_per_kwh for period in tariff.periods), tariff.other_price_per_kwh])
    costs = by_period * rates.reshape((-1,) + (1,) * np.ndim(kwh))
    standing = tariff.standing_charge_per_day * DAYS_PER_YEAR
    return EnergyYear(
        lit_h=lit,
        energy_kwh=answer(kwh),
        energy_cost=answer(costs.sum(axis=0)),
        standing_cost=standing,
        demand_cost=answer(demand),
        total_cost=answer(costs.sum(axis=0) + standing + demand),
        lights_on_h=tuple(starts),
        price_per_kwh=tuple(prices),
        period_names=(*(period.name for period in tariff.periods), OTHER_HOURS),
        period_kwh=by_period,
        period_cost=costs,
    )


def _checked(span: LitSpan) -> tuple[float, float]:
    hours = float(numbers("photoperiod_h", span.photoperiod_h, above=0, at_most=HOURS_PER_DAY))
    numbers("power_w", span.power_w, at_least=0)
    # A leap year has one more.
    most = sum(DAYS_IN_MONTH[month - 1] for month in set(span.months)) + (2 in span.months)
    return hours, float(numbers("days_count", span.days_count, at_least=0, at_most=most))


def _shares(months: Sequence[int]) -> list[tuple[int, float]]:
    """Return each month and its share of the days."""
    if not months or not set(months) <= set(ALL_MONTHS):
        raise ArgumentError("months", tuple(months), "some of 1 to 12")
    days = {month: DAYS_IN_MONTH[month - 1] for month in sorted(set(months))}
    return [(month, count / sum(days.values())) for month, count in days.items()]


def _hours_lit(edges_h: FloatArray, starts_h: FloatArray, photoperiod_h: float) -> FloatArray:
    """Return the hours lit a week in each stretch, shape (..., stretches); Sunday's light runs on into Monday."""
    begin = (starts_h[..., None] + DAY_STARTS_H)[..., None]
    lit = np.zeros((*starts_h.shape, edges_h.size - 1))
    for shift in (0.0, -HOURS_PER_WEEK):
        shared = np.minimum(begin + photoperiod_h + shift, edges_h[1:]) - np.maximum(begin + shift, edges_h[:-1])
        lit = lit + np.maximum(shared, 0.0).sum(axis=-2)
    return lit


def _period_shares(tariff: Tariff, start_h: float, hours: float, months: Sequence[int]) -> FloatArray:
    """Return the share of the hours lit that falls in each period, and last that of hours that no period names."""
    found = np.zeros(len(tariff.periods) + 1)
    if not tariff.periods:
        return np.ones(1)
    for month, share in _shares(months):
        week = week_of_prices(tariff, month)
        # Period -1, no period, is the last entry.
        np.add.at(found, list(week.period), share * _hours_lit(week.edges_h, np.asarray(start_h), hours))
    return found / (7.0 * hours)
