"""Curves from points at several temperatures: a synthetic diode given back, and circuits of boards whose coefficient
goes with the current against root finders, finite differences and simulation in time."""

import numpy as np
import pytest
from scipy.constants import Boltzmann, elementary_charge
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ledcalc.circuit import BoardCurve, Branch, Driver, Link, Load, Network, current_split, led_matrix
from ledcalc.circuit.warm_up import HOTTEST_RISE_K
from ledcalc.errors import ArgumentError

IN_SERIES, IDEALITY, GAP_EV, SERIES_OHM = 14, 1.6, 2.4, 0.9
AMPS = np.array([0.05, 0.1, 0.2, 0.4, 0.7, 1.0, 1.5, 2.0])
PER_LOG_V_PER_K = IN_SERIES * IDEALITY * Boltzmann / elementary_charge


def diode_v(current_a, temperature_c):
    """Return the voltage of a string of single diodes: n kT/q ln(I/Is(T)), Is = A exp(-E/(n kT)), and resistance."""
    thermal_v = IDEALITY * Boltzmann * (np.asarray(temperature_c) + 273.15) / elementary_charge
    log_saturation = np.log(1e4) - GAP_EV / thermal_v
    return IN_SERIES * thermal_v * (np.log(current_a) - log_saturation) + SERIES_OHM * np.asarray(current_a)


def measured(temperatures=(0.0, 25.0, 85.0), currents=AMPS):
    amps, celsius = (grid.ravel() for grid in np.meshgrid(currents, temperatures))
    return amps, diode_v(amps, celsius), celsius


CURVE = BoardCurve.from_points_at_temperatures(*measured())
PLAIN = BoardCurve.from_diode(0.45, 5e-28, 1.0, voltage_coefficient_v_per_k=-0.03)


def test_a_synthetic_diode_is_given_back():
    assert CURVE.reference_temperature_c == 25.0
    for temperature in (-20.0, 0.0, 40.0, 85.0, 110.0):
        assert CURVE.voltage(AMPS, temperature) == pytest.approx(diode_v(AMPS, temperature), rel=1e-11)
    coefficient = CURVE.coefficient(AMPS)
    assert coefficient == pytest.approx(diode_v(AMPS, 26.0) - diode_v(AMPS, 25.0), rel=1e-9)
    assert np.diff(coefficient) == pytest.approx(PER_LOG_V_PER_K * np.diff(np.log(AMPS)), rel=1e-9)


def test_between_the_points_it_stays_close_and_outside_the_coefficient_is_held():
    between = np.geomspace(0.05, 2.0, 60)
    assert CURVE.voltage(between, 85.0) == pytest.approx(diode_v(between, 85.0), rel=5e-4)
    assert CURVE.coefficient([0.0, 1e-6, 0.01]) == pytest.approx([CURVE.coefficient(0.05)] * 3, rel=1e-12)
    assert CURVE.coefficient(5.0) == pytest.approx(CURVE.coefficient(2.0), rel=1e-12)


def test_points_in_any_order_and_few_of_them():
    amps, volts, celsius = measured()
    order = np.random.default_rng(1).permutation(amps.size)
    shuffled = BoardCurve.from_points_at_temperatures(amps[order], volts[order], celsius[order])
    assert shuffled.voltage(0.33, 60.0) == pytest.approx(CURVE.voltage(0.33, 60.0), rel=1e-12)
    # One warm point: the same coefficient at every current.
    few = BoardCurve.from_points_at_temperatures([0.5, 1.0, 1.0], [35.0, 37.0, 36.0], [25.0, 25.0, 75.0])
    assert few.coefficient([0.1, 0.5, 3.0]) == pytest.approx([-0.02] * 3)
    assert few.course is None


def test_the_reference_is_the_series_nearest_25_degrees_or_the_one_named():
    amps, volts, celsius = measured((10.0, 60.0, 85.0))
    lone = np.append(amps, 0.4), np.append(volts, diode_v(0.4, 25.0)), np.append(celsius, 25.0)
    assert BoardCurve.from_points_at_temperatures(*lone).reference_temperature_c == 10.0
    named = BoardCurve.from_points_at_temperatures(*lone, reference_temperature_c=85.0)
    assert named.reference_temperature_c == 85.0
    assert named.voltage(AMPS, 10.0) == pytest.approx(diode_v(AMPS, 10.0), rel=1e-9)


def test_a_coefficient_is_never_above_zero():
    """Voltages that rise with the temperature are a fault of the readings."""
    rising = BoardCurve.from_points_at_temperatures([0.5, 1.0, 0.5, 1.0], [35, 37, 35.5, 37.5], [25, 25, 75, 75])
    assert rising.coefficient([0.1, 0.7, 2.0]).tolist() == [0.0, 0.0, 0.0]
    partly = BoardCurve.from_points_at_temperatures([0.5, 1.0, 0.5, 1.0], [35, 37, 34.9, 37.1], [25, 25, 75, 75])
    assert partly.coefficient(0.5) == pytest.approx(-0.002)
    assert partly.coefficient([0.9, 1.0]).tolist() == [0.0, 0.0]
    assert partly.slope(0.9, 75.0) == partly.slope(0.9)


def test_slopes_against_finite_differences():
    step = 1e-6
    for temperature in (0.0, 60.0, 120.0):
        for amps in (0.02, 0.07, 0.33, 0.8, 1.9, 2.4):
            low, high = (CURVE.voltage(amps + sign * step, temperature) for sign in (-1, 1))
            assert CURVE.slope(amps, temperature) == pytest.approx((high - low) / (2 * step), rel=1e-5)
    assert CURVE.slope(0.5) == CURVE.slope(0.5, 25.0)


def test_arrays_equal_single_numbers():
    amps, celsius = np.array([0.0, 0.03, 0.5, 3.0]), np.array([[0.0], [90.0]])
    volts, ohms = CURVE.voltage(amps, celsius), CURVE.slope(amps, celsius)
    for row in range(2):
        for column in range(4):
            alone = float(amps[column]), float(celsius[row, 0])
            assert volts[row, column] == pytest.approx(CURVE.voltage(*alone), rel=1e-14)
            assert ohms[row, column] == pytest.approx(CURVE.slope(*alone), rel=1e-14)
    assert isinstance(CURVE.voltage(0.5, 40.0), float)
    assert isinstance(CURVE.coefficient(0.5), float)


@pytest.mark.parametrize(
    ("points", "more", "words"),
    [
        (([0.5, 1.0], [35, 37], [25, 25]), {}, "temperature_c"),
        (([0.5, 1.0], [35, 36], [25, 75]), {}, "current_a"),
        (([0.5, 1.0, 1.0], [35, 37, 36], [25, 25]), {}, "temperature_c"),
        (([0.5, 1.0, 1.0], [35, 37], [25, 25, 75]), {}, "voltage_v"),
        (([0.5, 1.0, 1.0], [35, 37, 36], [25, 25, 75]), {"reference_temperature_c": 75.0}, "reference_temperature_c"),
        (([0.5, 1.0, 1.0], [35, 37, 36], [25, 25, 75]), {"reference_temperature_c": 30.0}, "reference_temperature_c"),
        (([0.5, 1.0, 0.5, 1.0], [35, 37, 34, 33], [25, 25, 75, 75]), {}, "voltage_v"),
        (([0.5, 0.5, 1.0, 1.0], [35, 35.1, 37, 36], [25, 25, 25, 75]), {}, "current_a"),
        (([0.5, 1.0, 0.0], [35, 37, 36], [25, 25, 75]), {}, "current_a"),
        (([0.5, 1.0, 1.0], [35, 37, np.nan], [25, 25, 75]), {}, "voltage_v"),
    ],
)
def test_points_that_make_no_curve_are_refused(points, more, words):
    with pytest.raises(ArgumentError, match=words):
        BoardCurve.from_points_at_temperatures(*points, **more)


def branch_of(ohm=0.1, thermal=1.5, radiant=0.4, offset=0.0, curve=CURVE):
    return Branch(
        curve=curve,
        wire_resistance_ohm=ohm,
        thermal_resistance_k_per_w=thermal,
        radiant_fraction=radiant,
        offset_v=offset,
    )


BRANCHES = [branch_of(0.05, 0.6), branch_of(0.2, 0.8, offset=0.1), branch_of(0.4, 1.0, 0.3), branch_of(curve=PLAIN)]


def own_voltage(amps, branch, ambient):
    """Return voltage and temperature of a board that its own heat warms, by SciPy's root finder."""

    def excess(temperature):
        volts = branch.curve.voltage(amps, temperature) + branch.offset_v
        heat = volts * amps * (1 - branch.radiant_fraction)
        return temperature - ambient - branch.thermal_resistance_k_per_w * heat

    temperature = brentq(excess, ambient, ambient + 500.0, xtol=1e-12)
    return branch.curve.voltage(amps, temperature) + branch.offset_v, temperature


def test_home_runs_against_a_root_finder():
    ambient, total = 20.0, 4.0

    def current_at(volts, branch):
        def excess(amps):
            return own_voltage(amps, branch, ambient)[0] + branch.wire_resistance_ohm * amps - volts

        return brentq(excess, 1e-6, 8.0, xtol=1e-13)

    terminal = brentq(lambda volts: sum(current_at(volts, branch) for branch in BRANCHES) - total, 26, 31, xtol=1e-10)
    split = current_split(BRANCHES, driver=Driver(voltage_setting_v=90, current_setting_a=total), ambient_c=ambient)
    assert split.driver_voltage_v == pytest.approx(terminal, rel=1e-9)
    for branch, amps, celsius in zip(BRANCHES, split.current_a, split.temperature_c, strict=True):
        assert amps == pytest.approx(current_at(terminal, branch), rel=1e-7)
        assert celsius == pytest.approx(own_voltage(amps, branch, ambient)[1], abs=1e-6)


def as_network(branches, **more):
    links = [Link("P", f"a{n}", branch.wire_resistance_ohm) for n, branch in enumerate(branches)]
    loads = [
        Load(
            f"a{n}",
            "N",
            branch.curve,
            thermal_resistance_k_per_w=branch.thermal_resistance_k_per_w,
            radiant_fraction=branch.radiant_fraction,
            offset_v=branch.offset_v,
        )
        for n, branch in enumerate(branches)
    ]
    return Network(cables=links, boards=loads, **more)


@pytest.mark.parametrize(
    "driver",
    [
        Driver(voltage_setting_v=90, current_setting_a=4.0),
        Driver(voltage_setting_v=29.5, current_setting_a=90.0),
        Driver(voltage_setting_v=90, current_setting_a=90.0, power_limit_w=100.0),
    ],
)
def test_all_kernels_agree(driver):
    """Home runs, the same as a network, and as boards whose shared sink shares nothing."""
    direct = current_split(BRANCHES, driver=driver, ambient_c=50.0)
    own_sinks = np.diag([branch.thermal_resistance_k_per_w for branch in BRANCHES])
    for network in (as_network(BRANCHES), as_network(BRANCHES, thermal_matrix_k_per_w=own_sinks)):
        split = current_split(network, driver=driver, ambient_c=50.0)
        assert split.mode == direct.mode
        assert split.current_a == pytest.approx(direct.current_a, rel=1e-9)
        assert split.temperature_c == pytest.approx(direct.temperature_c, abs=1e-7)
        assert split.loop_gain == pytest.approx(direct.loop_gain, rel=1e-8)


def test_variants_equal_cases_one_by_one():
    rng = np.random.default_rng(4)
    ohms, amps, air = rng.uniform(0.02, 0.4, 90), rng.uniform(0.1, 6.0, 90), rng.uniform(-10, 45, 90)
    boards = [branch_of(ohms), branch_of(0.1, offset=0.2), branch_of(0.2, curve=PLAIN)]
    for wiring in (lambda branches: branches, as_network):
        together = current_split(
            wiring(boards), driver=Driver(voltage_setting_v=60.0, current_setting_a=amps), ambient_c=air
        )
        for n in range(0, 90, 7):
            alone = current_split(
                wiring([branch_of(float(ohms[n])), *boards[1:]]),
                driver=Driver(voltage_setting_v=60.0, current_setting_a=amps[n]),
                ambient_c=air[n],
            )
            assert together.current_a[:, n] == pytest.approx(alone.current_a, rel=1e-10)
            assert together.loop_gain[n] == pytest.approx(alone.loop_gain, rel=1e-8)


def test_loop_gain_against_a_finite_difference():
    """Growth of a small warm-up of one board at constant voltage, by solving again with the board held warmer."""
    branch, driver = branch_of(0.1, 1.6, 0.3), Driver(voltage_setting_v=29.5, current_setting_a=1e3)
    split = current_split([branch], driver=driver, ambient_c=-10.0)
    assert 0.2 < split.loop_gain < 0.9
    warmed = []
    for step in (-0.01, 0.01):
        held = branch_of(0.1, 0.0)
        power = current_split([held], driver=driver, ambient_c=split.temperature_c[0] + step).power_w[0]
        warmed.append(1.6 * (1 - 0.3) * power)
    assert split.loop_gain == pytest.approx((warmed[1] - warmed[0]) / 0.02, rel=1e-5)


GRID_A = np.geomspace(1e-7, 1000.0, 6000)


def currents_at(temperature, ohms, offsets, driver):
    """Return the currents of boards held at temperatures: curves read off a close grid, the driver by a root finder."""
    seen = [
        CURVE.voltage(GRID_A, celsius) + ohm * GRID_A + offset
        for celsius, ohm, offset in zip(temperature, ohms, offsets, strict=True)
    ]

    def at(volts):
        return np.array([np.interp(volts, row, GRID_A, left=0.0) for row in seen])

    if at(driver.voltage_setting_v).sum() <= driver.current_setting_a:
        return at(driver.voltage_setting_v)
    return at(brentq(lambda volts: at(volts).sum() - driver.current_setting_a, 5.0, driver.voltage_setting_v))


@pytest.mark.parametrize("seed", range(14))
def test_verdict_against_simulation_in_time(seed):
    """Where the split settles a simulation from cold ends in the same state; where it does not, that runs away."""
    rng = np.random.default_rng(seed)
    count, held_voltage = int(rng.integers(1, 4)), seed % 2
    thermal, radiant = rng.uniform(0.5, 3.5, count), rng.uniform(0.2, 0.5, count)
    ohms, offsets = rng.uniform(0.01, 0.2, count), rng.normal(0, 0.05, count)
    branches = [branch_of(*numbers) for numbers in zip(ohms, thermal, radiant, offsets, strict=True)]
    driver = Driver(
        voltage_setting_v=float(CURVE.voltage(0.6)) if held_voltage else 70.0,
        current_setting_a=np.inf if held_voltage else 0.8 * count,
    )
    split = current_split(branches, driver=driver)

    def rate(_, temperature):
        amps = currents_at(temperature, ohms, offsets, driver)
        volts = np.array([CURVE.voltage(a, t) for a, t in zip(amps, temperature, strict=True)]) + offsets
        return 25.0 + thermal * (1 - radiant) * volts * amps - temperature

    def hot(_, temperature):
        return temperature.max() - HOTTEST_RISE_K

    hot.terminal = True
    run = solve_ivp(rate, (0, 300), np.full(count, 25.0), method="LSODA", rtol=1e-6, atol=1e-4, events=hot)
    assert split.settled == (run.t_events[0].size == 0)
    if split.settled:
        assert run.y[:, -1] == pytest.approx(split.temperature_c, abs=0.05)


def test_boards_of_led_groups_keep_the_course():
    """Eight LEDs a row, two rows: a board is eight times an LED at half its current."""
    amps, volts, celsius = measured()
    single = BoardCurve.from_points_at_temperatures(amps, volts / IN_SERIES, celsius)
    board = led_matrix(single, IN_SERIES, 2)
    assert board.voltage(2 * AMPS, 70.0) == pytest.approx(CURVE.voltage(AMPS, 70.0), rel=1e-12)
    assert board.slope(0.66, 70.0) == pytest.approx(CURVE.slope(0.33, 70.0) / 2, rel=1e-12)
