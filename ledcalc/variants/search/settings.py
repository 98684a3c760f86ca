"""The driver's current at which a fixture gives the mean that is asked for, and no more."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

from ledcalc.errors import InputErrors, LedcalcError
from ledcalc.evaluation.cost import cost_results
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.evaluate import check_fixture
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.fixture import Fixture
from ledcalc.variants.search.bounds import SHARE_FRACTION, Bounded
from ledcalc.variants.search.built import Candidate, built
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["SetFixture", "set_fixture"]

# How far above its least a current is looked for first, and how exactly.
FIRST_STEP = 1.04
ENOUGH_A = 1e-4
HOLDS = "constant current"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetFixture:
    """A fixture with its driver set; ``objectives``: what it comes to. ``reason``: why there is none, if so."""

    fixture: Fixture | None = None
    objectives: dict[str, float]
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lit:
    """A fixture at a setting; the mean PPFD counts where the driver holds the current."""

    mode: str
    mean_umol_m2_s: float
    flux_umol_s: float
    mains_power_w: float


def set_fixture(catalogue: Fixture, target: DesignTarget, space: DesignSpace, bounded: Bounded) -> SetFixture:
    """Return a candidate with its driver at the lowest step of its dial that gives the mean asked for."""
    candidate = bounded.candidate
    bare = built(catalogue, target, space, candidate)
    try:
        check_fixture(bare)
        return _set(bare, target, space, bounded)
    except InputErrors as problem:
        return SetFixture(objectives={}, reason="; ".join(str(entry) for entry in problem.problems))
    except LedcalcError as problem:
        return SetFixture(objectives={}, reason=str(problem))


def _set(bare: Fixture, target: DesignTarget, space: DesignSpace, bounded: Bounded) -> SetFixture:
    candidate, step = bounded.candidate, space.setting_step_a
    driver, model = candidate.driver, candidate.board.model
    lowest = driver.current_low_a
    highest = min(driver.current_high_a, candidate.strings * model.rated_current_a)
    if lowest > highest:
        return SetFixture(
            objectives={}, reason=f"{driver.tag} gives at least {lowest:g} A: more than the boards' rating"
        )
    amps = _least_setting(bare, candidate, target, lowest, highest, candidate.strings * bounded.least_current_a)
    if math.isnan(amps):
        return SetFixture(objectives={}, reason=f"too little light at {highest:.4g} A, the most for boards and driver")
    # The root is known within ENOUGH_A: where that leaves two steps, the lower one is tried first.
    first = max(math.ceil((amps - ENOUGH_A - lowest) / step), 0)
    for number in (first, first + 1):
        on_dial = min(lowest + number * step, driver.current_high_a)
        found = dataclasses.replace(bare, current_setting_a=round(on_dial, 9))
        lit = _lit(found, candidate)
        if lit.mean_umol_m2_s >= target.mean_ppfd_umol_m2_s:
            break
    if lit.mode != HOLDS:
        return SetFixture(objectives={}, reason=f"{driver.tag} does not hold the current ({lit.mode})")
    canopy = lit.mean_umol_m2_s * found.crop_width_m * found.crop_depth_m
    cost = cost_results(
        found, mains_power_w=lit.mains_power_w, photon_flux_umol_s=lit.flux_umol_s, canopy_flux_umol_s=canopy
    )
    bought = cost.purchase.total_cost if cost.purchase else math.nan
    objectives = {"purchase_cost": bought, "mains_power_w": lit.mains_power_w, "owning_cost": cost.owning_cost}
    return SetFixture(fixture=found, objectives=objectives)


def _least_setting(
    bare: Fixture, candidate: Candidate, target: DesignTarget, lowest_a: float, highest_a: float, least_a: float
) -> float:
    """Return the current of the driver that just gives the mean; NaN where the highest does not."""
    from scipy.optimize import brentq

    def missing(amps: float) -> float:
        lit = _lit(dataclasses.replace(bare, current_setting_a=float(amps)), candidate)
        return target.mean_ppfd_umol_m2_s - lit.mean_umol_m2_s

    low = max(lowest_a, min(least_a, highest_a))
    if missing(low) <= 0:
        # Boards share so unevenly that even this is enough; or the dial goes no lower.
        if low <= lowest_a or missing(lowest_a) <= 0:
            return lowest_a
        return float(brentq(missing, lowest_a, low, xtol=ENOUGH_A))
    for high in (min(low * FIRST_STEP / SHARE_FRACTION, highest_a), highest_a):
        if missing(high) <= 0:
            return float(brentq(missing, low, high, xtol=ENOUGH_A))
    return math.nan


def _lit(fixture: Fixture, candidate: Candidate) -> _Lit:
    settled = settle(fixture, boards_on(fixture), driver_model(fixture))
    flux = settled.photon_flux_umol_s
    return _Lit(
        mode=str(settled.split.mode),
        mean_umol_m2_s=float(candidate.layout.mean_per_flux @ flux),
        flux_umol_s=float(flux.sum()),
        mains_power_w=settled.draw.mains_power_w,
    )
