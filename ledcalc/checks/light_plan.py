"""Rules about the light plan: steps that ask for more than full light, or for less than the dimmer's low end."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ledcalc.checks.limits import in_each, limit
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.photons import photoperiod_for_dose
from ledcalc.results import DimmedLight, Evaluation, LightPlanResults
from ledcalc.schema import Value

__all__ = ["plan_above_full_light", "plan_below_dimmer"]

PPFD_UNIT = "umol m-2 s-1"
# Hours of a photoperiod are set to a tenth.
HOURS_STEPS = 10


def plan_above_full_light(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A step of the light plan asks for more light than dimmer and dial give."""
    plan, dimmed = results.light_plan, results.dimmed
    if plan is None or dimmed is None:
        return
    for entry in _worst_of_each_row(plan, "above"):
        wanted, most = float(plan.wanted_ppfd_umol_m2_s[entry]), dimmed.most_ppfd_umol_m2_s
        remedy, changes = _more(fixture, plan, dimmed, entry, len(results.boards.tag))
        yield Finding(
            code="plan-above-full-light",
            severity="act",
            path=_path(fixture, plan, entry),
            message=f"Week {plan.week[entry]} takes {wanted:.0f} {PPFD_UNIT} for {plan.photoperiod_h[entry]:.4g} h; "
            f"at most {most:.0f} {PPFD_UNIT} is there, at {dimmed.most_a:.3g} A: {dimmed.most_by}.",
            value=wanted,
            limit=most,
            unit=PPFD_UNIT,
            remedy=remedy,
            basis="the fixture at other currents, and the plan",
            changes=changes,
        )


def _more(
    fixture: Fixture, plan: LightPlanResults, dimmed: DimmedLight, entry: int, count: int
) -> tuple[str, dict[str, Value]]:
    """Return what brings a step's light within reach: a longer day where a dose is wanted, boards, a smaller wish."""
    reserve = 1.0 + limit("remedy_reserve_fraction")
    most = dimmed.most_ppfd_umol_m2_s
    boards = math.ceil(count * dimmed.kept_for(float(plan.wanted_ppfd_umol_m2_s[entry]) * reserve, dimmed.most_a))
    hours = float(photoperiod_for_dose(float(plan.wanted_dli_mol_m2_d[entry]), most))
    hours = math.ceil(hours * HOURS_STEPS) / HOURS_STEPS
    row, instead = plan.row[entry], f"use {boards} boards instead of {count}{in_each(fixture)}"
    if fixture.light_plan[row].target_ppfd_umol_m2_s is not None:
        less = float(math.floor(most))
        ask: dict[str, Value] = {f"light_plan[{row}].target_ppfd_umol_m2_s": less}
        return f"ask for {less:.0f} {PPFD_UNIT} at most, or {instead}", ask
    if hours > 24:
        return f"no day is long enough: {instead}, or hang them lower", {}
    return f"light for {hours:g} h a day, or {instead}", {f"light_plan[{row}].photoperiod_h": hours}


def plan_below_dimmer(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A step of the light plan asks for less light than the lowest that dimmer and dial give."""
    plan, dimmed = results.light_plan, results.dimmed
    if plan is None or dimmed is None:
        return
    for entry in _worst_of_each_row(plan, "below"):
        wanted, least = float(plan.wanted_ppfd_umol_m2_s[entry]), dimmed.least_ppfd_umol_m2_s
        remedy, changes = _less(fixture, plan, dimmed, entry)
        yield Finding(
            code="plan-below-dimmer",
            severity="act",
            path=_path(fixture, plan, entry),
            message=f"Week {plan.week[entry]} takes {wanted:.3g} {PPFD_UNIT} for {plan.photoperiod_h[entry]:.4g} h; "
            f"it can be dimmed to {least:.3g} {PPFD_UNIT}, at {dimmed.least_a:.3g} A: {dimmed.least_by}.",
            value=wanted,
            limit=least,
            unit=PPFD_UNIT,
            remedy=remedy,
            basis="the driver's datasheet, and the plan",
            changes=changes,
        )


def _less(fixture: Fixture, plan: LightPlanResults, dimmed: DimmedLight, entry: int) -> tuple[str, dict[str, Value]]:
    """Return what brings a step's light within reach: a shorter day where a dose is wanted, or a larger wish."""
    row, least = plan.row[entry], dimmed.least_ppfd_umol_m2_s
    if fixture.light_plan[row].target_ppfd_umol_m2_s is not None:
        more = math.ceil(least * HOURS_STEPS) / HOURS_STEPS
        ask: dict[str, Value] = {f"light_plan[{row}].target_ppfd_umol_m2_s": more}
        return f"ask for {more:g} {PPFD_UNIT} at least, or hang the boards higher", ask
    hours = float(photoperiod_for_dose(float(plan.wanted_dli_mol_m2_d[entry]), least))
    hours = math.floor(hours * HOURS_STEPS) / HOURS_STEPS
    if hours <= 0:
        return f"ask for {least * 3600e-6:.2g} mol m-2 d-1 at least: an hour at the low end gives that", {}
    return f"light for {hours:g} h a day at the low end, or hang the boards higher", {
        f"light_plan[{row}].photoperiod_h": hours
    }


def _worst_of_each_row(plan: LightPlanResults, reach: str) -> list[int]:
    """Return the entry of each row of the plan that misses its light by most."""
    worst: dict[int, int] = {}
    for entry, (row, found) in enumerate(zip(plan.row, plan.reach, strict=True)):
        if found == reach and (row not in worst or _miss(plan, entry) > _miss(plan, worst[row])):
            worst[row] = entry
    return list(worst.values())


def _miss(plan: LightPlanResults, entry: int) -> float:
    return abs(float(plan.wanted_ppfd_umol_m2_s[entry] - plan.ppfd_umol_m2_s[entry]))


def _path(fixture: Fixture, plan: LightPlanResults, entry: int) -> str:
    by_ppfd = fixture.light_plan[plan.row[entry]].target_ppfd_umol_m2_s is not None
    return f"light_plan[{plan.row[entry]}].{'target_ppfd_umol_m2_s' if by_ppfd else 'target_dli_mol_m2_d'}"
