"""The figures of cost, to follow by hand."""

from __future__ import annotations

import math

from ledcalc.fixture import Fixture
from ledcalc.results import Assumption, Evaluation, Working

__all__ = ["cost_assumptions", "cost_workings"]


def cost_assumptions(fixture: Fixture) -> list[Assumption]:
    """Return what the figures of cost take for granted beyond the inputs; nothing where only a flat price is given."""
    costs = fixture.costs
    found = []
    if fixture.tariff:
        even = "days lit lie evenly over weekdays and months; holidays count as the weekday they fall on"
        found.append(("tariff", even, "which days these are is not given"))
        if costs.lights_on_h is None:
            found.append(("costs.lights_on_h", "the light comes on when it costs least", "no time is given"))
    if any(season.dimming_fraction is not None for season in fixture.seasons):
        shape = "dimmed for a season, the light field keeps its shape"
        found.append(("seasons", shape, "all boards are dimmed alike"))
    if costs.duty_fraction and costs.duty_on_shipping is None:
        found.append(("costs.duty_on_shipping", "duty is taken on goods and shipping", "its basis is not given"))
    if any(part.life_h or part.life_years for part in fixture.parts):
        worn = "worn parts cost what they cost today, without shipping, duty and tax; spares are not used up"
        found.append(("parts", worn, "later prices are not known"))
    cells = fixture.origin.cells if fixture.origin else {}
    return [
        Assumption(path=path, cell=cells.get(path, ""), value=value, reason=reason) for path, value, reason in found
    ]


def cost_workings(results: Evaluation) -> list[Working]:
    """Return how energy, its price and what owning comes to were found."""
    return [_energy(results), *_price(results), *_owning(results)]


def _energy(results: Evaluation) -> Working:
    cost, site = results.cost, results.fixture.site
    formula = "mains power x hours a day x days a year"
    figures = f"{results.operating.mains_power_w:.4g} W x {site.photoperiod_h:g} h x {site.days_lit_count} d"
    if results.fixture.seasons:
        formula = "sum over seasons of mains power x hours a day x days"
        terms = [
            f"{season.mains_power_w:.4g} W x {season.photoperiod_h:g} h x {season.days_count:g} d"
            for season in cost.seasons
        ]
        figures = " + ".join(terms[:6]) + (" + ..." if len(terms) > 6 else "")
    return Working(
        topic="Cost",
        quantity="Energy a year",
        formula=formula,
        figures=figures,
        value=cost.energy_kwh,
        unit="kWh",
        source="definition",
    )


def _price(results: Evaluation) -> list[Working]:
    cost = results.cost
    if not cost.periods:
        return []
    used = [one for one in cost.periods if one.energy_kwh > 0]
    return [
        Working(
            topic="Cost",
            quantity="Energy cost a year",
            formula="sum over the tariff's periods of energy x price",
            figures=" + ".join(f"{one.energy_kwh:.4g} kWh x {one.price_per_kwh:.4g}" for one in used),
            value=cost.energy_cost,
            unit=cost.currency,
            source="hours lit in each period, by clock, weekday and month",
        )
    ]


def _owning(results: Evaluation) -> list[Working]:
    cost, costs = results.cost, results.fixture.costs
    if cost.purchase is None or costs.service_years is None or math.isnan(cost.owning_cost):
        return []
    energy = cost.energy_cost + cost.standing_cost + cost.demand_cost
    rate = costs.discount_fraction or 0.0
    formula = "(bought + renewals in the years of service) / years + energy and charges"
    if rate:
        formula = "(bought + present value of renewals) x rate / (1 - (1 + rate)^-years) + energy and charges"
    return [
        Working(
            topic="Cost",
            quantity="Owning it, a year",
            formula=formula,
            figures=f"bought {cost.purchase.total_cost:.2f}, energy and charges {energy:.2f}, "
            f"{costs.service_years:g} years, rate {100 * rate:g} %",
            value=cost.owning_cost,
            unit=cost.currency,
            source="annuity, compound interest by the year",
        )
    ]
