"""What the fixture costs to buy and to run."""

from __future__ import annotations

from ledcalc.cost import EnergyYear, LitSpan, cost_per_dli_area, cost_per_flux, cost_per_mol, energy_year
from ledcalc.evaluation.buying import purchase_of, purchase_share_a_year
from ledcalc.evaluation.lit_seasons import Lit, lit_parts_of_year
from ledcalc.fixture import Fixture
from ledcalc.owning import tariff_of
from ledcalc.results import CostResults, LitSeason, PeriodUse

__all__ = ["cost_results"]

SECONDS_PER_HOUR = 3600.0
UMOL_PER_MOL = 1e6


def cost_results(
    fixture: Fixture, *, mains_power_w: float, photon_flux_umol_s: float, canopy_flux_umol_s: float
) -> CostResults:
    """Return what the parts cost, energy and charges of a year, and what light costs: bought, and on the canopy.

    Power, energy and money are this fixture's; the photons on the canopy come from all in the room, so that a mole
    costs the money of all.
    """
    lit = lit_parts_of_year(
        fixture,
        mains_power_w=mains_power_w,
        photon_flux_umol_s=photon_flux_umol_s,
        canopy_flux_umol_s=canopy_flux_umol_s,
    )
    year = energy_year(tariff_of(fixture), [_span(fixture, part) for part in lit])
    seasons = _seasons(fixture, lit, year)
    photons = sum(season.canopy_photons_mol for season in seasons)
    days, energy = sum(part.days_count for part in lit), float(year.energy_cost)
    purchase = purchase_of(fixture, year.lit_h)
    renewal = sum(line.renewal_cost for line in purchase.lines) if purchase else 0.0
    owning = purchase_share_a_year(fixture, purchase) + float(year.total_cost)
    count, owned, area = fixture.in_room_count, owning == owning, fixture.crop_width_m * fixture.crop_depth_m
    nothing = float("nan")
    return CostResults(
        currency=fixture.site.currency,
        parts_cost=purchase.goods_cost if purchase else None,
        energy_kwh=float(year.energy_kwh),
        energy_cost=energy,
        canopy_photons_mol=photons,
        energy_cost_per_mol=float(cost_per_mol(energy * count, photons)),
        energy_cost_per_day=energy / days if days else nothing,
        purchase=purchase,
        seasons=seasons,
        periods=_periods(fixture, year),
        lit_h=year.lit_h,
        standing_cost=year.standing_cost,
        demand_cost=float(year.demand_cost),
        renewal_cost=renewal,
        running_cost=float(year.total_cost) + renewal,
        owning_cost=owning,
        purchase_cost_per_umol_s=float(cost_per_flux(purchase.total_cost, photon_flux_umol_s)) if purchase else nothing,
        running_cost_per_mol=float(cost_per_mol((float(year.total_cost) + renewal) * count, photons)),
        owning_cost_per_mol=float(cost_per_mol(owning * count, photons)) if owned else nothing,
        # Mean daily light over the days lit, times the area.
        owning_cost_per_dli_m2=float(cost_per_dli_area(owning * count, photons / days / area, area))
        if owned and days
        else nothing,
    )


def _span(fixture: Fixture, part: Lit) -> LitSpan:
    return LitSpan(
        photoperiod_h=part.photoperiod_h,
        days_count=part.days_count,
        power_w=part.mains_power_w,
        months=part.months,
        lights_on_h=fixture.costs.lights_on_h,
    )


def _seasons(fixture: Fixture, lit: list[Lit], year: EnergyYear) -> tuple[LitSeason, ...]:
    found = []
    for part, start, price in zip(lit, year.lights_on_h, year.price_per_kwh, strict=True):
        hours = part.photoperiod_h * part.days_count
        kwh = part.mains_power_w * hours / 1000.0
        found.append(
            LitSeason(
                tag=part.tag,
                months=part.months,
                days_count=part.days_count,
                photoperiod_h=part.photoperiod_h,
                lights_on_h=start if fixture.tariff else float("nan"),
                mean_price_per_kwh=price,
                mains_power_w=part.mains_power_w,
                energy_kwh=kwh,
                energy_cost=kwh * price,
                canopy_photons_mol=part.canopy_flux_umol_s * hours * SECONDS_PER_HOUR / UMOL_PER_MOL,
            )
        )
    return tuple(found)


def _periods(fixture: Fixture, year: EnergyYear) -> tuple[PeriodUse, ...]:
    if not fixture.tariff:
        return ()
    prices = [*(row.price_per_kwh for row in fixture.tariff), fixture.site.price_per_kwh]
    rows = zip(year.period_names, prices, year.period_kwh.tolist(), year.period_cost.tolist(), strict=True)
    return tuple(
        PeriodUse(tag=name, price_per_kwh=price, energy_kwh=kwh, energy_cost=cost) for name, price, kwh, cost in rows
    )
