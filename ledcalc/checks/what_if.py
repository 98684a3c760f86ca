"""Rules about what else could happen: single faults, spread of parts, the cold start."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ledcalc.checks.limits import OVER, apart, dial_down, driver_of, limit, limit_source
from ledcalc.circuit import FaultOutcome
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["cold_start_dim", "fault_over_limits", "spread_over_rating"]

SETTING = "fixture.current_setting_a"
# An open board is the rule on a lost branch; these are noted, for they need a part to fail or a hand to turn a dial.
ELSEWHERE = ("board open",)
NOTED = ("LED shorted", "LED open", "driver at its highest")
OVERLOADS = ("rated current", "rated temperature", "no steady state")
# The light going out is worth a word where the site itself, no broken part, brings it about.
BY_THE_SITE = ("hottest day", "cold start", "fans off")
OUT = "driver's cut-off voltage"


def fault_over_limits(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A single fault would take a board over its limits while the rest looks healthy."""
    outcomes = [
        found
        for found in results.what_if.faults
        if set(found.exceeds) & set(OVERLOADS) or (OUT in found.exceeds and found.kind in BY_THE_SITE)
    ]
    is_healthy = (results.boards.current_a <= results.boards.rated_current_a * OVER).all() and (
        results.boards.temperature_c <= results.boards.rated_temperature_c + 1e-6
    ).all()
    if not is_healthy:
        return
    for kind in dict.fromkeys(found.kind for found in outcomes if found.kind not in ELSEWHERE):
        worst = max((found for found in outcomes if found.kind == kind), key=lambda found: found.used_fraction)
        remedy, changes = _containing(fixture, worst)
        yield Finding(
            code="fault-over-limits",
            severity="note" if kind in NOTED else "act",
            path=SETTING,
            message=f"{_said(worst)}: {_consequence(results, worst)}.",
            value=worst.used_fraction,
            limit=1.0,
            unit="of its limit",
            remedy=remedy,
            basis="the board's datasheet rating; the circuit solved with that fault",
            changes=changes,
        )


def spread_over_rating(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """With the spread of boards and settings given, too many fixtures would have a board over its rating."""
    tolerance = results.what_if.tolerance
    allowed = limit("over_rating_chance")
    if tolerance is None or tolerance.chance_over_rating_fraction <= allowed:
        return
    setting = dial_down(tolerance.setting_for_95_a) if math.isfinite(tolerance.setting_for_95_a) else float("nan")
    reached = setting >= driver_of(fixture)[1].current_low_a
    count = tolerance.boards_for_95_count
    more = f", or take {count} boards" if count > len(results.boards.tag) else ""
    wanted = f"set the driver's current to {setting:.2f} A" if reached else "match the boards by voltage"
    yield Finding(
        code="spread-over-rating",
        severity="act",
        path=SETTING,
        message=f"Of fixtures built like this one, {100 * tolerance.chance_over_rating_fraction:.0f} % would have a "
        "board over its rated current: boards of one model differ, and so do settings.",
        value=tolerance.chance_over_rating_fraction,
        limit=allowed,
        unit="of fixtures",
        remedy=f"{wanted}{more}; or measure the branches and trim",
        basis=limit_source("over_rating_chance"),
        changes={SETTING: setting} if reached else {},
    )


def cold_start_dim(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Switched on cold, the boards need more voltage than the ceiling gives, and stay dim until they have warmed up."""
    needed = results.what_if.cold_voltage_v
    if results.operating.mode != "constant current" or not needed > fixture.voltage_setting_v * OVER:
        return
    _, model = driver_of(fixture)
    setting = math.ceil(needed * 10.0) / 10.0
    within = setting <= model.voltage_high_v
    changes: dict[str, Value] = {"fixture.voltage_setting_v": setting} if within else {}
    yield Finding(
        code="cold-start-dim",
        severity="note",
        path="fixture.voltage_setting_v",
        message=f"At {fixture.site.coldest_air_c:g} degC the boards need {needed:.4g} V for the set current; the "
        f"ceiling of {fixture.voltage_setting_v:.4g} V holds them below it until they have warmed up.",
        value=needed,
        limit=fixture.voltage_setting_v,
        unit="V",
        remedy=f"set the driver's voltage to {setting:.1f} V" if within else "let it warm up, or warm the room first",
        basis="the boards' own points and voltage coefficient",
        changes=changes,
    )


def _said(outcome: FaultOutcome) -> str:
    if outcome.kind in {"hottest day", "cold start", "fans off", "driver at its highest"}:
        return f"{outcome.kind.capitalize()} ({outcome.where})"
    kind = outcome.kind if outcome.kind.startswith("LED") else outcome.kind.capitalize()
    return f"{kind} at {outcome.where}"


def _consequence(results: Evaluation, outcome: FaultOutcome) -> str:
    if "no steady state" in outcome.exceeds:
        return "the boards find no steady state"
    if OUT in outcome.exceeds:
        return f"the boards need {outcome.driver_voltage_v:.3g} V, below the driver's cut-off, and it switches off"
    boards, number = results.boards, outcome.worst_board
    amps, rated_a = apart(float(outcome.current_a[number]), float(boards.rated_current_a[number]))
    degrees, rated_c = apart(float(outcome.temperature_c[number]), float(boards.rated_temperature_c[number]), ".0f")
    return (
        f"{boards.tag[number]} takes {amps} A (rated {rated_a} A) and gets {degrees} degC warm (rated {rated_c} degC)"
    )


def _containing(fixture: Fixture, outcome: FaultOutcome) -> tuple[str, dict[str, Value]]:
    _, model = driver_of(fixture)
    if OUT in outcome.exceeds:
        lower = math.floor(outcome.driver_voltage_v)
        return f"take a driver that runs down to {lower} V, or cooler sinks, so that the boards need more", {}
    if outcome.kind == "driver at its highest":
        ends = f"{model.voltage_high_v:.4g} V and {model.current_high_a:.4g} A"
        return f"mark or lock the dials: their high ends are {ends}", {}
    setting = dial_down(outcome.contained_by_a) if math.isfinite(outcome.contained_by_a) else float("nan")
    if setting >= model.current_low_a:
        return f"a current setting of {setting:.2f} A would contain it", {SETTING: setting}
    return "no setting on this dial contains it: use sinks of lower K/W, a ballast, or a fuse a branch", {}
