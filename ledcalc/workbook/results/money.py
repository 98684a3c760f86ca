"""The page on cost and energy."""

from __future__ import annotations

import math

from ledcalc.results import CostResults, Evaluation, PartLine, Purchase
from ledcalc.workbook.results.pages import Block, Fact, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["cost_page", "hours_page"]

NO_PARTS = "The Parts sheet is empty, so nothing is known of what the fixture costs to buy."
NO_SERVICE = "Fill Years of service on the Costs sheet to see what owning it comes to a year."
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def cost_page(results: Evaluation) -> Page:
    """Return parts, energy and what light on the crop costs."""
    cost, fixture = results.cost, results.fixture
    blocks: list[Block] = [_energy(results)]
    if cost.purchase is None:
        blocks.append(Lines(heading="Parts", lines=(NO_PARTS,)))
    else:
        blocks += [_bought(cost, cost.purchase), _parts(cost, cost.purchase)]
        blocks.append(_owned(results))
    price = "prices of the Tariff sheet" if fixture.tariff else "flat energy price of the Site sheet"
    return Page(title="Cost and energy", lead=f"At the {price}.", blocks=blocks)


def hours_page(results: Evaluation) -> Page | None:
    """Return when the light is on at which price; None without seasons and tariff."""
    fixture = results.fixture
    if not fixture.seasons and not fixture.tariff:
        return None
    blocks: list[Block] = [_seasons(results)]
    blocks += [_periods(results.cost)] if results.cost.periods else []
    lead = "A photoperiod is lit in one piece, and starts at the same time every day of its season."
    return Page(title="Hours and tariff", lead=lead, blocks=blocks)


def _energy(results: Evaluation) -> Facts:
    cost, site = results.cost, results.fixture.site
    money, count = cost.currency, results.light.in_room_count
    own, whole = ("this fixture's", f"from all {count} fixtures") if count > 1 else ("", "")
    days = sum(season.days_count for season in cost.seasons)
    hours_are = "as the Seasons sheet has it"
    if not results.fixture.seasons:
        hours_are = f"{site.photoperiod_h:g} h on {site.days_lit_count} days"
    price = fact("Energy price", site.price_per_kwh, f"{money} per kWh", 3)
    if cost.periods:
        mean = cost.energy_cost / cost.energy_kwh if cost.energy_kwh else None
        price = fact("Energy price, mean", mean, f"{money} per kWh", 3, "of the hours lit")
    facts = [
        fact("Mains power", results.operating.mains_power_w, "W", 1, own),
        fact("Hours a year", cost.lit_h, "h", 0, hours_are),
        fact("Energy a year", cost.energy_kwh, "kWh", 0),
        price,
        fact("Energy cost a year", cost.energy_cost, money),
        fact(
            "Energy cost of a day lit", cost.energy_cost_per_day, money, 2, f"of {days:g} days" if cost.periods else ""
        ),
        *_charges(cost),
        fact("Photons on the crop a year", cost.canopy_photons_mol, "mol", 0, whole),
        fact(
            "Energy cost of a mole on the crop",
            cost.energy_cost_per_mol,
            f"{money} per mol",
            4,
            _of_all(results, "energy"),
        ),
    ]
    return Facts(heading="Energy", facts=tuple(facts))


def _of_all(results: Evaluation, what: str = "money") -> str:
    """Return whose money or energy a mole takes, where more than this fixture light the crop."""
    count = results.light.in_room_count
    return f"{what} of all {count} fixtures" if count > 1 else ""


def _charges(cost: CostResults) -> list[Fact]:
    money, found = cost.currency, []
    if cost.standing_cost:
        found.append(fact("Standing charge a year", cost.standing_cost, money))
    if cost.demand_cost:
        found.append(fact("Demand charge a year", cost.demand_cost, money, 2, "for the days lit"))
    if found:
        total = cost.energy_cost + cost.standing_cost + cost.demand_cost
        found.append(fact("Energy and charges a year", total, money))
    return found


def _seasons(results: Evaluation) -> Table:
    cost = results.cost
    placed = "as given" if results.fixture.costs.lights_on_h is not None else "when it costs least"
    rows = tuple(
        (
            season.tag,
            f"{MONTHS[season.months[0] - 1]} to {MONTHS[season.months[-1] - 1]}",
            season.days_count,
            season.photoperiod_h,
            _clock(season.lights_on_h),
            _clock((season.lights_on_h + season.photoperiod_h) % 24.0),
            season.mains_power_w,
            season.energy_kwh,
            season.mean_price_per_kwh,
            season.energy_cost,
        )
        for season in cost.seasons
    )
    columns = (
        col("Season", width=24),
        col("Months", width=12),
        col("Days lit", digits=0),
        col("Photoperiod", "h", 1),
        col("Light on"),
        col("Light off"),
        col("Mains power", "W", 1),
        col("Energy", "kWh", 0),
        col("Mean price", f"{cost.currency} per kWh", 3, 14),
        col("Energy cost", cost.currency),
    )
    heading = f"When it is lit; the light comes on {placed}" if cost.periods else "When it is lit"
    return Table(heading=heading, columns=columns, rows=rows)


def _periods(cost: CostResults) -> Table:
    columns = (
        col("Period", width=24),
        col("Price", f"{cost.currency} per kWh", 3, 14),
        col("Energy a year", "kWh", 0),
        col("Energy cost", cost.currency),
    )
    rows = tuple((one.tag, one.price_per_kwh, one.energy_kwh, one.energy_cost) for one in cost.periods)
    return Table(heading="Energy by the tariff's periods", columns=columns, rows=rows)


def _bought(cost: CostResults, purchase: Purchase) -> Facts:
    money = cost.currency
    facts = [fact("All parts", purchase.goods_cost, money)]
    extras = (("Shipping", purchase.shipping_cost), ("Duty", purchase.duty_cost), ("Tax", purchase.tax_cost))
    facts += [fact(name, value, money) for name, value in extras if value]
    if len(facts) > 1:
        facts.append(fact("Bought, in all", purchase.total_cost, money))
    counted = "quantities left blank are counted on the fixture"
    if any(line.is_counted for line in purchase.lines):
        facts[0] = fact("All parts", purchase.goods_cost, money, 2, counted)
    facts.append(fact("Bought, for each umol/s", _shown(cost.purchase_cost_per_umol_s), f"{money} per umol/s", 3))
    return Facts(heading="Parts", facts=tuple(facts))


def _parts(cost: CostResults, purchase: Purchase) -> Table:
    """Return the parts list; packs and lives have columns only where a part has some."""
    money, lines = cost.currency, purchase.lines
    in_packs = any(line.pack_count or line.spares_count for line in lines)
    wears = any(math.isfinite(line.life_years) for line in lines)
    whole = all(line.quantity.is_integer() for line in lines)
    columns = [col("Part", width=34), col("Quantity", digits=0 if whole else 1)]
    columns += [col("Pack of", digits=0), col("Packs", digits=0), col("Left over", digits=1)] if in_packs else []
    columns += [col("Price each", money), col("Sum", money)]
    columns += [col("Life", "years", 1), col("Renewing, a year", money)] if wears else []
    columns.append(col("Note", width=40))
    rows = tuple(
        (
            line.tag,
            line.quantity,
            *(_packs(line) if in_packs else ()),
            line.price,
            line.line_cost,
            *((_shown(line.life_years), line.renewal_cost) if wears else ()),
            line.note,
        )
        for line in lines
    )
    return Table(heading="", columns=tuple(columns), rows=rows)


def _packs(line: PartLine) -> tuple[Shown, ...]:
    return (line.pack_count or None, line.packs_count if line.pack_count else None, line.left_over_count)


def _owned(results: Evaluation) -> Block:
    """Return what the light costs a year with all that belongs to it."""
    cost, costs = results.cost, results.fixture.costs
    money = cost.currency
    if costs.service_years is None and not cost.renewal_cost:
        return Lines(heading="Owning it", lines=(NO_SERVICE,))
    running = "energy and charges, and worn parts renewed" if cost.renewal_cost else "energy and charges"
    facts = [
        fact("Renewing worn parts, a year", cost.renewal_cost, money, 2, "on average, at the prices above"),
        fact("Running it, a year", cost.running_cost, money, 2, running),
        fact("Running it, for a mole on the crop", cost.running_cost_per_mol, f"{money} per mol", 4, _of_all(results)),
    ]
    if costs.service_years is not None:
        rate = costs.discount_fraction or 0.0
        how = f"over {costs.service_years:g} years" + (f" at {100 * rate:g} % interest" if rate else "")
        facts += [
            fact("Owning it, a year", cost.owning_cost, money, 2, f"buying, renewing, energy; {how}"),
            fact(
                "Owning it, for a mole on the crop", cost.owning_cost_per_mol, f"{money} per mol", 4, _of_all(results)
            ),
            fact(
                "Owning it, for 1 mol m-2 d-1 on 1 m2, a year",
                cost.owning_cost_per_dli_m2,
                money,
                3,
                f"mean of the days lit{f'; {_of_all(results)}' if _of_all(results) else ''}",
            ),
        ]
    return Facts(heading="Owning it", facts=tuple(facts))


def _shown(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _clock(hour_h: float) -> str | None:
    """Return a time of day as 21:30; None where there is none."""
    if math.isnan(hour_h):
        return None
    minutes = round(hour_h * 60.0) % 1440
    return f"{minutes // 60}:{minutes % 60:02d}"
