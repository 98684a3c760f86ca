"""Rules about heat: metal within reach, junctions, the room's air, the driver's case."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import OVER, driver_of, limit, turn_down
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["driver_case_hot", "hot_to_touch", "junction_over_temperature", "room_air_too_warm"]


def hot_to_touch(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Metal within reach is so hot that touching it for a moment may burn."""
    boards, air = results.boards, results.operating.air_temperature_c
    over = np.nan_to_num(boards.sink_temperature_c - boards.touch_limit_c, nan=-1.0)
    for tag in dict.fromkeys(np.array(boards.heat_sink)[over > 1e-6]):
        own = [number for number, name in enumerate(boards.heat_sink) if name == tag and over[number] > 1e-6]
        hot = max(own, key=lambda number: float(over[number]))
        row = [sink.tag for sink in fixture.heat_sinks].index(tag)
        most, warm = float(boards.touch_limit_c[hot]), float(boards.sink_temperature_c[hot])
        needed = (most - air) / float(boards.sink_heat_w[hot]) * (1.0 - limit("remedy_reserve_fraction"))
        stated = fixture.heat_sinks[row].sink_resistance_k_per_w is not None
        cooler = needed > 0
        path = f"heat_sinks[{row}]"
        changes: dict[str, Value] = {f"{path}.within_reach": "no"}
        if cooler and stated:
            changes = {f"{path}.sink_resistance_k_per_w": _rounded_down(needed)}
        yield Finding(
            code="hot-to-touch",
            severity="act",
            path=f"{path}.within_reach",
            message=f"The sink of {boards.tag[hot]} settles at {warm:.0f} degC; touching "
            f"{fixture.heat_sinks[row].surface} for a second may burn from {most:.0f} degC on.",
            value=warm,
            limit=most,
            unit="degC",
            remedy=f"guard it or hang it out of reach, at {warm:.0f} degC, and put a warning on it"
            + (f"; or use a sink of {needed:.2g} K/W or less" if cooler else ""),
            basis="ISO 13732-1 burn threshold of a 1 s contact, from memory, less 5 K for reading it",
            changes=changes,
        )


def junction_over_temperature(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The LEDs' junctions are hotter than rated."""
    boards, air = results.boards, results.operating.air_temperature_c
    over = boards.junction_temperature_c - boards.rated_junction_temperature_c
    if not np.isfinite(over).any() or np.nanmax(over) <= 1e-6:
        return
    hot = int(np.nanargmax(over))
    most, warm = float(boards.rated_junction_temperature_c[hot]), float(boards.junction_temperature_c[hot])
    remedy, changes = f"cool the room: the air alone has {air:.0f} degC", dict[str, Value]()
    if most > air:
        remedy, changes = turn_down(fixture, results.operating.set_current_a * (most - air) / (warm - air))
        present = float(boards.sink_resistance_k_per_w[hot])
        needed = present - (warm - most) / float(boards.sink_heat_w[hot])
        remedy += f"; or use a sink of {needed:.2g} K/W or less" if needed > 0 else ""
    row = [model.tag for model in fixture.boards].index(boards.model[hot])
    yield Finding(
        code="junction-over-temperature",
        severity="stop",
        path=f"boards[{row}].rated_junction_temperature_c",
        message=f"The LEDs of {boards.tag[hot]} have {warm:.1f} degC at their junctions, rated {most:.0f} degC.",
        value=warm,
        limit=most,
        unit="degC",
        remedy=remedy,
        basis="the LED's datasheet",
        changes=changes,
    )


def room_air_too_warm(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The fixture warms the room's air beyond what the crop wants."""
    site, operating = fixture.site, results.operating
    most, air = site.warmest_air_c, operating.air_temperature_c
    in_room_w = operating.mains_power_w * fixture.in_room_count
    if most is None or air <= most + 1e-6:
        return
    incoming, flow = site.air_temperature_c, site.ventilation_m3_per_h
    changes: dict[str, Value] = {}
    remedy = f"cool the air that comes in by {air - most:.1f} K"
    path = "site.air_temperature_c"
    if flow is not None and most > incoming:
        path = "site.ventilation_m3_per_h"
        per_flow = (in_room_w / (air - incoming) - site.envelope_w_per_k) / flow
        # A cooler room changes what the driver draws by a little.
        reserve = 1.0 + 4.0 * limit("remedy_reserve_fraction")
        needed = math.ceil((in_room_w / (most - incoming) - site.envelope_w_per_k) / per_flow * reserve)
        remedy, changes = f"ventilate with {needed} m3/h or more, or {remedy}", {path: float(needed)}
    yield Finding(
        code="room-air-too-warm",
        severity="act",
        path=path,
        message=f"With {in_room_w:.0f} W turned to heat in it the room settles at {air:.1f} degC; "
        f"{most:.1f} degC is the warmest wanted.",
        value=air,
        limit=most,
        unit="degC",
        remedy=remedy,
        basis="energy balance of the room; what the site wants",
        changes=changes,
    )


def driver_case_hot(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver's case is hotter than its datasheet allows."""
    row, model = driver_of(fixture)
    operating, most = results.operating, model.rated_case_temperature_c
    if most is None or not operating.case_temperature_c > most * OVER:
        return
    allowed = most - operating.air_temperature_c
    path = f"drivers[{row}].case_resistance_k_per_w"
    remedy, changes = f"cool the air around it: that alone has {operating.air_temperature_c:.0f} degC", {}
    if allowed > 0:
        needed = _rounded_down(allowed / operating.loss_w * (1.0 - limit("remedy_reserve_fraction")))
        remedy, changes = f"mount it on metal so that its case has {needed:.3g} K/W to air or less", {path: needed}
        remedy += f", or take one that loses {allowed / float(model.case_resistance_k_per_w or 1.0):.3g} W or less"
    yield Finding(
        code="driver-case-hot",
        severity="stop",
        path=path,
        message=f"{model.tag} loses {operating.loss_w:.3g} W, and its case settles at "
        f"{operating.case_temperature_c:.0f} degC, rated {most:.0f} degC.",
        value=operating.case_temperature_c,
        limit=most,
        unit="degC",
        remedy=remedy,
        basis="the driver's datasheet",
        changes=dict[str, Value](changes),
    )


def _rounded_down(value: float) -> float:
    """Return a number cut to three digits, below what it was."""
    step = 10.0 ** (math.floor(math.log10(value)) - 2)
    return float(f"{math.floor(value / step) * step:.6g}")
