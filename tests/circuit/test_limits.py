"""Circuits of every wiring at their limits: more of a setting, copies of themselves, no wire, no rise, one board alone,
and faults under hostile settings."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from ledcalc.circuit import (
    BoardCurve,
    Branch,
    Driver,
    FaultConditions,
    LedLayout,
    Network,
    current_split,
    fault_table,
    home_run_network,
    series_of_groups,
    string_network,
    trunk_network,
)
from ledcalc.heat import shared_sink_matrix

REFERENCE_C, COEFFICIENT_V_PER_K = 25.0, -0.02
CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=COEFFICIENT_V_PER_K)
WIRINGS = ("home runs", "home run network", "one end", "both ends", "reversed return", "strings", "groups")
FEEDS = ("one end", "both ends", "reversed return")
PARALLEL = ("home runs", "home run network", *FEEDS)


# Up to 1.1 K/W of heat the voltage falls by less than 0.5 ohm, against a slope of at least 1 ohm: one steady state.
def boards(count, *, like=False, hottest=2.0):
    board = st.builds(
        lambda ohm, thermal, radiant, offset: Branch(
            curve=CURVE,
            wire_resistance_ohm=ohm,
            thermal_resistance_k_per_w=thermal,
            radiant_fraction=radiant,
            offset_v=offset,
        ),
        st.floats(0.001, 0.4),
        st.floats(0.0, hottest),
        st.floats(0.45, 0.7),
        st.floats(-0.1, 0.1),
    )
    if not like:
        return st.lists(board, min_size=count, max_size=count)
    ohms = st.lists(st.floats(0.001, 0.4), min_size=count, max_size=count)
    return st.builds(lambda one, all_: [replace(one, wire_resistance_ohm=ohm) for ohm in all_], board, ohms)


ENOUGH_A = 400.0
PIECES = st.lists(st.floats(0.001, 0.2), min_size=5, max_size=5)


def wired(wiring, four, pieces):
    """Return four boards as a circuit."""
    if wiring == "home runs":
        return four
    if wiring == "home run network":
        return home_run_network(four)
    if wiring == "strings":
        return string_network([four[:2], four[2:]])
    if wiring == "groups":
        return series_of_groups([four[:2], four[2:]])
    ohms = pieces if wiring == "both ends" else pieces[:4]
    return trunk_network(four, ohms, ohms[::-1], feed=wiring)


def volts_of(wiring, amps_a_board):
    """Return about what the circuit needs for a current in each board."""
    return CURVE.voltage(amps_a_board) * (2 if wiring in ("strings", "groups") else 1)


# ---- more of a setting


@pytest.mark.parametrize("setting", ["voltage_setting_v", "current_setting_a", "power_limit_w"])
@pytest.mark.parametrize("wiring", WIRINGS)
@settings(max_examples=12, deadline=None)
@given(boards(4), PIECES, st.floats(0.1, 2.0), st.floats(0.05, 1.0), st.floats(1.0001, 1.5))
def test_a_higher_setting_never_gives_less(wiring, setting, four, pieces, amps, share, more):
    """The total, whichever limit binds before and after."""
    circuit, in_parallel = wired(wiring, four, pieces), 4 if wiring in PARALLEL else 2
    volts = volts_of(wiring, amps)
    driver = Driver(
        voltage_setting_v=volts,
        current_setting_a=in_parallel * amps * (0.5 + share),
        power_limit_w=in_parallel * amps * volts * (0.5 + share),
    )
    less = current_split(circuit, driver=driver)
    turned = replace(driver, **{setting: more * float(getattr(driver, setting))})
    greater = current_split(circuit, driver=turned)
    assert less.settled
    assert greater.settled
    assert greater.driver_current_a >= less.driver_current_a * (1 - 1e-9)
    assert greater.driver_voltage_v >= less.driver_voltage_v * (1 - 1e-9)


@pytest.mark.parametrize("setting", ["voltage_setting_v", "current_setting_a"])
@pytest.mark.parametrize("wiring", ["home runs", "home run network", "one end", "strings", "groups"])
@settings(max_examples=12, deadline=None)
@given(boards(4, like=True), PIECES, st.floats(0.1, 2.0), st.floats(1.0001, 1.5))
def test_nor_less_in_any_of_like_boards(wiring, setting, four, pieces, amps, more):
    """Where the wires are no bridge: there more through the driver is more in every branch."""
    circuit, in_parallel = wired(wiring, four, pieces), 4 if wiring in PARALLEL else 2
    binds = setting == "voltage_setting_v"
    driver = Driver(
        voltage_setting_v=volts_of(wiring, amps) * (1.0 if binds else 4.0),
        current_setting_a=in_parallel * amps * (1e3 if binds else 1.0),
    )
    less = current_split(circuit, driver=driver)
    greater = current_split(circuit, driver=replace(driver, **{setting: more * float(getattr(driver, setting))}))
    assert less.mode == greater.mode == ("constant voltage" if binds else "constant current")
    assert (greater.current_a >= less.current_a * (1 - 1e-9)).all()
    assert greater.current_a.sum() > less.current_a.sum()


# ---- copies


def copies(circuit, count):
    """Return a circuit several times over between the same terminals, each on sinks of its own."""
    if not isinstance(circuit, Network):
        return list(circuit) * count
    cables, loads = [], []
    for copy in range(count):

        def name(node, copy=copy):
            return node if node in circuit.supply else f"copy {copy} {node}"

        cables += [replace(c, from_node=name(c.from_node), to_node=name(c.to_node)) for c in circuit.cables]
        loads += [replace(b, plus_node=name(b.plus_node), minus_node=name(b.minus_node)) for b in circuit.boards]
    matrix = circuit.thermal_matrix_k_per_w
    matrix = None if matrix is None else np.kron(np.eye(count), matrix)
    return Network(cables=cables, boards=loads, thermal_matrix_k_per_w=matrix)


@pytest.mark.parametrize("on_one_sink", [False, True])
@pytest.mark.parametrize("wiring", WIRINGS)
@settings(max_examples=8, deadline=None)
@given(boards(4), PIECES, st.integers(2, 4), st.floats(0.1, 2.0), st.sampled_from([0, 1, 2]))
def test_copies_at_as_many_times_the_setting_take_the_same(wiring, on_one_sink, four, pieces, count, amps, binds):
    circuit, in_parallel = wired(wiring, four, pieces), 4 if wiring in PARALLEL else 2
    if on_one_sink and isinstance(circuit, Network):
        circuit = replace(circuit, thermal_matrix_k_per_w=shared_sink_matrix(["sink"] * 4, 0.2, 0.5))
    volts, total = volts_of(wiring, amps), in_parallel * amps

    def driver(times):
        return Driver(
            voltage_setting_v=volts * (1.0 if binds == 0 else 4.0),
            current_setting_a=times * total * (1.0 if binds == 1 else 50.0),
            power_limit_w=times * total * volts * (1.0 if binds == 2 else 100.0),
        )

    once = current_split(circuit, driver=driver(1))
    several = current_split(copies(circuit, count), driver=driver(count))
    assert several.mode == once.mode
    assert several.current_a == pytest.approx(np.tile(once.current_a, count), rel=1e-8, abs=1e-12)
    assert several.temperature_c == pytest.approx(np.tile(once.temperature_c, count), abs=1e-6)
    assert several.driver_voltage_v == pytest.approx(once.driver_voltage_v, rel=1e-9)
    # Two halves: each takes half of what the driver gives.
    assert 2 * several.current_a[: len(four)].sum() * count == pytest.approx(2 * several.current_a.sum(), rel=1e-8)


# ---- no wire, no rise


def directly_in_parallel(four, driver):
    """Return the currents of boards between the same two terminals, by root finders alone."""

    def current_at(volts, board):
        return brentq(lambda amps: hot_volts(board, amps) - volts, 0.0, 10.0, xtol=1e-15)

    def excess(volts):
        return sum(current_at(volts, board) for board in four) - driver.current_setting_a

    volts = driver.voltage_setting_v
    if driver.current_setting_a < ENOUGH_A:
        volts = brentq(excess, 10.0, 21.0, xtol=1e-13)
    return np.array([current_at(volts, board) for board in four])


def hot_volts(board, amps, ambient=REFERENCE_C, *, wire=False):
    """Return a board's voltage at a current once its heat has warmed it: T = ambient + R h V I, solved for V."""
    shape = 0.6 * np.log1p(amps / 1e-12) + amps + board.offset_v + COEFFICIENT_V_PER_K * (ambient - REFERENCE_C)
    thermal = board.thermal_resistance_k_per_w * (1 - board.radiant_fraction)
    volts = shape / (1 - COEFFICIENT_V_PER_K * thermal * amps)
    return volts + wire * board.wire_resistance_ohm * amps


@pytest.mark.parametrize("wiring", PARALLEL)
@settings(max_examples=12, deadline=None)
@given(boards(4), st.floats(0.1, 2.0), st.booleans())
def test_without_wire_all_boards_are_in_parallel(wiring, four, amps, held_volts):
    bare = [replace(board, wire_resistance_ohm=0.0) for board in four]
    driver = Driver(
        voltage_setting_v=volts_of(wiring, amps) if held_volts else 60.0,
        current_setting_a=ENOUGH_A if held_volts else 4 * amps,
    )
    expected = directly_in_parallel(bare, driver)
    split = current_split(wired(wiring, bare, [0.0] * 5), driver=driver)
    assert split.current_a == pytest.approx(expected, rel=1e-8)
    assert split.mode == ("constant voltage" if held_volts else "constant current")
    # And it is a limit: a micro-ohm changes what a micro-ohm can.
    thin = [replace(board, wire_resistance_ohm=1e-6) for board in four]
    near = current_split(wired(wiring, thin, [1e-6] * 5), driver=driver)
    assert near.current_a == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("wiring", WIRINGS)
@settings(max_examples=12, deadline=None)
@given(boards(4), PIECES, st.floats(0.1, 2.0), st.floats(-20, 60), st.sampled_from([0, 1, 2]))
def test_on_infinite_sinks_boards_stay_at_the_airs_temperature(wiring, four, pieces, amps, ambient, binds):
    """The same as boards without any temperature in them, moved by what the air's is worth."""
    moved = COEFFICIENT_V_PER_K * (ambient - REFERENCE_C)
    curve = BoardCurve.from_diode(0.6, 1e-12, 1.0, offset_v=moved)
    cold = [replace(board, curve=curve) for board in four]
    sunk = [replace(board, thermal_resistance_k_per_w=0.0) for board in four]
    volts, total = volts_of(wiring, amps), amps * (4 if wiring in PARALLEL else 2)
    driver = Driver(
        voltage_setting_v=volts * (1.0 if binds == 0 else 4.0),
        current_setting_a=total * (1.0 if binds == 1 else 50.0),
        power_limit_w=total * volts * (1.0 if binds == 2 else 100.0),
    )
    isothermal = [replace(board, thermal_resistance_k_per_w=0.0) for board in cold]
    expected = current_split(wired(wiring, isothermal, pieces), driver=driver, ambient_c=99.0)
    circuits = [wired(wiring, sunk, pieces)]
    if isinstance(circuits[0], Network):
        # A matrix of no resistance overrides what the boards' own sinks would do.
        circuits.append(replace(wired(wiring, four, pieces), thermal_matrix_k_per_w=np.zeros((4, 4))))
    for circuit in circuits:
        split = current_split(circuit, driver=driver, ambient_c=ambient)
        assert split.mode == expected.mode
        assert split.current_a == pytest.approx(expected.current_a, rel=1e-9, abs=1e-13)
        assert split.temperature_c.tolist() == [ambient] * 4
        assert split.loop_gain == 0.0


# ---- one board alone


@pytest.mark.parametrize("wiring", WIRINGS)
@settings(max_examples=15, deadline=None)
@given(
    boards(1),
    # A wire counts from a micro-ohm on; below, its ends are one node.
    st.just(0.0) | st.floats(0.001, 0.3),
    st.floats(17.0, 25.0),
    st.floats(0.05, 3.0),
    st.floats(2.0, 60.0),
    st.floats(-10, 45),
)
def test_one_board_alone_by_hand(wiring, alone, piece, volts, amps, watts, ambient):
    """At each of the three limits by SciPy's root finder; the least current is the answer, and names the mode."""
    [board] = alone
    pieces = 0
    if wiring == "strings":
        circuit = string_network([[board]])
    elif wiring == "groups":
        circuit = series_of_groups([[board]])
    elif wiring in FEEDS:
        ends = 2 if wiring == "both ends" else 1
        circuit, pieces = trunk_network([board], [piece] * ends, [piece] * ends, feed=wiring), 2 * piece / ends
    else:
        circuit = wired(wiring, [board], [])

    def seen(current):
        return hot_volts(board, current, ambient, wire=True) + pieces * current

    at = {
        "constant voltage": brentq(lambda current: seen(current) - volts, 0.0, 1e3, xtol=1e-15),
        "constant current": amps,
        "power limit": brentq(lambda current: seen(current) * current - watts, 0.0, 1e3, xtol=1e-15),
    }
    mode = min(at, key=at.__getitem__)
    driver = Driver(voltage_setting_v=volts, current_setting_a=amps, power_limit_w=watts)
    split = current_split(circuit, driver=driver, ambient_c=ambient)
    assert split.current_a == pytest.approx([at[mode]], rel=1e-8)
    assert split.driver_voltage_v == pytest.approx(seen(at[mode]), rel=1e-9)
    heat = hot_volts(board, at[mode], ambient) * at[mode] * (1 - board.radiant_fraction)
    assert split.temperature_c == pytest.approx([ambient + board.thermal_resistance_k_per_w * heat], abs=1e-6)
    second = sorted(at.values())[1]
    assert split.mode == mode or second <= at[mode] * (1 + 1e-6)


# ---- faults under hostile settings

HOSTILE = {
    "far too little voltage": {"voltage_setting_v": 0.5, "current_setting_a": 3.0},
    "voltage at the knee": {"voltage_setting_v": 12.0, "current_setting_a": 3.0},
    "hardly a current": {"voltage_setting_v": 60.0, "current_setting_a": 1e-7},
    "hardly a watt": {"voltage_setting_v": 60.0, "current_setting_a": 3.0, "power_limit_w": 1e-6},
    "no window": {"voltage_setting_v": 60.0, "current_setting_a": 3.0, "window_min_v": 59.0},
    "heat that runs away": {"voltage_setting_v": 24.0, "current_setting_a": 500.0},
    "heat that hogs": {"voltage_setting_v": 90.0, "current_setting_a": 4.0},
}
MODES = {"constant voltage", "constant current", "power limit", "below window", "no load", "no steady state"}


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.parametrize("wiring", WIRINGS)
@settings(max_examples=3, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(st.data())
def test_faults_never_raise_and_every_number_is_one(wiring, hostile, data):
    runs_hot = hostile.startswith("heat")
    four = data.draw(boards(4, hottest=25.0 if runs_hot else 2.0))
    circuit = wired(wiring, four, data.draw(PIECES))
    if isinstance(circuit, Network) and data.draw(st.booleans()):
        circuit = replace(circuit, thermal_matrix_k_per_w=shared_sink_matrix(list("aabb"), 8.0 if runs_hot else 0.5, 0))
    layout = data.draw(st.sampled_from(["strings", "cross-tied"]))
    conditions = FaultConditions(
        leds=[LedLayout(series_count=n, parallel_count=m, layout=layout) for n, m in ((1, 3), (4, 1), (6, 2), (2, 4))],
        lead_sets=[("some", (1, 2)), ("all", (0, 1, 2, 3)), ("none", ())],
        fans_off_factor=4.0,
        highest=Driver(voltage_setting_v=100.0, current_setting_a=30.0),
        hottest_c=60.0,
        coldest_c=-40.0,
    )
    driver = Driver(**HOSTILE[hostile])
    outcomes = fault_table(circuit, 1.0, (0.01, 5.0), driver=driver, rated_temperature_c=85.0, conditions=conditions)
    assert len(outcomes) >= 4 + 4 + 3 + 4
    for outcome in outcomes:
        check_numbers(outcome)


def test_a_shared_sink_that_runs_away_without_a_limit_is_said_and_not_numbered():
    """No current limit, boards whose heat outruns their slope: no steady state, and no other noise."""
    four = [Branch(curve=CURVE, wire_resistance_ohm=0.25, radiant_fraction=0.5)] * 4
    network = home_run_network(four, thermal_matrix_k_per_w=shared_sink_matrix(list("aabb"), 8.0, 0))
    split = current_split(network, driver=Driver(voltage_setting_v=24.0, current_setting_a=np.inf))
    assert not split.settled
    assert np.isnan(split.current_a).all()


def check_numbers(outcome):
    """Finite, or one of the values that the documentation names."""
    lit = [number for number in range(4) if number not in outcome.dark]
    assert outcome.mode in MODES
    assert outcome.current_a[list(outcome.dark)].tolist() == [0.0] * len(outcome.dark)
    assert np.isfinite(outcome.temperature_c[list(outcome.dark)]).all()
    # What would contain a fault: a setting, NaN for none on the dial, infinity for none needed.
    assert np.isnan(outcome.contained_by_a) or outcome.contained_by_a > 0
    driver = [outcome.driver_voltage_v, outcome.driver_current_a]
    if outcome.mode == "no steady state":
        assert np.isnan(driver).all()
        assert np.isnan(outcome.current_a[lit]).all()
        assert np.isnan(outcome.temperature_c[lit]).all()
        assert outcome.used_fraction == np.inf
        assert "no steady state" in outcome.exceeds
        return
    assert np.isfinite(driver).all()
    assert np.isfinite(outcome.current_a).all()
    assert (outcome.current_a >= 0).all()
    assert np.isfinite(outcome.temperature_c).all()
    assert np.isfinite(outcome.used_fraction)
    assert outcome.worst_board in (lit or [-1])
    if not lit:
        assert outcome.mode == "no load"


def test_the_hostile_settings_reach_what_they_are_named_for():
    hot = [Branch(curve=CURVE, thermal_resistance_k_per_w=20.0, radiant_fraction=0.5)] * 4
    found = {
        name: {outcome.mode for outcome in fault_table(hot, 1.0, (0.01, 5.0), driver=Driver(**hostile))}
        for name, hostile in HOSTILE.items()
    }
    assert found["far too little voltage"] == {"no load"}
    assert found["hardly a current"] == {"no load"}
    assert found["hardly a watt"] == {"no load"}
    assert found["no window"] == {"below window"}
    assert found["heat that runs away"] == {"no steady state"}
    uneven = [replace(board, offset_v=0.01 * number) for number, board in enumerate(hot)]
    hogged = current_split(uneven, driver=Driver(**HOSTILE["heat that hogs"]))
    assert not hogged.settled or hogged.current_a.max() > 2 * hogged.current_a.mean()
