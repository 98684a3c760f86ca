"""What to say where no steady state was found: why, and each remedy with its number."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ledcalc.circuit import Driver, stability_advice
from ledcalc.errors import NotSettledError
from ledcalc.evaluation.circuits import Circuit
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture, Site

__all__ = ["not_settled", "refuse_hot_room"]

# Air that no plant, driver or cable table knows: the room's own balance is off.
HOTTEST_ROOM_C = 90.0


def not_settled(
    fixture: Fixture, placed: Sequence[PlacedBoard], circuit: Circuit, driver: Driver, air_c: float
) -> NotSettledError:
    """Return the error, with what would give a steady state."""
    cells = fixture.origin.cells if fixture.origin else {}
    rows = {sink.tag: row for row, sink in enumerate(fixture.heat_sinks)}
    place = cells.get(f"heat_sinks[{rows[placed[0].sink.tag]}].tag", f"heat sink {placed[0].sink.tag}")
    ways = []
    for part in circuit.parts():
        advice = stability_advice(part.circuit.as_network(), driver=driver, ambient_c=air_c)
        if advice.sink_factor < 1.0:
            ways.append(f"heat sinks of {100 * advice.sink_factor:.0f} % of these K/W ({place}), interface included")
        if advice.ballast_ohm > 0:
            ways.append(f"{advice.ballast_ohm:.2g} ohm in series with every board")
        if advice.voltage_setting_v < fixture.voltage_setting_v:
            ways.append(f"a voltage setting of at most {advice.voltage_setting_v:.4g} V")
        if advice.current_setting_a < fixture.current_setting_a * fixture.dimming_fraction:
            setting = math.floor(100.0 * advice.current_setting_a / fixture.dimming_fraction) / 100.0
            ways.append(f"a current setting of at most {setting:.2f} A")
        break
    return NotSettledError(
        "no steady state was found: the boards heat up faster than their sinks carry the heat away. "
        f"Any one of these gives one: {'; '.join(ways) or 'heat sinks of lower K/W, or a lower current setting'}"
    )


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
