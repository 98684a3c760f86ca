"""What else could happen to the fixture: single faults, spread of parts, trim; and what its boards need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import (
    Driver,
    FaultOutcome,
    Network,
    Spread,
    StabilityAdvice,
    ToleranceResult,
    Trim,
    WarmUp,
    current_split,
    fault_table,
    stability_advice,
    tolerance_of,
    trim_driver,
    warm_up,
)
from ledcalc.circuit.changed import Circuit as Wired
from ledcalc.circuit.changed import with_heat_scaled, with_wires_scaled
from ledcalc.circuit.split import HOGGED, grown_share
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.fault_conditions import Fed, fault_conditions
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.evaluation.sinks import heat_capacity_of
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.results import WhatIf

__all__ = ["what_if"]

SAMPLES = 2000
STEADY_GAIN = 0.6
# Where boards do not share there is nothing to lose a share of: that finding comes first.
EDGE_GAIN = 0.9
LOAD_POINTS = 25
# Faults of a network grow with the cube of its boards and more.
MOST_NETWORKED = 20
# Next to none, and yet a resistance: links of none at all join their nodes.
SHORTENED = 1e-3
# The curve of what the boards need goes so far beyond the present current.
LOAD_BEYOND = 1.15


NO_LOAD = StabilityAdvice(
    loop_gain=0.0,
    words="no current, so nothing to be steady",
    ballast_ohm=0.0,
    sink_factor=1.0,
    voltage_setting_v=np.nan,
    current_setting_a=np.nan,
)


def what_if(fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, settled: Settled) -> WhatIf:
    """Return faults, tolerance, trim, load curve, advice and warm-up; light, wires and sinks stay as they settled.

    Lead sets that the driver limits separately are tried one by one; of them, the figures of the one nearest its limits
    stand for the driver.
    """
    split = settled.split
    parts = _fed_parts(placed, settled)
    advice = max((_advice(part, settled) for part in parts), key=_urgency, default=NO_LOAD)
    if not split.current_a.any():
        return _nothing(NO_LOAD, _needed_voltage(parts, settled))
    if not float(split.loop_gain) < EDGE_GAIN or _grown(settled) > HOGGED:
        return _nothing(advice, _needed_voltage(parts, settled))
    dial = Dial(
        low_a=max(model.current_low_a, 1e-3) * fixture.dimming_fraction,
        high_a=model.current_high_a * fixture.dimming_fraction,
        dimming_fraction=fixture.dimming_fraction,
    )
    trims = [_trim(part, dial, settled) for part in parts]
    # A part that even the dial's low end is too much for is the nearest its limits.
    room = [0.0 if np.isnan(trim.current_setting_a) else trim.current_setting_a for trim in trims]
    first = int(np.argmin([own if trim.limiting_board >= 0 else np.inf for own, trim in zip(room, trims, strict=True)]))
    current, voltage = _load_curve(parts[first], settled)
    return WhatIf(
        faults=tuple(
            found for part in parts if not _is_large(part) for found in _faults(part, fixture, model, settled, dial)
        ),
        # Near the edge of stability every sample would be warmed up step by step: the finding on that comes first.
        tolerance=_tolerance(parts, model, settled, dial)
        if float(split.loop_gain) < STEADY_GAIN and not any(_is_large(part) for part in parts)
        else None,
        trim=trims[first],
        cold_voltage_v=max(_cold_voltage(part.network, settled.driver, fixture.site.coldest_air_c) for part in parts),
        load_current_a=current,
        load_voltage_v=voltage,
        needed_voltage_v=_needed_voltage(parts, settled),
        without_wires_a=_without_wires(parts, settled),
        advice=advice,
        warm_up=_warm_up(parts, settled),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """Ends of the current dial, dimmed; what it is set to is the current over the dimming level."""

    low_a: float
    high_a: float
    dimming_fraction: float

    @property
    def ends_a(self) -> tuple[float, float]:
        """Low and high end."""
        return self.low_a, self.high_a


def _fed_parts(placed: Sequence[PlacedBoard], settled: Settled) -> list[Fed]:
    """Return the parts of the circuit that one limit of the driver holds for each."""
    return [
        Fed(
            boards=part.boards,
            circuit=part.circuit,
            network=part.circuit.as_network(),
            placed=[placed[number] for number in part.boards],
        )
        for part in settled.circuit.parts()
    ]


def _is_large(part: Fed) -> bool:
    """Return whether trying every fault of a network would keep one waiting."""
    return isinstance(part.network, Network) and len(part.boards) > MOST_NETWORKED


def _grown(settled: Settled) -> float:
    """Return by how much heat raised a board's share of the current over its cold one."""
    return float(grown_share(settled.cold_current_a, settled.split.current_a))


def _needed_voltage(parts: Sequence[Fed], settled: Settled) -> float:
    """Return what the current setting needs at switch-on; NaN where no board can conduct."""
    volts = [_cold_voltage(part.network, settled.driver, settled.air_c) for part in parts]
    return max(volts, default=np.nan)


def _nothing(advice: StabilityAdvice, needed_voltage_v: float) -> WhatIf:
    return WhatIf(
        faults=(),
        tolerance=None,
        trim=None,
        cold_voltage_v=float("nan"),
        load_current_a=np.zeros(0),
        load_voltage_v=np.zeros(0),
        needed_voltage_v=needed_voltage_v,
        without_wires_a=np.zeros(0),
        advice=advice,
        warm_up=None,
    )


def _urgency(advice: StabilityAdvice) -> tuple[bool, float]:
    return advice.is_hogged, advice.loop_gain


def _advice(part: Fed, settled: Settled) -> StabilityAdvice:
    return stability_advice(part.network, driver=settled.driver, ambient_c=settled.air_c)


def _trim(part: Fed, dial: Dial, settled: Settled) -> Trim:
    """Return the trim with the setting as it stands on the dial, its board numbered among all."""
    found = trim_driver(
        part.network,
        part.rated_a,
        dial.ends_a,
        driver=settled.driver,
        rated_temperature_c=part.rated_c,
        ambient_c=settled.air_c,
    )
    board = part.boards[found.limiting_board] if found.limiting_board >= 0 else -1
    setting = found.current_setting_a / dial.dimming_fraction
    return replace(found, current_setting_a=setting, limiting_board=board)


def _faults(part: Fed, fixture: Fixture, model: DriverModel, settled: Settled, dial: Dial) -> list[FaultOutcome]:
    """Return the faults of a part, their boards numbered among all and their settings as on the dial."""
    found = fault_table(
        part.network,
        part.rated_a,
        dial.ends_a,
        driver=settled.driver,
        rated_temperature_c=part.rated_c,
        ambient_c=settled.air_c,
        conditions=fault_conditions(part, fixture, model, settled),
    )
    outcomes = [replace(one, contained_by_a=one.contained_by_a / dial.dimming_fraction) for one in found]
    if len(part.boards) == len(settled.circuit.boards):
        return outcomes
    return [_among_all(outcome, part, settled) for outcome in outcomes]


def _among_all(outcome: FaultOutcome, part: Fed, settled: Settled) -> FaultOutcome:
    current, temperature = settled.split.current_a.copy(), settled.split.temperature_c.copy()
    own = list(part.boards)
    current[own], temperature[own] = outcome.current_a, outcome.temperature_c
    return replace(
        outcome,
        current_a=current,
        temperature_c=temperature,
        dark=tuple(own[number] for number in outcome.dark),
        worst_board=own[outcome.worst_board] if outcome.worst_board >= 0 else -1,
    )


def _tolerance(parts: Sequence[Fed], model: DriverModel, settled: Settled, dial: Dial) -> ToleranceResult | None:
    """Return the tolerance with the widest spread among a part's models; None where none is given.

    Of several parts, that of the one whose boards come nearest to their rating.
    """
    found = []
    for part in parts:
        given = [board.model.voltage_spread_v for board in part.placed if board.model.voltage_spread_v is not None]
        if given:
            spread = Spread(
                board_sigma_v=max(given),
                current_setting_fraction=model.current_tolerance_fraction,
                voltage_setting_fraction=model.voltage_tolerance_fraction,
            )
            rated = part.rated_a
            result = tolerance_of(
                part.network, rated, spread, driver=settled.driver, ambient_c=settled.air_c, samples=SAMPLES
            )
            found.append((result.quantile_95_a / float(rated.min()), result))
    if not found:
        return None
    worst = max(found, key=lambda pair: pair[0])[1]
    return replace(
        worst,
        setting_for_95_a=worst.setting_for_95_a / dial.dimming_fraction,
        setting_for_99_a=worst.setting_for_99_a / dial.dimming_fraction,
    )


def _cold_voltage(network: Wired, driver: Driver, coldest_c: float | None) -> float:
    if coldest_c is None:
        return float("nan")
    free = replace(driver, voltage_setting_v=1e4, power_limit_w=np.inf)
    split = current_split(with_heat_scaled(network, 0.0), driver=free, ambient_c=coldest_c)
    return float(split.driver_voltage_v)


def _load_curve(part: Fed, settled: Settled) -> tuple[FloatArray, FloatArray]:
    present = float(settled.split.current_a[list(part.boards)].sum())
    if len(part.boards) == len(settled.circuit.boards):
        present = float(settled.split.driver_current_a)
    highest = LOAD_BEYOND * max(present, 1e-3)
    current = np.linspace(highest / LOAD_POINTS, highest, LOAD_POINTS)
    free = replace(settled.driver, voltage_setting_v=1e4, power_limit_w=np.inf, current_setting_a=current)
    split = current_split(part.network, driver=free, ambient_c=settled.air_c)
    return current, np.asarray(split.driver_voltage_v)


def _without_wires(parts: Sequence[Fed], settled: Settled) -> FloatArray:
    """Return the boards' currents with runs of next to no resistance."""
    current = np.zeros(len(settled.circuit.boards))
    for part in parts:
        wires = len(part.network.cables) if isinstance(part.network, Network) else len(part.network)
        bare = with_wires_scaled(part.network, [SHORTENED] * wires)
        current[list(part.boards)] = current_split(bare, driver=settled.driver, ambient_c=settled.air_c).current_a
    return current


def _warm_up(parts: Sequence[Fed], settled: Settled) -> WarmUp | None:
    """Return the warm-up of all boards; None where a sink's heat capacity is not known, or boards have no sink."""
    boards = [board for part in parts for board in part.placed]
    shared = [board.place.shared_sink for board in boards]
    capacities = [heat_capacity_of(board.sink) for board in boards]
    floating = any(
        label is not None and board.sink.interface_resistance_k_per_w <= 0
        for label, board in zip(shared, boards, strict=True)
    )
    if len(parts) > 1 or floating or any(one is None for one in capacities):
        return None
    each = [
        float(one or 0.0) / (shared.count(label) if label is not None else 1)
        for one, label in zip(capacities, shared, strict=True)
    ]
    return warm_up(parts[0].network, each, driver=settled.driver, ambient_c=settled.air_c)
