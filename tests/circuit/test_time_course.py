"""Warm-up over time: a case with a closed form, the steady end, and what the driver must give when cold."""

import numpy as np
import pytest

from ledcalc.circuit import BoardCurve, Branch, Driver, Load, Network, current_split, warm_up
from ledcalc.errors import ArgumentError


def boards_of(coefficient=-0.02, **changes):
    curve = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=coefficient)
    return Branch(**({"curve": curve, "thermal_resistance_k_per_w": 2.0, "radiant_fraction": 0.5} | changes))


def test_without_voltage_coefficient_the_rise_is_exponential():
    """Constant heat into one lump: T = T air + R Q (1 - exp(-t / R C)); 95 % at 2.9957 time constants."""
    course = warm_up(
        [boards_of(0.0)], 300.0, 6000.0, driver=Driver(voltage_setting_v=40, current_setting_a=1.0), moments=601
    )
    heat = 0.5 * course.driver_voltage_v[0]
    expected = 25.0 + 2.0 * heat * (1.0 - np.exp(-course.time_s / 600.0))
    assert course.temperature_c[0] == pytest.approx(expected, abs=1e-4)
    # The rise at the end is within exp(-10) of the steady one.
    assert course.time_to_95_s[0] == pytest.approx(-600.0 * np.log(0.05), rel=1e-3)


@pytest.mark.parametrize(
    "driver",
    [
        Driver(voltage_setting_v=60, current_setting_a=2.0),
        Driver(voltage_setting_v=18.0, current_setting_a=50.0),
        Driver(voltage_setting_v=60, current_setting_a=50.0, power_limit_w=40.0),
    ],
)
def test_the_end_is_the_steady_split(driver):
    branches = [boards_of(wire_resistance_ohm=ohm) for ohm in (0.02, 0.1)]
    course, steady = warm_up(branches, 200.0, 20_000.0, driver=driver), current_split(branches, driver=driver)
    assert course.is_steady
    assert course.temperature_c[:, -1] == pytest.approx(steady.temperature_c, abs=1e-3)
    assert course.current_a[:, -1] == pytest.approx(steady.current_a, rel=1e-4)


def test_cold_boards_need_the_most_voltage_and_a_short_look_is_not_steady():
    course = warm_up([boards_of()] * 2, 500.0, 300.0, driver=Driver(voltage_setting_v=60, current_setting_a=2.0))
    assert course.cold_driver_voltage_v == course.driver_voltage_v.max()
    assert not course.is_steady


def test_a_network_warms_up_as_well():
    board = boards_of()
    loads = [
        Load("P", "x", board.curve, thermal_resistance_k_per_w=2.0, radiant_fraction=0.5),
        Load("x", "N", board.curve, thermal_resistance_k_per_w=3.0, radiant_fraction=0.5),
    ]
    course = warm_up(
        Network(cables=[], boards=loads),
        [200.0, 100.0],
        10_000.0,
        driver=Driver(voltage_setting_v=60, current_setting_a=0.8),
    )
    assert course.current_a == pytest.approx(np.full((2, 121), 0.8), rel=1e-9)
    assert course.temperature_c[1, -1] > course.temperature_c[0, -1]


@pytest.mark.parametrize(
    ("branches", "capacity", "words"),
    [
        ([boards_of(wire_resistance_ohm=[0.1, 0.2])], 100.0, "variants"),
        ([boards_of(thermal_resistance_k_per_w=0.0)], 100.0, "thermal_resistance"),
        ([boards_of()], 0.0, "heat_capacity"),
    ],
)
def test_what_cannot_be_followed_is_refused(branches, capacity, words):
    with pytest.raises(ArgumentError, match=words):
        warm_up(branches, capacity, 100.0, driver=Driver(voltage_setting_v=60, current_setting_a=1.0))
