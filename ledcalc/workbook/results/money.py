"""The page on cost and energy."""

from __future__ import annotations

from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, Col, Fact, Facts, Lines, Page, Table

__all__ = ["cost_page"]


def cost_page(results: Evaluation) -> Page:
    """Return parts, energy and what light on the crop costs."""
    cost, fixture, site = results.cost, results.fixture, results.fixture.site
    money = cost.currency
    blocks: list[Block] = [
        Facts(
            heading="Energy",
            facts=(
                Fact(label="Mains power", value=results.operating.mains_power_w, unit="W", digits=1),
                Fact(
                    label="Hours a year",
                    value=site.photoperiod_h * site.days_lit_count,
                    unit="h",
                    remark=f"{site.photoperiod_h:g} h on {site.days_lit_count} days",
                    digits=0,
                ),
                Fact(label="Energy a year", value=cost.energy_kwh, unit="kWh", digits=0),
                Fact(label="Energy price", value=site.price_per_kwh, unit=f"{money} per kWh", digits=3),
                Fact(label="Energy cost a year", value=cost.energy_cost, unit=money),
                Fact(label="Energy cost of a day lit", value=cost.energy_cost_per_day, unit=money),
                Fact(label="Photons on the crop a year", value=cost.canopy_photons_mol, unit="mol", digits=0),
                Fact(
                    label="Energy cost of a mole on the crop",
                    value=cost.energy_cost_per_mol,
                    unit=f"{money} per mol",
                    digits=4,
                ),
            ),
        )
    ]
    if cost.parts_cost is None:
        blocks.append(
            Lines(
                heading="Parts",
                lines=("The Parts sheet is empty, so nothing is known of what the fixture costs to buy.",),
            )
        )
    else:
        blocks.append(Facts(heading="Parts", facts=(Fact(label="All parts", value=cost.parts_cost, unit=money),)))
        blocks.append(
            Table(
                heading="",
                columns=(
                    Col(label="Part", width=34),
                    Col(label="Quantity", digits=0),
                    Col(label="Price each", unit=money),
                    Col(label="Sum", unit=money),
                    Col(label="Note", width=40),
                ),
                rows=tuple(
                    (part.tag, part.quantity, part.price, part.quantity * part.price, part.note)
                    for part in fixture.parts
                ),
            )
        )
    return Page(title="Cost and energy", lead="At the flat energy price of the Site sheet.", blocks=blocks)
