"""What to say where no steady state was found: why, and each remedy with its number."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

from ledcalc.circuit import Driver, stability_advice
from ledcalc.errors import NotSettledError
from ledcalc.evaluation.circuits import Circuit
from ledcalc.evaluation.parts import driver_model
from ledcalc.fixture import Fixture, Site
from ledcalc.schema import sheet

__all__ = ["Unsettled", "not_settled", "refuse_hot_room"]

# Air that no plant, driver or cable table knows: the room's own balance is off.
HOTTEST_ROOM_C = 90.0
# Each way, and each try that fails, warms the boards up from cold once: this bounds the work.
MOST_TRIES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsettled:
    """The circuit in the round at which no steady state was found."""

    circuit: Circuit
    driver: Driver
    air_c: float


def not_settled(fixture: Fixture, found: Unsettled, settles: Callable[[Fixture], bool]) -> NotSettledError:
    """Return the error, with what would give a steady state; ``settles`` tries each before it is named."""
    parts = found.circuit.parts()
    advice = stability_advice(parts[0].circuit.as_network(), driver=found.driver, ambient_c=found.air_c)
    tries = (
        (_sinks, advice.sink_factor, 0.9),
        (_ballast, advice.ballast_ohm, 1.2),
        (_voltage, advice.voltage_setting_v, 0.995),
        (_current, advice.current_setting_a / fixture.dimming_fraction, 0.9),
    )
    ways = [words for way, start, step in tries if (words := _that_holds(fixture, way, start, step, settles))]
    return NotSettledError(
        "no steady state was found: the boards heat up faster than their sinks carry the heat away. "
        f"Any one of these gives one: {'; '.join(ways) or 'heat sinks of lower K/W, or a lower current setting'}"
    )


# None where this fixture cannot be changed so.
Way: TypeAlias = Callable[[Fixture, float], tuple[str, Fixture] | None]


def _that_holds(fixture: Fixture, way: Way, start: float, step: float, settles: Callable[[Fixture], bool]) -> str:
    """Return a remedy's words at the first value, going on by steps, at which it holds; empty where none does.

    Light falls as boards warm, and more of the power is heat: what the circuit alone asks for may be too little.
    """
    value = start
    for _ in range(MOST_TRIES if math.isfinite(start) and start > 0 else 0):
        turned = way(fixture, value)
        if turned is None:
            return ""
        words, changed = turned
        if settles(changed):
            return words
        value *= step
    return ""


def _sinks(fixture: Fixture, factor: float) -> tuple[str, Fixture] | None:
    # Sinks by dimensions cannot be scaled.
    if any(sink.sink_resistance_k_per_w is None for sink in fixture.heat_sinks):
        return None
    share = math.floor(100.0 * factor) / 100.0
    sinks = tuple(
        replace(
            sink,
            sink_resistance_k_per_w=sink.sink_resistance_k_per_w * share if sink.sink_resistance_k_per_w else None,
            interface_resistance_k_per_w=sink.interface_resistance_k_per_w * share,
        )
        for sink in fixture.heat_sinks
    )
    words = f"heat sinks of {100 * share:.0f} % of these K/W ({_sink_place(fixture)}), interface included"
    return words, replace(fixture, heat_sinks=sinks)


def _sink_place(fixture: Fixture) -> str:
    cells = fixture.origin.cells if fixture.origin else {}
    row = [sink.tag for sink in fixture.heat_sinks].index(fixture.heat_sink)
    _, found, cell = cells.get(f"heat_sinks[{row}].tag", "").rpartition("!")
    return f"{sheet('heat_sinks').title}!{cell}" if found else f"heat sink {fixture.heat_sink}"


def _ballast(fixture: Fixture, ohm: float) -> tuple[str, Fixture] | None:
    if fixture.arrangement != "home runs":
        return None
    more = math.ceil(100.0 * ohm) / 100.0
    runs = tuple(replace(run, contact_resistance_ohm=run.contact_resistance_ohm + more) for run in fixture.cables)
    return f"{more:.2f} ohm in series with every board", replace(fixture, cables=runs)


def _voltage(fixture: Fixture, setting_v: float) -> tuple[str, Fixture] | None:
    setting = math.floor(100.0 * setting_v) / 100.0
    if not max(driver_model(fixture).voltage_low_v, 0.01) <= setting < fixture.voltage_setting_v:
        return None
    return f"a voltage setting of at most {setting:.2f} V", replace(fixture, voltage_setting_v=setting)


def _current(fixture: Fixture, setting_a: float) -> tuple[str, Fixture] | None:
    setting = math.floor(100.0 * setting_a) / 100.0
    if not max(driver_model(fixture).current_low_a, 0.01) <= setting < fixture.current_setting_a:
        return None
    return f"a current setting of at most {setting:.2f} A", replace(fixture, current_setting_a=setting)


def refuse_hot_room(site: Site, air_c: float, mains_power_w: float) -> None:
    """Raise where the ventilation stated would let the room grow as hot as an oven.

    Raises
    ------
    NotSettledError: the air would pass 90 degC
    """
    if air_c <= max(HOTTEST_ROOM_C, site.air_temperature_c):
        return
    flow = float(site.ventilation_m3_per_h or 0.0)
    per_flow = (mains_power_w / (air_c - site.air_temperature_c) - site.envelope_w_per_k) / max(flow, 1e-9)
    wanted = math.ceil(max(mains_power_w / 10.0 - site.envelope_w_per_k, 0.0) / max(per_flow, 1e-9))
    raise NotSettledError(
        f"with {flow:g} m3/h of ventilation the room's air would pass {HOTTEST_ROOM_C:.0f} degC; {wanted} m3/h would "
        "keep it within 10 K of the air that comes in"
    )
