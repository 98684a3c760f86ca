"""Dearer to buy and cheaper to run: after how many years the one has paid for the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers
from ledcalc.cost.renewal import NO_RATE
from ledcalc.errors import ArgumentError

__all__ = ["CostOfOne", "Payback", "payback", "payback_years"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostOfOne:
    """What one version costs to buy, and to run a year. ``currency`` is text: money is never converted."""

    name: str
    purchase_cost: float
    yearly_cost: float
    currency: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Payback:
    """The dearer of two versions (to buy) against the cheaper.

    ``years`` and ``discounted_years`` are infinite where it never pays back, and 0 where there is nothing to pay back;
    ``verdict`` says the same in a sentence.
    """

    dearer: str
    cheaper: str
    extra_cost: float
    yearly_saving: float
    years: float
    discounted_years: float
    verdict: str


@broadcasting
def payback_years(extra_cost: ArrayLike, yearly_saving: ArrayLike, *, discount_fraction: ArrayLike = 0.0) -> Numbers:
    """Return after how many years a yearly saving has paid for an extra cost.

    Parameters
    ----------
    extra_cost : money, spent at once
    yearly_saving : money a year, due at the end of each
    discount_fraction : a year, at least 0; 0: simple payback

    Returns
    -------
    years, in the shape that the arguments broadcast to; infinite: never; 0: no extra cost

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The same saving every year. Between whole years the annuity's own curve holds.

    References
    ----------
    Annuity solved for its duration, -ln(1 - rate x cost / saving) / ln(1 + rate); the period function of spreadsheets.

    Examples
    --------
    >>> payback_years(100.0, [25.0, 0.0, -5.0]).tolist()
    [4.0, inf, inf]
    >>> round(payback_years(100.0, 25.0, discount_fraction=0.05), 3)
    4.574
    """
    extra, saving, rate = np.broadcast_arrays(
        numbers("extra_cost", extra_cost),
        numbers("yearly_saving", yearly_saving),
        numbers("discount_fraction", discount_fraction, at_least=0),
    )
    years = np.divide(extra, saving, out=np.full(extra.shape, np.inf), where=saving > 0)
    # The share of the saving that the interest on the whole cost takes: all of it, and nothing is ever paid off.
    interest = rate * np.where(np.isfinite(years), years, 0.0)
    pays = (rate > NO_RATE) & np.isfinite(years) & (interest < 1.0)
    discounted = np.full(extra.shape, np.inf)
    np.divide(-np.log1p(-np.where(pays, interest, 0.0)), np.log1p(rate), out=discounted, where=pays)
    return answer(np.where(extra <= 0, 0.0, np.where(rate > NO_RATE, discounted, years)))


def payback(one: CostOfOne, other: CostOfOne, *, discount_fraction: float = 0.0) -> Payback:
    """Compare two versions by what they cost to buy and to run.

    Parameters
    ----------
    one, other : in one currency
    discount_fraction : a year, at least 0

    Returns
    -------
    Payback, of the one that is dearer to buy

    Raises
    ------
    ArgumentError (a ValueError): two currencies, or a number out of its range

    Examples
    --------
    >>> hard = CostOfOne(name="hard", purchase_cost=200.0, yearly_cost=60.0, currency="EUR")
    >>> soft = CostOfOne(name="soft", purchase_cost=260.0, yearly_cost=48.0, currency="EUR")
    >>> payback(hard, soft).verdict
    'soft costs 60.00 EUR more to buy and 12.00 EUR a year less to run: paid back after 5.0 years'
    """
    if one.currency != other.currency:
        raise ArgumentError("currency", other.currency, f"{one.currency!r}, that of {one.name}: money is not converted")
    for side, cost in (("one", one), ("other", other)):
        numbers(f"{side}.purchase_cost", cost.purchase_cost, at_least=0)
        numbers(f"{side}.yearly_cost", cost.yearly_cost)
    dearer, cheaper = (one, other) if one.purchase_cost > other.purchase_cost else (other, one)
    extra, saving = dearer.purchase_cost - cheaper.purchase_cost, cheaper.yearly_cost - dearer.yearly_cost
    years = float(payback_years(extra, saving))
    discounted = float(payback_years(extra, saving, discount_fraction=discount_fraction))
    return Payback(
        dearer=dearer.name,
        cheaper=cheaper.name,
        extra_cost=extra,
        yearly_saving=saving,
        years=years,
        discounted_years=discounted,
        verdict=_verdict(dearer, cheaper, years, discounted, discount_fraction),
    )


def _verdict(dearer: CostOfOne, cheaper: CostOfOne, years: float, discounted: float, rate: float) -> str:
    money = dearer.currency
    extra, saving = dearer.purchase_cost - cheaper.purchase_cost, cheaper.yearly_cost - dearer.yearly_cost
    if extra == 0 and saving == 0:
        return f"{dearer.name} and {cheaper.name} cost the same to buy and to run"
    if extra == 0:
        less, more = (dearer, cheaper) if saving > 0 else (cheaper, dearer)
        less_said = f"{less.name} costs {abs(saving):.2f} {money} a year less to run than {more.name}"
        return f"both cost the same to buy; {less_said}"
    bought = f"{dearer.name} costs {extra:.2f} {money} more to buy"
    if saving < 0:
        return f"{bought} and {-saving:.2f} {money} a year more to run: never paid back"
    if saving == 0:
        return f"{bought} and as much to run: never paid back"
    said = f"{bought} and {saving:.2f} {money} a year less to run: paid back after {years:.1f} years"
    if rate == 0:
        return said
    if np.isinf(discounted):
        return f"{said}; never at {100 * rate:g} % interest, which takes more a year than is saved"
    return f"{said}, {discounted:.1f} years at {100 * rate:g} % interest"
