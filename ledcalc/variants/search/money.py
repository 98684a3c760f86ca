"""What a candidate costs, in the arithmetic of ``evaluate`` over many heat sinks and drivers at once."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.cost import annuity_fraction, part_life_years, parts_bill, renewals_value
from ledcalc.errors import ArgumentError
from ledcalc.evaluation.cost import cost_results
from ledcalc.fixture import Fixture, Part
from ledcalc.results import CostResults
from ledcalc.variants.search.built import model_tags
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["MoneyBound"]

PROBE_W = 1000.0


class MoneyBound:
    """Purchase cost of candidates, and the least that owning them can cost a year."""

    def __init__(self, catalogue: Fixture, target: DesignTarget, space: DesignSpace, objective: str) -> None:
        self.catalogue, self.costs = catalogue, catalogue.costs
        self.matters = objective != "mains_power_w" or math.isfinite(target.most_purchase_cost)
        if self.matters and not catalogue.parts:
            raise ArgumentError("objective", objective, "mains_power_w and no limit on cost: no part has a price")
        if objective == "owning_cost" and self.costs.service_years is None:
            raise ArgumentError("objective", objective, "another, as the Costs sheet has no years of service")
        idle, probe = self._year(0.0), self._year(PROBE_W)
        self.standing_cost = idle.running_cost
        self.cost_per_w = (probe.running_cost - idle.running_cost) / PROBE_W
        self.factors = self._renewal_factors()
        self.models = model_tags(catalogue, space)
        self.priced = {part.tag for part in catalogue.parts}

    def has_price(self, *tags: str) -> bool:
        """Return whether all of these have a price, or none needs one."""
        return not self.matters or all(tag in self.priced for tag in tags)

    def purchase(self, counts: Mapping[str, FloatArray]) -> tuple[FloatArray, FloatArray]:
        """Return what parts cost at once, and what renewing them is worth today; ``counts``: by tag, for all that a
        candidate counts."""
        parts = self.catalogue.parts
        shape = np.broadcast_shapes(*(np.shape(count) for count in counts.values()))
        if not parts:
            return np.zeros(shape), np.zeros(shape)
        quantity = np.stack([np.broadcast_to(self._quantity(part, counts), shape) for part in parts])
        column = (len(parts),) + (1,) * len(shape)
        price = np.array([part.price for part in parts]).reshape(column)
        packs = np.array([part.pack_count or 0.0 for part in parts]).reshape(column)
        spares = np.array([part.spares_count or 0.0 for part in parts]).reshape(column)
        bill = parts_bill(
            quantity,
            price,
            pack_size=packs,
            spares=np.where(quantity > 0, spares, 0.0),
            shipping=self.costs.shipping or 0.0,
            duty_fraction=self.costs.duty_fraction or 0.0,
            tax_fraction=self.costs.tax_fraction or 0.0,
            duty_on_shipping=self.costs.duty_on_shipping != "no",
        )
        each = price / np.where(packs > 0, packs, 1.0) * self.factors.reshape(column)
        return np.asarray(bill.total_cost), (quantity * each).sum(axis=0)

    def owning(self, purchase: FloatArray, renewals: FloatArray, mains_w: FloatArray) -> FloatArray:
        """Return the least that owning can cost a year: seasons that are dimmed are left out."""
        service, rate = self.costs.service_years, self.costs.discount_fraction or 0.0
        if service is None:
            return np.full(np.shape(mains_w), math.nan)
        share = float(annuity_fraction(service, discount_fraction=rate))
        return (purchase + renewals) * share + self.standing_cost + self.cost_per_w * mains_w

    def _quantity(self, part: Part, counts: Mapping[str, FloatArray]) -> FloatArray:
        if part.tag in counts:
            return counts[part.tag]
        # What a candidate does not use of all that is chosen among is not on its list.
        is_off = part.tag in self.models or part.quantity is None
        return np.array(0.0 if is_off else part.quantity)

    def _year(self, mains_w: float, *, dimmed_too: bool = False) -> CostResults:
        """Return a year's light at a power, without parts; seasons that are dimmed at full light, or not lit."""
        seasons = tuple(
            dataclasses.replace(season, dimming_fraction=None)
            if dimmed_too or season.dimming_fraction in (None, 1.0)
            else dataclasses.replace(season, dimming_fraction=None, days_lit_count=0)
            for season in self.catalogue.seasons
        )
        bare = dataclasses.replace(self.catalogue, parts=(), seasons=seasons)
        return cost_results(bare, mains_power_w=mains_w, photon_flux_umol_s=1.0, canopy_flux_umol_s=1.0)

    def _renewal_factors(self) -> FloatArray:
        """Return how often each part's price is due again in the years of service, as worth today."""
        parts, service = self.catalogue.parts, self.costs.service_years
        if service is None or not parts:
            return np.zeros(len(parts))
        life = part_life_years(
            lit_hours_a_year_h=self._year(0.0, dimmed_too=True).lit_h,
            life_h=[part.life_h or math.inf for part in parts],
            life_years=[part.life_years or math.inf for part in parts],
        )
        rate = self.costs.discount_fraction or 0.0
        return np.atleast_1d(np.asarray(renewals_value(1.0, life, service_years=service, discount_fraction=rate)))
