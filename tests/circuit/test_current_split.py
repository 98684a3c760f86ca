"""Boards on home runs: laws that must hold whatever the numbers, and cases worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from ledcalc.circuit import BoardCurve, Branch, Driver, current_split
from ledcalc.circuit.split import variants_at_a_time
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)


def branch_of(ohm=0.05, thermal=2.0, radiant=0.45, offset=0.0, curve=CURVE):
    return Branch(
        curve=curve,
        wire_resistance_ohm=ohm,
        thermal_resistance_k_per_w=thermal,
        radiant_fraction=radiant,
        offset_v=offset,
    )


BRANCHES = st.lists(
    st.builds(branch_of, st.floats(0.0, 0.5), st.floats(0.0, 2.0), st.floats(0.2, 0.7), st.floats(-0.1, 0.1)),
    min_size=1,
    max_size=7,
)


@settings(max_examples=60, deadline=None)
@given(BRANCHES, st.floats(10, 30), st.floats(0.2, 10), st.floats(5, 300), st.floats(-10, 50))
def test_every_solution_obeys_its_laws(branches, volts, amps, watts, ambient):
    driver = Driver(voltage_setting_v=volts, current_setting_a=amps, power_limit_w=watts)
    split = current_split(branches, driver=driver, ambient_c=ambient)
    if not split.settled:
        return
    total, terminal = split.driver_current_a, split.driver_voltage_v
    assert split.current_a.sum() == pytest.approx(total, rel=1e-9)
    assert terminal <= volts * (1 + 1e-9)
    assert total <= amps * (1 + 1e-9)
    assert terminal * total <= watts * (1 + 1e-8)
    for number, branch in enumerate(branches):
        current, temperature = split.current_a[number], split.temperature_c[number]
        board = branch.curve.voltage(current, temperature) + branch.offset_v
        assert split.voltage_v[number] == pytest.approx(board, abs=1e-8)
        if current > 1e-9:
            assert board + branch.wire_resistance_ohm * current == pytest.approx(terminal, abs=1e-7)
        heat = split.power_w[number] * (1 - branch.radiant_fraction)
        assert temperature - ambient == pytest.approx(branch.thermal_resistance_k_per_w * heat, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(BRANCHES, st.floats(15, 22), st.floats(0.01, 2))
def test_more_voltage_never_less_current(branches, volts, more):
    low, high = (
        current_split(branches, driver=Driver(voltage_setting_v=v, current_setting_a=1e3))
        for v in (volts, volts + more)
    )
    if low.settled and high.settled:
        assert high.driver_current_a >= low.driver_current_a * (1 - 1e-9)


@settings(max_examples=30, deadline=None)
@given(BRANCHES, st.floats(0.5, 6))
def test_the_same_boards_twice_take_half_each(branches, amps):
    once = current_split(branches, driver=Driver(voltage_setting_v=60, current_setting_a=amps))
    twice = current_split([*branches, *branches], driver=Driver(voltage_setting_v=60, current_setting_a=2 * amps))
    if once.settled and twice.settled and once.loop_gain < 0.9 and twice.loop_gain < 0.9:
        assert twice.current_a == pytest.approx(np.concatenate([once.current_a, once.current_a]), rel=1e-8, abs=1e-12)


def test_variants_equal_cases_one_by_one():
    rng = np.random.default_rng(7)
    ohms, volts, amps = rng.uniform(0, 0.3, (4, 50)), rng.uniform(15, 25, 50), rng.uniform(0.5, 8, 50)
    together = current_split(
        [branch_of(ohm=row) for row in ohms],
        driver=Driver(voltage_setting_v=volts, current_setting_a=amps, power_limit_w=90.0),
        ambient_c=np.linspace(0, 40, 50),
    )
    assert together.current_a.shape == (4, 50)
    for n in range(50):
        alone = current_split(
            [branch_of(ohm=ohms[b, n]) for b in range(4)],
            driver=Driver(voltage_setting_v=volts[n], current_setting_a=amps[n], power_limit_w=90.0),
            ambient_c=np.linspace(0, 40, 50)[n],
        )
        assert together.current_a[:, n] == pytest.approx(alone.current_a, rel=1e-11, abs=1e-15)
        assert together.mode[n] == alone.mode
        assert together.loop_gain[n] == pytest.approx(alone.loop_gain, rel=1e-9)


def test_blocks_of_variants_join_in_order():
    """More variants than are solved at a time: the same as any part of them."""
    block = variants_at_a_time(3)
    count = 2 * block + 3
    amps, air = np.geomspace(0.01, 20, count), np.linspace(-10, 50, count)
    branches = [branch_of(ohm=np.linspace(0, 0.3, count)), branch_of(offset=0.05), branch_of(thermal=3.0)]
    whole = current_split(branches, driver=Driver(voltage_setting_v=20.0, current_setting_a=amps), ambient_c=air)
    assert whole.current_a.shape == (3, count)
    for n in (0, block - 1, block, count - 1):
        alone = current_split(
            [branch_of(ohm=0.3 * n / (count - 1)), *branches[1:]],
            driver=Driver(voltage_setting_v=20.0, current_setting_a=amps[n]),
            ambient_c=air[n],
        )
        assert whole.current_a[:, n] == pytest.approx(alone.current_a, rel=1e-10)
        assert (whole.mode[n], whole.settled[n]) == (alone.mode, alone.settled)


def test_one_variant_is_an_array_and_none_is_a_float():
    one = current_split([branch_of(ohm=[0.05])], driver=Driver(voltage_setting_v=30, current_setting_a=1.0))
    assert one.current_a.shape == (1, 1)
    assert one.mode.shape == one.settled.shape == one.loop_gain.shape == (1,)


def test_hogging_and_runaway_variants_are_followed_together():
    """What warms up step by step does so for many variants at once, each with its own end."""
    thermal = np.linspace(0.5, 20.0, 60)
    branches = [branch_of(thermal=thermal, radiant=0.0, offset=offset) for offset in (0.0, 1e-3)]
    split = current_split(branches, driver=Driver(voltage_setting_v=60, current_setting_a=1.0))
    assert split.settled.all()
    assert split.current_a[0, 0] < 0.51
    assert split.current_a[0, -1] > 0.95
    free = current_split(branches[:1], driver=Driver(voltage_setting_v=19.0, current_setting_a=np.inf))
    assert free.settled[0]
    assert not free.settled[-1]
    for n in (5, 25, 45):
        alone = [branch_of(thermal=thermal[n], radiant=0.0, offset=offset) for offset in (0.0, 1e-3)]
        one = current_split(alone, driver=Driver(voltage_setting_v=60, current_setting_a=1.0))
        assert split.current_a[:, n] == pytest.approx(one.current_a, rel=1e-7)


def test_cold_boards_against_a_root_finder():
    """An independent method: bisection on the driver voltage with each board's current found by SciPy."""
    branches = [
        branch_of(ohm=ohm, thermal=0.0, offset=offset) for ohm, offset in ((0.02, 0.05), (0.1, 0.0), (0.3, -0.05))
    ]

    def current_at(volts, branch):
        def excess(amps):
            return branch.curve.voltage(amps) + branch.offset_v + branch.wire_resistance_ohm * amps - volts

        return brentq(excess, 1e-12, 100, xtol=1e-15)

    terminal = brentq(lambda volts: sum(current_at(volts, branch) for branch in branches) - 3.0, 10, 60, xtol=1e-13)
    split = current_split(branches, driver=Driver(voltage_setting_v=60, current_setting_a=3.0))
    assert split.driver_voltage_v == pytest.approx(terminal, rel=1e-10)
    assert split.current_a == pytest.approx([current_at(terminal, branch) for branch in branches], rel=1e-9)


@pytest.mark.parametrize(
    ("driver", "mode"),
    [
        (Driver(voltage_setting_v=30, current_setting_a=2.0), "constant current"),
        (Driver(voltage_setting_v=17.5, current_setting_a=50.0), "constant voltage"),
        (Driver(voltage_setting_v=30, current_setting_a=50.0, power_limit_w=40.0), "power limit"),
        (Driver(voltage_setting_v=30, current_setting_a=2.0, window_min_v=25.0), "below window"),
        (Driver(voltage_setting_v=5, current_setting_a=2.0), "no load"),
    ],
)
def test_the_mode_is_an_outcome(driver, mode):
    assert current_split([branch_of(), branch_of()], driver=driver).mode == mode


def test_a_lone_case_gives_floats():
    split = current_split([branch_of()], driver=Driver(voltage_setting_v=30, current_setting_a=1.0))
    assert isinstance(split.driver_voltage_v, float)
    assert isinstance(split.loop_gain, float)
    assert split.settled is True
    assert split.current_a.shape == (1,)


def test_a_runaway_is_said_and_not_numbered():
    """At a held voltage, heat that outruns the board's resistance has no steady state: beta Rth V above the slope."""
    hot = branch_of(thermal=8.0, radiant=0.0, ohm=0.0)
    split = current_split([hot], driver=Driver(voltage_setting_v=19.0, current_setting_a=np.inf))
    assert not split.settled
    assert np.isnan(split.current_a).all()
    assert np.isnan(split.driver_voltage_v)


def test_two_alike_boards_hog_where_the_loop_gain_passes_one():
    """A held sum does not hold the difference: a millivolt decides who takes all."""
    cool, warm = (
        current_split(
            [branch_of(thermal=rth, radiant=0.0, offset=offset) for offset in (0.0, 1e-3)],
            driver=Driver(voltage_setting_v=60, current_setting_a=1.0),
        )
        for rth in (1.0, 12.0)
    )
    assert cool.loop_gain < 0.5
    assert cool.current_a == pytest.approx([0.5, 0.5], abs=2e-3)
    assert warm.current_a[0] > 0.95


def test_loop_gain_against_a_finite_difference():
    """Growth of a small warm-up of one board at constant voltage, by solving again with the board held warmer."""
    branch = branch_of(ohm=0.1, thermal=2.0, radiant=0.3)
    driver = Driver(voltage_setting_v=18.0, current_setting_a=1e3)
    split = current_split([branch], driver=driver)
    warmed = []
    for step in (-0.01, 0.01):
        held = branch_of(ohm=0.1, thermal=0.0)
        power = current_split([held], driver=driver, ambient_c=split.temperature_c[0] + step).power_w[0]
        warmed.append(2.0 * (1 - 0.3) * power)
    assert split.loop_gain == pytest.approx((warmed[1] - warmed[0]) / 0.02, rel=1e-5)


def test_points_are_met_and_outside_of_them_is_marked():
    current, voltage = [0.1, 0.3, 0.6, 1.0], [20.0, 21.0, 21.8, 22.6]
    curve = BoardCurve.from_points(current, voltage)
    assert curve.voltage(current) == pytest.approx(voltage, abs=1e-12)
    grid = np.geomspace(1e-6, 5, 400)
    assert (np.diff(curve.voltage(grid)) > 0).all()
    assert curve.extrapolated(0.05)
    assert not curve.extrapolated(0.5)
    assert curve.extrapolated([0.0, 1.0, 1.01]).tolist() == [False, False, True]
    step = 1e-7
    slope = (curve.voltage(0.45 + step) - curve.voltage(0.45 - step)) / (2 * step)
    assert curve.slope(0.45) == pytest.approx(slope, rel=1e-5)


def test_points_of_a_diode_give_the_diode_back():
    """Five points of V = n ln(1 + I/Is) + Rs I: inside within 0.1 % of the true voltage, at twice the current "
    "within 0.3 %."""
    true = BoardCurve.from_diode(0.6, 1e-12, 1.0)
    amps = np.array([0.1, 0.25, 0.5, 0.75, 1.0])
    curve = BoardCurve.from_points(amps, true.voltage(amps))
    inside = np.linspace(0.1, 1.0, 91)
    assert curve.voltage(inside) == pytest.approx(true.voltage(inside), rel=1e-3)
    assert curve.voltage(2.0) == pytest.approx(true.voltage(2.0), rel=3e-3)


def test_two_points_do_with_an_assumed_slope():
    curve = BoardCurve.from_points([0.5, 1.0], [21.0, 22.0])
    assert curve.voltage([0.5, 1.0]) == pytest.approx([21.0, 22.0])
    assert 0 < curve.slope(1.0) < curve.slope(0.5)


@pytest.mark.parametrize(
    ("current", "voltage", "name"),
    [
        ([1.0], [20.0], "current_a"),
        ([1, 1], [20, 21], "current_a"),
        ([1, 2], [20, 19], "voltage_v"),
        ([1, 2], [20], "voltage_v"),
        ([-1, 2], [20, 21], "current_a"),
    ],
)
def test_points_that_make_no_curve_are_refused(current, voltage, name):
    with pytest.raises(ArgumentError, match=name):
        BoardCurve.from_points(current, voltage)


def test_bad_arguments_are_refused():
    with pytest.raises(ArgumentError, match="network"):
        current_split([], driver=Driver(voltage_setting_v=30, current_setting_a=1))
    with pytest.raises(ArgumentError, match="network"):
        current_split(["board"], driver=Driver(voltage_setting_v=30, current_setting_a=1))
    with pytest.raises(ArgumentError, match="voltage_setting_v"):
        Driver(voltage_setting_v=0, current_setting_a=1)
    with pytest.raises(ArgumentError, match="radiant_fraction"):
        Branch(curve=CURVE, radiant_fraction=1.0)
    with pytest.raises(ArgumentError, match="voltage_coefficient_v_per_k"):
        BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=0.01)
