"""The page on cost and energy."""

from __future__ import annotations

from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, Facts, Lines, Page, Table, col, fact

__all__ = ["cost_page"]

NO_PARTS = "The Parts sheet is empty, so nothing is known of what the fixture costs to buy."


def cost_page(results: Evaluation) -> Page:
    """Return parts, energy and what light on the crop costs."""
    blocks: list[Block] = [_energy(results)]
    if results.cost.parts_cost is None:
        blocks.append(Lines(heading="Parts", lines=(NO_PARTS,)))
    else:
        money = results.cost.currency
        blocks.append(Facts(heading="Parts", facts=(fact("All parts", results.cost.parts_cost, money),)))
        columns = (
            col("Part", width=34),
            col("Quantity", digits=0),
            col("Price each", money),
            col("Sum", money),
            col("Note", width=40),
        )
        parts = results.fixture.parts
        rows = tuple((part.tag, part.quantity, part.price, part.quantity * part.price, part.note) for part in parts)
        blocks.append(Table(heading="", columns=columns, rows=rows))
    return Page(title="Cost and energy", lead="At the flat energy price of the Site sheet.", blocks=blocks)


def _energy(results: Evaluation) -> Facts:
    cost, site = results.cost, results.fixture.site
    money, hours = cost.currency, site.photoperiod_h * site.days_lit_count
    count = results.light.in_room_count
    own, whole = ("this fixture's", f"from all {count} fixtures") if count > 1 else ("", "")
    return Facts(
        heading="Energy",
        facts=(
            fact("Mains power", results.operating.mains_power_w, "W", 1, own),
            fact("Hours a year", hours, "h", 0, f"{site.photoperiod_h:g} h on {site.days_lit_count} days"),
            fact("Energy a year", cost.energy_kwh, "kWh", 0),
            fact("Energy price", site.price_per_kwh, f"{money} per kWh", 3),
            fact("Energy cost a year", cost.energy_cost, money),
            fact("Energy cost of a day lit", cost.energy_cost_per_day, money),
            fact("Photons on the crop a year", cost.canopy_photons_mol, "mol", 0, whole),
            fact(
                "Energy cost of a mole on the crop",
                cost.energy_cost_per_mol,
                f"{money} per mol",
                4,
                f"energy of all {count} fixtures" if count > 1 else "",
            ),
        ),
    )
