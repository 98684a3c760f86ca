"""Cost: parts once and again as they wear out, energy for good, and what pays back."""

from ledcalc.cost.energy import energy_cost, energy_kwh
from ledcalc.cost.lit_year import EnergyYear, LightsOn, LitSpan, cheapest_lights_on, energy_year, mean_price_per_kwh
from ledcalc.cost.parts import PartsBill, packs_to_buy, parts_bill, parts_cost
from ledcalc.cost.payback import CostOfOne, Payback, payback, payback_years
from ledcalc.cost.per_light import cost_per_dli_area, cost_per_flux, cost_per_mol
from ledcalc.cost.renewal import annuity_fraction, part_life_years, present_value, renewals_value
from ledcalc.cost.tariff import Tariff, TariffPeriod, WeekOfPrices, shared_hour, week_of_prices

__all__ = [
    "CostOfOne",
    "EnergyYear",
    "LightsOn",
    "LitSpan",
    "PartsBill",
    "Payback",
    "Tariff",
    "TariffPeriod",
    "WeekOfPrices",
    "annuity_fraction",
    "cheapest_lights_on",
    "cost_per_dli_area",
    "cost_per_flux",
    "cost_per_mol",
    "energy_cost",
    "energy_kwh",
    "energy_year",
    "mean_price_per_kwh",
    "packs_to_buy",
    "part_life_years",
    "parts_bill",
    "parts_cost",
    "payback",
    "payback_years",
    "present_value",
    "renewals_value",
    "shared_hour",
    "week_of_prices",
]
