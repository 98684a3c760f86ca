"""The light plan: for each step the current, the light that it gives, what that costs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.cost import cheapest_lights_on, energy_kwh, mean_price_per_kwh
from ledcalc.evaluation.mains import draw_of
from ledcalc.fixture import DriverModel, Fixture, PlanStep
from ledcalc.owning import tariff_of
from ledcalc.photons import DimSchedule, daily_light_integral, dim_schedule, ppfd_for_dose
from ledcalc.results import DimmedLight, LightPlanResults

__all__ = ["light_plan_results"]

DAYS_A_WEEK = 7
RAMP = "straight ramp"
# The schedule asks for a lowest level below 1: a dial with a single position has it a hair below.
HIGHEST_LOW_FRACTION = 1.0 - 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """A step of the plan as the schedule has it: an entry a week where it is a ramp, else one."""

    row: int
    weeks_count: int
    schedule: DimSchedule
    entries_count: int


def light_plan_results(fixture: Fixture, model: DriverModel, dimmed: DimmedLight | None) -> LightPlanResults | None:
    """Return the plan worked out; None where there is none, or where the fixture gives no light to plan with."""
    if not fixture.light_plan or dimmed is None:
        return None
    followers = [*fixture.light_plan[1:], None]
    pairs = enumerate(zip(fixture.light_plan, followers, strict=True))
    steps = [_step(fixture, dimmed, row, step, following) for row, (step, following) in pairs]
    hours, wanted, ppfd = (
        np.concatenate([getattr(step.schedule, name)[: step.entries_count] for step in steps])
        for name in ("photoperiod_h", "target_dli_mol_m2_d", "ppfd_umol_m2_s")
    )
    dli = np.asarray(daily_light_integral(ppfd, hours))
    within = [fits for step in steps for fits in step.schedule.within_dial[: step.entries_count]]
    given = np.array([dimmed.current_for(level) if dose > 0 else 0.0 for level, dose in zip(ppfd, wanted, strict=True)])
    output = [dimmed.power_at(amps) for amps in given]
    mains = [draw_of(model, fixture.driver_points, fixture.site, watts).mains_power_w for watts in output]
    energy = np.asarray(energy_kwh(np.array(mains), hours * DAYS_A_WEEK))
    prices = np.array([_price(fixture, lit_h) for lit_h in hours.tolist()])
    current, asked = np.where(within, given, np.nan), np.asarray(ppfd_for_dose(wanted, hours))
    return LightPlanResults(
        row=tuple(step.row for step in steps for _ in range(step.entries_count)),
        week=tuple(int(week) for step in steps for week in step.schedule.week[: step.entries_count]),
        weeks_count=tuple(step.weeks_count for step in steps for _ in range(step.entries_count)),
        photoperiod_h=hours,
        wanted_dli_mol_m2_d=wanted,
        wanted_ppfd_umol_m2_s=asked,
        current_a=current,
        level_fraction=np.array([dimmed.level_at(amps) for amps in current]),
        dial_a=np.array([dimmed.dial_at(amps) for amps in current]),
        ppfd_umol_m2_s=ppfd,
        dli_mol_m2_d=dli,
        energy_kwh=energy,
        price_per_kwh=prices,
        energy_cost=energy * prices,
        reach=tuple(
            "within" if fits else "above" if want > had else "below"
            for fits, want, had in zip(within, asked, ppfd, strict=True)
        ),
    )


def _step(fixture: Fixture, dimmed: DimmedLight, row: int, step: PlanStep, following: PlanStep | None) -> _Step:
    """Return a step on the schedule: week by week where it is a ramp. The last one, having no end, lasts a week."""
    weeks = 1 if following is None else following.from_week - step.from_week
    knots, doses, entries = [step.from_week], [_dose(fixture, step)], 1
    if following is not None and step.until_next == RAMP:
        knots, doses, entries, weeks = [*knots, following.from_week], [*doses, _dose(fixture, following)], weeks, 1
    most = dimmed.most_ppfd_umol_m2_s
    schedule = dim_schedule(
        knots,
        doses,
        photoperiod_h=_hours(fixture, step),
        full_power_ppfd_umol_m2_s=most,
        lowest_dial_fraction=min(dimmed.least_ppfd_umol_m2_s / most, HIGHEST_LOW_FRACTION),
    )
    return _Step(row=row, weeks_count=weeks, schedule=schedule, entries_count=entries)


def _price(fixture: Fixture, photoperiod_h: float) -> float:
    """Return the mean price of the hours lit, all months alike; on when it costs least where no hour is named."""
    tariff, start_h = tariff_of(fixture), fixture.costs.lights_on_h
    if start_h is None:
        return cheapest_lights_on(tariff, photoperiod_h=photoperiod_h).price_per_kwh
    return float(mean_price_per_kwh(tariff, lights_on_h=start_h, photoperiod_h=photoperiod_h))


def _hours(fixture: Fixture, step: PlanStep) -> float:
    return fixture.site.photoperiod_h if step.photoperiod_h is None else step.photoperiod_h


def _dose(fixture: Fixture, step: PlanStep) -> float:
    if step.target_dli_mol_m2_d is not None:
        return step.target_dli_mol_m2_d
    return float(daily_light_integral(float(step.target_ppfd_umol_m2_s or 0.0), _hours(fixture, step)))
