"""Warm-up over time: a case with a closed form, the steady end, and what the driver must give when cold."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ledcalc.circuit import BoardCurve, Branch, Driver, Load, Network, current_split, home_run_network, warm_up
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


def by_lsoda(boards, driver, capacity, conductance, times):
    """Return temperatures and currents by SciPy's LSODA; the circuit as cold boards whose voltage is moved by hand."""

    def split(temperature):
        moved = [
            Branch(
                curve=board.curve,
                wire_resistance_ohm=board.wire_resistance_ohm,
                offset_v=float(board.curve.voltage_coefficient_v_per_k) * (warm - 25.0),
            )
            for board, warm in zip(boards, temperature, strict=True)
        ]
        return current_split(moved, driver=driver)

    def rate(_, temperature):
        found = split(temperature)
        heat = 0.5 * found.voltage_v * found.current_a
        return (heat - conductance @ (temperature - 25.0)) / capacity

    start = np.full(len(boards), 25.0)
    run = solve_ivp(rate, (0.0, times[-1]), start, method="LSODA", t_eval=times, rtol=1e-8, atol=1e-6)
    return run.y, np.array([split(temperature).current_a for temperature in run.y.T]).T


def random_case(seed):
    """Return boards, driver, capacities and a thermal matrix of one shared sink with an interface a board; about a
    third of the cases begin at the voltage ceiling, a third at the power limit, some hog."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 5))
    boards = [
        boards_of(rng.uniform(-0.03, -0.005), wire_resistance_ohm=rng.uniform(0.01, 0.3), thermal_resistance_k_per_w=r)
        for r in rng.uniform(0.5, 3.0, count)
    ]
    volts = rng.choice([60.0, rng.uniform(17.3, 18.5)])
    watts = rng.choice([np.inf, rng.uniform(10.0, 25.0) * count])
    driver = Driver(voltage_setting_v=volts, current_setting_a=rng.uniform(0.8, 2.0) * count, power_limit_w=watts)
    capacity = 10.0 ** rng.uniform(1.0, 3.5, count)
    matrix = np.diag([board.thermal_resistance_k_per_w for board in boards]) + rng.uniform(0.1, 1.0)
    return boards, driver, capacity, matrix


@pytest.mark.parametrize("seed", range(16))
@pytest.mark.parametrize("sharing", [False, True])
def test_courses_are_those_of_scipy(seed, sharing):
    boards, driver, capacity, matrix = random_case(seed)
    network = home_run_network(boards, thermal_matrix_k_per_w=matrix) if sharing else boards
    own = np.diag([board.thermal_resistance_k_per_w for board in boards])
    course = warm_up(network, capacity, 3000.0, driver=driver, moments=61)
    temperature, current = by_lsoda(boards, driver, capacity, np.linalg.inv(matrix if sharing else own), course.time_s)
    assert course.temperature_c == pytest.approx(temperature, abs=0.01)
    assert course.current_a == pytest.approx(current, rel=1e-4, abs=1e-6)


def test_boards_on_a_shared_sink_end_where_the_steady_split_says():
    matrix = np.array([[2.0, 0.8, 0.5], [0.8, 2.0, 0.8], [0.5, 0.8, 2.0]])
    network = home_run_network([boards_of(wire_resistance_ohm=ohm) for ohm in (0.02, 0.1, 0.2)])
    network = Network(cables=network.cables, boards=network.boards, thermal_matrix_k_per_w=matrix)
    driver = Driver(voltage_setting_v=60, current_setting_a=3.0)
    course, steady = warm_up(network, 150.0, 20_000.0, driver=driver), current_split(network, driver=driver)
    assert course.temperature_c[:, -1] == pytest.approx(steady.temperature_c, abs=1e-4)
    assert course.current_a[:, -1] == pytest.approx(steady.current_a, rel=1e-6)


def test_without_a_duration_it_ends_where_it_is_steady():
    """A lump of 600 s without voltage coefficient slows to 0.5 K/h after tau ln(rise / tau 3600 / 0.5)."""
    driver = Driver(voltage_setting_v=40, current_setting_a=1.0)
    course = warm_up([boards_of(0.0)], 300.0, driver=driver)
    rise = 2.0 * 0.5 * course.driver_voltage_v[0]
    assert course.is_steady
    assert course.time_s[-1] == pytest.approx(600.0 * np.log(rise / 600.0 * 3600.0 / 0.5), rel=0.01)
    slow = warm_up([boards_of(0.0, thermal_resistance_k_per_w=20.0)], 15_000.0, driver=driver)
    assert slow.time_s[-1] == pytest.approx(48 * 3600.0)
    assert not slow.is_steady


def test_what_runs_away_ends_in_no_numbers():
    """At constant voltage, with no wire and a large sink resistance, nothing holds a board back."""
    runaway = boards_of(-0.08, thermal_resistance_k_per_w=40.0)
    driver = Driver(voltage_setting_v=18.0, current_setting_a=np.inf)
    for duration in (None, 3600.0):
        course = warm_up([runaway], 100.0, duration, driver=driver)
        assert not course.is_steady
    assert np.isnan(course.temperature_c[0, -1])
    assert np.isnan(course.current_a[0, -1])
    assert course.temperature_c[0, 1] > 25.0


def test_boards_that_cannot_be_told_apart_are_refused():
    network = home_run_network([boards_of()] * 2, thermal_matrix_k_per_w=np.full((2, 2), 1.5))
    with pytest.raises(ArgumentError, match="interface resistance above 0"):
        warm_up(network, 100.0, 100.0, driver=Driver(voltage_setting_v=60, current_setting_a=1.0))
