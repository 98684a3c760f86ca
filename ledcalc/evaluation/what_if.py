"""What else could happen to the fixture: single faults, spread of parts, trim; and what its boards need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import (
    Driver,
    FaultConditions,
    LedLayout,
    Spread,
    ToleranceResult,
    current_split,
    fault_table,
    tolerance_of,
    trim_driver,
)
from ledcalc.circuit.changed import Circuit, with_heat_scaled
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.results import WhatIf

__all__ = ["what_if"]

SAMPLES = 2000
STEADY_GAIN = 0.6
# Where boards do not share there is nothing to lose a share of: that finding comes first.
EDGE_GAIN, HOGGED = 0.9, 1.5
LOAD_POINTS = 25
# The curve of what the boards need goes so far beyond the present current.
LOAD_BEYOND = 1.15


_NOTHING = WhatIf(
    faults=(),
    tolerance=None,
    trim=None,
    cold_voltage_v=float("nan"),
    load_current_a=np.zeros(0),
    load_voltage_v=np.zeros(0),
)


def what_if(fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, settled: Settled) -> WhatIf:
    """Return faults, tolerance, trim and the load curve; radiant shares, wires and sinks stay as they settled."""
    split = settled.split
    if not float(split.loop_gain) < EDGE_GAIN or split.current_a.max() > HOGGED * split.current_a.mean():
        return _NOTHING
    network, driver, air = settled.circuit.as_network(), settled.driver, fixture.site.air_temperature_c
    rated = np.array([board.model.rated_current_a for board in placed])
    hottest = np.array([board.model.rated_temperature_c for board in placed])
    dial = (max(model.current_low_a, 1e-3), model.current_high_a)
    current, voltage = _load_curve(network, driver, air, float(settled.split.driver_current_a))
    return WhatIf(
        faults=fault_table(
            network,
            rated,
            dial,
            driver=driver,
            rated_temperature_c=hottest,
            ambient_c=air,
            conditions=_conditions(fixture, placed, model, settled),
        ),
        # Near the edge of stability every sample would be warmed up step by step: the finding on that comes first.
        tolerance=_tolerance(network, placed, model, driver, air)
        if float(settled.split.loop_gain) < STEADY_GAIN
        else None,
        trim=trim_driver(network, rated, dial, driver=driver, rated_temperature_c=hottest, ambient_c=air),
        cold_voltage_v=_cold_voltage(network, driver, fixture.site.coldest_air_c),
        load_current_a=current,
        load_voltage_v=voltage,
    )


def _conditions(
    fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, settled: Settled
) -> FaultConditions:
    sinks = settled.sink_k_per_w
    interface = np.array([board.sink.interface_resistance_k_per_w for board in placed])
    factors = np.array([board.sink.fans_off_factor for board in placed])
    # One factor for board to air as a whole, the worst of the sinks': the interface has no fan.
    whole = (interface + sinks * factors) / np.maximum(interface + sinks, 1e-12)
    return FaultConditions(
        board_names=[board.place.tag for board in placed],
        link_names=settled.circuit.link_names(),
        leds=[_leds(board) for board in placed],
        fans_off_factor=float(max(whole.max(), 1.0)),
        highest=replace(
            settled.driver,
            voltage_setting_v=max(model.voltage_high_v, fixture.voltage_setting_v),
            current_setting_a=max(model.current_high_a, fixture.current_setting_a),
        ),
        hottest_c=fixture.site.hottest_air_c,
        coldest_c=fixture.site.coldest_air_c,
    )


def _leds(board: PlacedBoard) -> LedLayout | None:
    model = board.model
    if model.led_series_count is None:
        return None
    return LedLayout(
        series_count=model.led_series_count, parallel_count=model.led_parallel_count, layout=model.led_layout
    )


def _tolerance(
    network: Circuit, placed: Sequence[PlacedBoard], model: DriverModel, driver: Driver, air: float
) -> ToleranceResult | None:
    """Return the tolerance with the widest spread among the fixture's models; None where none is given."""
    given = [board.model.voltage_spread_v for board in placed if board.model.voltage_spread_v is not None]
    if not given:
        return None
    spread = Spread(
        board_sigma_v=max(given),
        current_setting_fraction=model.current_tolerance_fraction,
        voltage_setting_fraction=model.voltage_tolerance_fraction,
    )
    rated = [board.model.rated_current_a for board in placed]
    return tolerance_of(network, rated, spread, driver=driver, ambient_c=air, samples=SAMPLES)


def _cold_voltage(network: Circuit, driver: Driver, coldest_c: float | None) -> float:
    if coldest_c is None:
        return float("nan")
    free = replace(driver, voltage_setting_v=1e4, power_limit_w=np.inf)
    split = current_split(with_heat_scaled(network, 0.0), driver=free, ambient_c=coldest_c)
    return float(split.driver_voltage_v)


def _load_curve(network: Circuit, driver: Driver, air: float, present_a: float) -> tuple[FloatArray, FloatArray]:
    highest = LOAD_BEYOND * max(present_a, 1e-3)
    current = np.linspace(highest / LOAD_POINTS, highest, LOAD_POINTS)
    free = replace(driver, voltage_setting_v=1e4, power_limit_w=np.inf, current_setting_a=current)
    split = current_split(network, driver=free, ambient_c=air)
    return current, np.asarray(split.driver_voltage_v)
