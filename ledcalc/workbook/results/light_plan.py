"""The page on the light plan: week by week the dial, the light, what it costs."""

from __future__ import annotations

import numpy as np

from ledcalc.results import DimmedLight, Evaluation, LightPlanResults
from ledcalc.workbook.results.pages import BarChart, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["light_plan_page", "one_alone"]

PPFD_UNIT = "umol m-2 s-1"
TITLE = "Light plan"
LEAD = (
    "The light wanted from week to week, and the dimmer or current dial that gives it; new boards, at today's height."
)
DARK = "Not worked out: as it is set, the fixture gives no light, or its driver is out of its window."


def light_plan_page(results: Evaluation) -> Page | None:
    """Return the plan; None where the Light plan sheet is empty."""
    plan, dimmed = results.light_plan, results.dimmed
    if not results.fixture.light_plan:
        return None
    if plan is None or dimmed is None:
        return Page(title=TITLE, lead=LEAD, blocks=(Lines(lines=(DARK,)),))
    chart = BarChart(title="DLI of the plan", axis="DLI in mol m-2 d-1", category=0, bars=7, beside=2, across="week")
    return Page(title=TITLE, lead=LEAD, blocks=(_reach(results, plan, dimmed), _steps(results, plan, dimmed), chart))


def _reach(results: Evaluation, plan: LightPlanResults, dimmed: DimmedLight) -> Facts:
    money, weeks = results.fixture.site.currency, np.array(plan.weeks_count)
    last = f"weeks {plan.week[0]} to {plan.week[-1]}, the last one counted once"
    priced = "; at the year's mean price of the hours lit" if results.fixture.tariff else ""
    last += "; of this fixture" if results.light.in_room_count > 1 else ""
    return Facts(
        heading="What dimmer and dial reach",
        facts=(
            fact("Most light, mean PPFD", dimmed.most_ppfd_umol_m2_s, PPFD_UNIT, 0, _at(dimmed.most_a, dimmed.most_by)),
            fact("Undimmed, dial as it is", dimmed.undimmed_ppfd_umol_m2_s, PPFD_UNIT, 0, f"{dimmed.setting_a:.3g} A"),
            fact(
                "Least light, mean PPFD",
                dimmed.least_ppfd_umol_m2_s,
                PPFD_UNIT,
                0,
                _at(dimmed.least_a, dimmed.least_by),
            ),
            fact("Energy of the plan", float(plan.energy_kwh @ weeks), "kWh", 0, last),
            fact("Cost of the plan", float(plan.energy_cost @ weeks), money, 2, f"{last}{priced}"),
        ),
    )


def _at(current_a: float, by: str) -> str:
    return f"{current_a:.3g} A: {by}"


def _steps(results: Evaluation, plan: LightPlanResults, dimmed: DimmedLight) -> Table:
    columns = (
        col("Weeks", width=12),
        col("Light a day", "h", 1, 10),
        col("DLI wanted", "mol m-2 d-1", 1, 13),
        col("PPFD wanted", PPFD_UNIT, 0, 14),
        col(f"Dimming level at {dimmed.setting_a:.3g} A", "%", 1, 14),
        col("Or current dial, undimmed", "A", 2, 14),
        col("Mean PPFD", PPFD_UNIT, 0, 14),
        col("DLI", "mol m-2 d-1", 1, 13),
        col("Energy a week", "kWh", 1, 10),
        col("Cost a week", results.fixture.site.currency, 2, 10),
        col("To mind", width=70),
    )
    rows = tuple(_step(plan, dimmed, entry) for entry in range(len(plan.row)))
    return Table(heading="Step by step", columns=columns, rows=rows)


def _step(plan: LightPlanResults, dimmed: DimmedLight, entry: int) -> tuple[Shown, ...]:
    first, last = plan.week[entry], plan.week[entry] + plan.weeks_count[entry] - 1
    weeks = f"{first} on" if entry == len(plan.row) - 1 else f"{first}" if first == last else f"{first} to {last}"
    return (
        weeks,
        float(plan.photoperiod_h[entry]),
        float(plan.wanted_dli_mol_m2_d[entry]),
        float(plan.wanted_ppfd_umol_m2_s[entry]),
        100.0 * float(plan.level_fraction[entry]),
        float(plan.dial_a[entry]),
        float(plan.ppfd_umol_m2_s[entry]),
        float(plan.dli_mol_m2_d[entry]),
        float(plan.energy_kwh[entry]),
        float(plan.energy_cost[entry]),
        _to_mind(plan, dimmed, entry),
    )


def _to_mind(plan: LightPlanResults, dimmed: DimmedLight, entry: int) -> str:
    if plan.wanted_dli_mol_m2_d[entry] == 0:
        return "dark: switched off"
    if plan.reach[entry] == "above":
        return f"more than full light, which stands here: {dimmed.most_by}"
    if plan.reach[entry] == "below":
        return f"less than the least light, which stands here: {dimmed.least_by}"
    return one_alone(dimmed, float(plan.current_a[entry]))


def one_alone(dimmed: DimmedLight, current_a: float) -> str:
    """Say why the dimmer alone, or the dial alone, does not give a current within reach; empty where each does."""
    if np.isnan(dimmed.level_at(current_a)):
        turn = "more than the dimmer gives" if current_a > dimmed.setting_a else "less than the dimmer gives"
        return f"{turn} with this dial: turn it {'up' if current_a > dimmed.setting_a else 'down'}"
    return "below the dial's range: by the dimmer only" if np.isnan(dimmed.dial_at(current_a)) else ""
