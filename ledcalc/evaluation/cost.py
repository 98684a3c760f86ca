"""What the fixture costs to buy and to run."""

from __future__ import annotations

from ledcalc.cost import energy_cost, energy_kwh, parts_cost
from ledcalc.fixture import Fixture
from ledcalc.results import CostResults

__all__ = ["cost_results"]

SECONDS_PER_HOUR = 3600.0
UMOL_PER_MOL = 1e6


def cost_results(fixture: Fixture, *, mains_power_w: float, canopy_flux_umol_s: float) -> CostResults:
    """Return parts cost, energy of a year and what a mole of photons on the canopy costs in energy.

    Power, energy and cost are this fixture's; the photons on the canopy come from all in the room, and a mole costs the
    energy of all.
    """
    site = fixture.site
    hours = site.photoperiod_h * site.days_lit_count
    kwh = float(energy_kwh(mains_power_w, hours))
    cost = float(energy_cost(kwh, site.price_per_kwh))
    photons = canopy_flux_umol_s * hours * SECONDS_PER_HOUR / UMOL_PER_MOL
    parts = fixture.parts
    return CostResults(
        currency=site.currency,
        parts_cost=float(parts_cost([part.quantity for part in parts], [part.price for part in parts]))
        if parts
        else None,
        energy_kwh=kwh,
        energy_cost=cost,
        canopy_photons_mol=photons,
        energy_cost_per_mol=cost * fixture.in_room_count / photons if photons > 0 else float("nan"),
        energy_cost_per_day=cost / site.days_lit_count,
    )
