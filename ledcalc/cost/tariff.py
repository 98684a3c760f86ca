"""Energy prices by the clock, the weekday and the month."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = [
    "ALL_DAYS",
    "ALL_MONTHS",
    "DAYS_IN_MONTH",
    "Tariff",
    "TariffPeriod",
    "WeekOfPrices",
    "shared_hour",
    "week_of_prices",
]

HOURS_PER_DAY, HOURS_PER_WEEK = 24.0, 168.0
ALL_DAYS, ALL_MONTHS = tuple(range(7)), tuple(range(1, 13))
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True, kw_only=True)
class TariffPeriod:
    """Hours at one price: from one time of day (h, 0 to 24) to another, on some weekdays (0: Monday) of some months.

    ``to_h`` below ``from_h``: past midnight, both parts on the days named. So "22 to 6, Monday to Friday" is each of
    these days from 0 to 6 and from 22 to 24 o'clock, as tariffs are printed.
    """

    name: str
    price_per_kwh: float
    from_h: float = 0.0
    to_h: float = HOURS_PER_DAY
    days: tuple[int, ...] = ALL_DAYS
    months: tuple[int, ...] = ALL_MONTHS

    def __post_init__(self) -> None:
        """Refuse what is no period."""
        numbers("price_per_kwh", self.price_per_kwh, at_least=0)
        numbers("from_h", self.from_h, at_least=0, at_most=HOURS_PER_DAY)
        numbers("to_h", self.to_h, at_least=0, at_most=HOURS_PER_DAY)
        if self.from_h % HOURS_PER_DAY == self.to_h % HOURS_PER_DAY and (self.from_h, self.to_h) != (0, HOURS_PER_DAY):
            raise ArgumentError("to_h", self.to_h, f"another time than from_h, {self.from_h:g}; 0 to 24 for all day")
        for name, given, known in (("days", self.days, ALL_DAYS), ("months", self.months, ALL_MONTHS)):
            if not given or not set(given) <= set(known):
                raise ArgumentError(name, given, f"some of {known[0]} to {known[-1]}")

    def spans_h(self) -> tuple[tuple[float, float], ...]:
        """Return the stretches of each of its days, in order."""
        if self.to_h > self.from_h:
            return ((self.from_h, self.to_h),)
        spans = ((0.0, self.to_h), (self.from_h, HOURS_PER_DAY))
        return tuple(span for span in spans if span[1] > span[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Tariff:
    """What energy costs at each hour, and what is charged by the day. Money in one currency.

    ``other_price_per_kwh``: of hours that no period names; without periods, the flat price. ``standing_charge_per_day``
    is due on every day of the year, ``demand_charge_per_kw_day`` on every day lit, for the power drawn.
    """

    other_price_per_kwh: float
    periods: tuple[TariffPeriod, ...] = ()
    standing_charge_per_day: float = 0.0
    demand_charge_per_kw_day: float = 0.0

    def __post_init__(self) -> None:
        """Refuse negative money."""
        numbers("other_price_per_kwh", self.other_price_per_kwh, at_least=0)
        numbers("standing_charge_per_day", self.standing_charge_per_day, at_least=0)
        numbers("demand_charge_per_kw_day", self.demand_charge_per_kw_day, at_least=0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeekOfPrices:
    """The week of one month, cut where the price changes: hours from Monday 0 o'clock.

    ``edges_h`` has one entry more than ``price_per_kwh`` and ``period``; ``period`` counts the tariff's periods, -1
    for hours that none names.
    """

    edges_h: FloatArray
    price_per_kwh: FloatArray
    period: tuple[int, ...]


@lru_cache(maxsize=64)
def week_of_prices(tariff: Tariff, month: int) -> WeekOfPrices:
    """Return which price holds when in a week of a month.

    Parameters
    ----------
    tariff : its periods must not overlap
    month : 1 to 12

    Raises
    ------
    ArgumentError (a ValueError): two periods claim the same hours

    Validity
    --------
    Local clock; holidays count as the weekday that they fall on, and clock changes are left out.

    Examples
    --------
    >>> peak = TariffPeriod(name="peak", price_per_kwh=0.4, from_h=17, to_h=20, days=(0, 1, 2, 3, 4))
    >>> week = week_of_prices(Tariff(other_price_per_kwh=0.2, periods=(peak,)), 1)
    >>> week.edges_h[:3].tolist(), week.price_per_kwh[:3].tolist()
    ([0.0, 17.0, 20.0], [0.2, 0.4, 0.2])
    """
    numbers("month", month, at_least=1, at_most=12)
    claims = _claims(tariff.periods, month)
    for (_, end, first), (start, _, second) in itertools.pairwise(claims):
        if start < end:
            one, other = tariff.periods[first], tariff.periods[second]
            raise ArgumentError(
                "periods", (one.name, other.name), f"one price an hour; both hold {shared_hour(one, other)}"
            )
    edges, period = [0.0], list[int]()
    for start, end, number in claims:
        if start > edges[-1]:
            edges.append(start)
            period.append(-1)
        edges.append(end)
        period.append(number)
    if edges[-1] < HOURS_PER_WEEK:
        edges.append(HOURS_PER_WEEK)
        period.append(-1)
    prices = [tariff.other_price_per_kwh if one < 0 else tariff.periods[one].price_per_kwh for one in period]
    return WeekOfPrices(edges_h=np.array(edges), price_per_kwh=np.array(prices), period=tuple(period))


def shared_hour(one: TariffPeriod, other: TariffPeriod) -> str:
    """Return in words the first hour that two periods both claim; empty where they claim none together.

    Examples
    --------
    >>> night = TariffPeriod(name="night", price_per_kwh=0.1, from_h=22, to_h=6)
    >>> shared_hour(night, TariffPeriod(name="day", price_per_kwh=0.2, from_h=5, to_h=22))
    'on Monday from 5 h in month 1'
    """
    for month in sorted({*one.months} & {*other.months}):
        claims = _claims((one, other), month)
        for (_, end, first), (start, _, second) in itertools.pairwise(claims):
            if start < end and first != second:
                return f"on {DAY_NAMES[int(start // HOURS_PER_DAY)]} from {start % HOURS_PER_DAY:g} h in month {month}"
    return ""


def _claims(periods: Sequence[TariffPeriod], month: int) -> list[tuple[float, float, int]]:
    """Return start, end and number of every stretch of the month's week that a period names, in order."""
    return sorted(
        (day * HOURS_PER_DAY + start, day * HOURS_PER_DAY + end, number)
        for number, period in enumerate(periods)
        if month in period.months
        for day in set(period.days)
        for start, end in period.spans_h()
    )
