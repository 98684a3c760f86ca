"""The parts list: counted, in whole packs, landed, and renewed as it wears out."""

from __future__ import annotations

import numpy as np

from ledcalc.cost import annuity_fraction, part_life_years, parts_bill, renewals_value
from ledcalc.fixture import Fixture, Part
from ledcalc.owning import needed_counts
from ledcalc.results import PartLine, Purchase

__all__ = ["purchase_of", "purchase_share_a_year"]


def purchase_of(fixture: Fixture, lit_hours_a_year_h: float) -> Purchase | None:
    """Return what the parts come to; None where none are listed."""
    parts, costs = fixture.parts, fixture.costs
    if not parts:
        return None
    needed = needed_counts(fixture) if any(part.quantity is None for part in parts) else {}
    quantity = [needed[part.tag] if part.quantity is None else part.quantity for part in parts]
    bill = parts_bill(
        quantity,
        [part.price for part in parts],
        pack_size=[part.pack_count or 0.0 for part in parts],
        # What the fixture does not use needs no spares.
        spares=[(part.spares_count or 0.0) if count else 0.0 for part, count in zip(parts, quantity, strict=True)],
        shipping=costs.shipping or 0.0,
        duty_fraction=costs.duty_fraction or 0.0,
        tax_fraction=costs.tax_fraction or 0.0,
        duty_on_shipping=costs.duty_on_shipping != "no",
    )
    life = np.asarray(
        part_life_years(
            lit_hours_a_year_h=lit_hours_a_year_h,
            life_h=[part.life_h or np.inf for part in parts],
            life_years=[part.life_years or np.inf for part in parts],
        )
    )
    rows = zip(parts, quantity, bill.packs, bill.left_over, bill.line_cost, life, strict=True)
    return Purchase(
        lines=tuple(_line(part, *(float(value) for value in values)) for part, *values in rows),
        goods_cost=float(bill.goods_cost),
        shipping_cost=float(bill.shipping_cost),
        duty_cost=float(bill.duty_cost),
        tax_cost=float(bill.tax_cost),
        total_cost=float(bill.total_cost),
    )


def _line(part: Part, quantity: float, packs: float, left_over: float, cost: float, life_years: float) -> PartLine:
    return PartLine(
        tag=part.tag,
        quantity=quantity,
        is_counted=part.quantity is None,
        pack_count=part.pack_count or 0.0,
        spares_count=part.spares_count or 0.0,
        packs_count=packs,
        left_over_count=left_over,
        price=part.price,
        line_cost=cost,
        life_years=life_years,
        renewal_cost=quantity * part.price / (part.pack_count or 1.0) / life_years,
        note=part.note or "",
    )


def purchase_share_a_year(fixture: Fixture, purchase: Purchase | None) -> float:
    """Return what buying, and renewing in the years of service, comes to a year; NaN where these are not given."""
    service, rate = fixture.costs.service_years, fixture.costs.discount_fraction or 0.0
    if purchase is None or service is None:
        return float("nan")
    prices = [line.quantity * line.price / (line.pack_count or 1.0) for line in purchase.lines]
    lives = [line.life_years for line in purchase.lines]
    renewals = np.sum(renewals_value(prices, lives, service_years=service, discount_fraction=rate))
    return float((purchase.total_cost + renewals) * annuity_fraction(service, discount_fraction=rate))
