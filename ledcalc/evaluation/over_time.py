"""What the inputs ask for over time: ageing where boards name a maintenance table, and the light plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.ageing import ageing_results
from ledcalc.evaluation.dimmed import AtLimit, dimmed_light, settled_anew
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.light import light_per_flux
from ledcalc.evaluation.light_plan import light_plan_results
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.photons import LightSource
from ledcalc.results import AgeingResults, DimmedLight, LightPlanResults, LightResults

__all__ = ["OverTime", "asks_over_time", "over_time_of", "over_time_results"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OverTime:
    """What was asked for, None for the rest."""

    ageing: AgeingResults | None = None
    dimmed: DimmedLight | None = None
    light_plan: LightPlanResults | None = None


def over_time_results(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    model: DriverModel,
    settled: Settled,
    light: LightResults,
    sources: Sequence[LightSource],
) -> OverTime:
    """Return ageing and light plan; what they need of the fixture at other currents is worked out for them only.

    ``sources``: this fixture's. Others are it hung again: their dials turn with its own, and they age with it.
    """
    if not asks_over_time(fixture, placed):
        return OverTime()
    x, y = np.meshgrid(light.x_m, light.y_m)
    shares = light_per_flux(fixture, sources, x, y).mean(axis=(1, 2))
    added = shares * settled.photon_flux_umol_s
    points = settled_anew(fixture, placed, model, settled, shares)
    return over_time_of(fixture, placed, model, settled.split.temperature_c, added, points)


def asks_over_time(fixture: Fixture, placed: Sequence[PlacedBoard]) -> bool:
    """Return whether a board names a maintenance table, or there is a light plan."""
    return bool(fixture.light_plan) or any(board.model.maintenance is not None for board in placed)


def over_time_of(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    model: DriverModel,
    temperature_c: FloatArray,
    light_umol_m2_s: FloatArray,
    points: Iterable[tuple[float, AtLimit | None]],
) -> OverTime:
    """Return the same from the boards' temperatures and light, and the fixture at other currents, taken if needed.

    ``light_umol_m2_s``: what each board adds to the mean PPFD, its likes in other fixtures included.
    """
    ageing = ageing_results(fixture, placed, temperature_c, light_umol_m2_s)
    holds = ageing is not None and not ageing.reason and bool(np.isfinite(ageing.held_ppfd_umol_m2_s))
    dimmed = dimmed_light(fixture, model, points) if holds or fixture.light_plan else None
    return OverTime(ageing=ageing, dimmed=dimmed, light_plan=light_plan_results(fixture, model, dimmed))
