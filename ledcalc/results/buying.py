"""What is bought, what wears out, and when the light is on at which price."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LitSeason", "PartLine", "PeriodUse", "Purchase"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One line of the parts list. ``quantity``: needed; ``left_over_count``: pieces, spares among them.

    ``pack_count``: 0 for a part that is sold in any amount; ``packs_count`` is then that amount.

    ``life_years``: infinite for a part that is never renewed; ``renewal_cost``: what renewing it costs a year, on
    average. ``is_counted``: the quantity was counted on the fixture.
    """

    tag: str
    quantity: float
    is_counted: bool
    pack_count: float
    spares_count: float
    packs_count: float
    left_over_count: float
    price: float
    line_cost: float
    life_years: float
    renewal_cost: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """The parts list, and what comes on top of it; ``total_cost`` adds goods, shipping, duty and tax up."""

    lines: tuple[PartLine, ...]
    goods_cost: float
    shipping_cost: float
    duty_cost: float
    tax_cost: float
    total_cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LitSeason:
    """A part of the year lit alike; without seasons the whole year. ``lights_on_h``: NaN without a tariff."""

    tag: str
    months: tuple[int, ...]
    days_count: float
    photoperiod_h: float
    lights_on_h: float
    mean_price_per_kwh: float
    mains_power_w: float
    energy_kwh: float
    energy_cost: float
    canopy_photons_mol: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodUse:
    """Energy of a year in one period of the tariff, and what it costs."""

    tag: str
    price_per_kwh: float
    energy_kwh: float
    energy_cost: float
