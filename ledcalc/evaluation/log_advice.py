"""What to turn where boards run over their rating: dial, voltage ceiling, boards to add; what each costs in light."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench import (
    DialLine,
    RatedBoards,
    boards_to_add,
    current_setting_for_rating,
    dial_line,
    voltage_ceiling_for_rating,
)
from ledcalc.errors import ArgumentError
from ledcalc.evaluation.bench_log import judged_log, meter_noise
from ledcalc.evaluation.ceiling import DIAL_STEP_V, ceiling_within_rating
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.evaluation.sensors import zeroed_logs
from ledcalc.fixture import Fixture
from ledcalc.model_curves import flux_of
from ledcalc.results import Evaluation

__all__ = ["Turn", "dial_of", "turns_of"]

NAN = float("nan")
ROOM = "room up to here by the boards' rating alone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One thing to turn: what, from where to where, and what the highest board and the light come to by it.

    ``light_fraction``: light then over light now. Numbers are NaN where ``remark`` says why there is none.
    """

    what: str
    unit: str
    now: float
    then: float
    highest_a: float
    light_fraction: float
    remark: str


def turns_of(results: Evaluation) -> tuple[Turn, ...]:
    """Return what keeps the highest board at or below its rating, at the log's confidence; none without a log."""
    judged = judged_log(results.fixture, results.boards)
    rated = None if judged is None else judged.judgement.rated
    if rated is None:
        return ()
    light = _light(results)
    return (
        _tried("current setting", "A", lambda: _setting(results, rated, light)),
        _tried("voltage ceiling", "V", lambda: _ceiling(results, rated, light)),
        _tried("boards", "boards", lambda: _added(rated, light)),
    )


def _tried(what: str, unit: str, turn: Callable[[], Turn]) -> Turn:
    try:
        return turn()
    except ArgumentError as problem:
        return Turn(
            what=what, unit=unit, now=NAN, then=NAN, highest_a=NAN, light_fraction=NAN, remark=f"none: {problem}"
        )


def _setting(results: Evaluation, rated: RatedBoards, light: Callable[[FloatArray], FloatArray] | None) -> Turn:
    fixture = results.fixture
    limited = results.operating.mode == "constant current"
    total = float(rated.current.sum())
    now = fixture.current_setting_a if limited else total
    found = current_setting_for_rating(rated, now, light_of_current=light)
    basis = "shares taken to stay" if limited else "of the boards together: the driver is not at its current setting"
    model = driver_model(fixture)
    basis += _within("the driver's dial", found.setting_a, model.current_low_a, model.current_high_a, "A")
    dial = dial_of(fixture)
    if dial is not None:
        place = dial.dial_for(total * found.ratio)
        untried = "" if place.tried else ", outside what was tried"
        basis += f"; dial log: position {place.dial:.3g} (from {place.low:.3g} to {place.high:.3g}{untried})"
    return Turn(
        what="current setting",
        unit="A",
        now=now,
        then=found.setting_a,
        highest_a=float(found.current_a.max()),
        light_fraction=found.light_fraction,
        remark=f"{basis}; {ROOM}" if found.ratio > 1 else basis,
    )


def _ceiling(results: Evaluation, rated: RatedBoards, light: Callable[[FloatArray], FloatArray] | None) -> Turn:
    what_if, operating = results.what_if, results.operating
    read = [(row.elapsed_h, row.voltage_v) for row in results.fixture.supply_log if row.voltage_v is not None]
    # The last one is of warm boards; those before it stand higher.
    now = max(read)[1] if read else operating.voltage_v
    amps, volts = what_if.load_current_a, what_if.load_voltage_v
    known = np.isfinite(volts)
    if known.sum() < 2:
        raise ArgumentError("load curve", int(known.sum()), "two points of voltage over current at least")
    slope = float(np.interp(operating.current_a, amps[known], np.gradient(volts[known], amps[known])))
    found = voltage_ceiling_for_rating(rated, now, slope_ohm=slope, light_of_current=light)
    basis = "as last read at the driver" if read else "as predicted: no voltage of the driver was read"
    held = ceiling_within_rating(results, found.ceiling_v, slope)
    if held < found.ceiling_v - DIAL_STEP_V:
        basis += f"; at more the boards as predicted pass their rating (by the readings alone {found.ceiling_v:.2f} V)"
    found = voltage_ceiling_for_rating(
        rated, now, slope_ohm=slope, voltage_half_width_v=max(found.ceiling_v - held, 0.0), light_of_current=light
    )
    model = driver_model(results.fixture)
    basis += _within("the driver's ceiling", found.ceiling_v, model.voltage_low_v, model.voltage_high_v, "V")
    return Turn(
        what="voltage ceiling",
        unit="V",
        now=now,
        then=found.ceiling_v,
        highest_a=float(rated.current.max() * found.total_a / rated.current.sum()),
        light_fraction=found.light_fraction,
        remark=f"{basis}; {slope:.2f} V per A as predicted, warm: a colder start takes less",
    )


def _within(what: str, value: float, low: float, high: float, unit: str) -> str:
    return "" if low <= value <= high else f"; beyond {what}, {low:.3g} to {high:.3g} {unit}"


def _added(rated: RatedBoards, light: Callable[[FloatArray], FloatArray] | None) -> Turn:
    found, here = boards_to_add(rated, light_of_current=light), rated.current.size
    return Turn(
        what="boards",
        unit="boards",
        now=float(here),
        then=float(here + found.count),
        highest_a=found.highest_a,
        light_fraction=found.light_fraction,
        remark="at the present current setting, on as many branches more" if found.count else "none to add",
    )


def _light(results: Evaluation) -> Callable[[FloatArray], FloatArray] | None:
    """Return a board's photon flux of its current, where all boards are one model; None: taken as proportional."""
    placed = boards_on(results.fixture)
    if len({board.model.tag for board in placed}) != 1:
        return None
    flux, warm = flux_of(placed[0].model, placed[0].points), float(results.boards.temperature_c.mean())

    def of(current: FloatArray) -> FloatArray:
        return np.array([float(flux.flux(float(amps), warm)) for amps in current])

    return of


def dial_of(fixture: Fixture) -> DialLine | None:
    """Return the line through the dial log, None with fewer than two different positions; by its first row's meter."""
    log = zeroed_logs(fixture).dial_log
    if len({row.position for row in log}) < 2:
        return None
    meter = next((each for each in fixture.meters if each.tag == log[0].meter and each.quantity == "current"), None)
    return dial_line(
        [row.position for row in log],
        [row.current_a for row in log],
        noise=None if meter is None else meter_noise(meter),
    )
