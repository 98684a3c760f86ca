"""The driver's mode is a limit that it has met: in networks of any wiring, boards the wrong way round and dead ends."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.circuit import BoardCurve, Driver, Link, Load, Network, current_split
from ledcalc.circuit.changed import without_boards
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
DRIVER = Driver(voltage_setting_v=24.0, current_setting_a=4.4, power_limit_w=100.0)


def board(plus, minus, offset=0.0):
    return Load(plus, minus, CURVE, thermal_resistance_k_per_w=1.0, radiant_fraction=0.5, offset_v=offset)


PLACES = st.permutations(["P", "N", "a", "b", "c"]).map(lambda places: tuple(places[:2]))
LINKS = st.lists(st.tuples(PLACES, st.sampled_from([0.0, 0.01, 0.3])), max_size=4)
BOARDS = st.lists(st.tuples(PLACES, st.floats(-0.1, 0.1)), min_size=1, max_size=6)


@settings(max_examples=150, deadline=None)
@given(LINKS, BOARDS, st.none() | st.floats(0.0, 1.5), st.floats(1, 60), st.floats(-2, 1), st.floats(0, 3))
def test_the_mode_is_a_limit_that_is_met_and_none_is_passed(links, boards, sharing, volts, amps_log, watts_log):
    limits = {"constant voltage": volts, "constant current": 10.0**amps_log, "power limit": 10.0**watts_log}
    network = Network(
        cables=[Link(*ends, ohm) for ends, ohm in links],
        boards=[board(*ends, offset) for ends, offset in boards],
        thermal_matrix_k_per_w=None if sharing is None else 0.4 * np.eye(len(boards)) + sharing,
    )
    try:
        split = current_split(network, driver=Driver(**dict(zip(SETTINGS, limits.values(), strict=True))))
    except ArgumentError:
        return
    met = {
        "constant voltage": split.driver_voltage_v,
        "constant current": split.driver_current_a,
        "power limit": split.driver_voltage_v * split.driver_current_a,
    }
    assert split.settled
    assert all(met[name] <= limits[name] * (1 + 1e-6) for name in limits)
    if split.mode == "no load":
        assert split.driver_current_a < 1e-6
        assert split.driver_voltage_v == pytest.approx(volts, rel=1e-6)
    else:
        assert met[split.mode] == pytest.approx(limits[split.mode], rel=1e-6)


SETTINGS = ("voltage_setting_v", "current_setting_a", "power_limit_w")


@pytest.mark.parametrize("sharing", [False, True])
@pytest.mark.parametrize(
    ("links", "boards"),
    [
        ([("P", "a")], [("N", "a")]),
        ([("P", "a")], [("a", "b")]),
        ([("P", "a")], [("a", "b"), ("N", "b")]),
        ([("a", "b")], [("a", "c"), ("b", "P"), ("a", "c")]),
        ([("a", "b"), ("a", "b")], [("c", "b"), ("P", "c"), ("c", "P"), ("d", "a"), ("b", "a")]),
    ],
)
def test_what_cannot_conduct_leaves_the_driver_at_its_ceiling(links, boards, sharing):
    network = Network(
        cables=[Link(*ends, 0.1) for ends in links],
        boards=[board(*ends) for ends in boards],
        thermal_matrix_k_per_w=np.eye(len(boards)) + 0.2 if sharing else None,
    )
    split = current_split(network, driver=DRIVER)
    assert split.mode == "no load"
    assert split.driver_voltage_v == pytest.approx(24.0)
    assert split.current_a == pytest.approx(np.zeros(len(boards)), abs=1e-9)


def test_a_board_the_wrong_way_round_takes_nothing_from_the_mode():
    good = Network(cables=[Link("P", "a", 0.1)], boards=[board("a", "N")])
    with_reversed = Network(cables=[Link("P", "a", 0.1)], boards=[board("a", "N"), board("N", "a")])
    alone, split = (current_split(network, driver=DRIVER) for network in (good, with_reversed))
    assert split.mode == alone.mode == "constant current"
    assert split.current_a == pytest.approx([alone.current_a[0], 0.0], rel=1e-9, abs=1e-12)


# ---- what current can pass at all


@pytest.mark.parametrize(
    ("boards", "lit"),
    [
        ([("P", "N"), ("N", "P")], (0,)),
        ([("P", "a"), ("a", "N"), ("N", "a"), ("a", "P")], (0, 1)),
        ([("P", "a"), ("N", "a")], ()),
        ([("P", "a"), ("N", "a"), ("P", "N")], (2,)),
        # A bridge may be passed either way round, as the voltages have it.
        ([("P", "a"), ("a", "N"), ("P", "b"), ("b", "N"), ("a", "b")], (0, 1, 2, 3, 4)),
    ],
)
def test_boards_that_current_could_only_pass_backwards_are_left_out(boards, lit):
    network = Network(cables=[], boards=[board(*ends) for ends in boards])
    left, numbers = without_boards(network, set())
    assert numbers == lit
    if lit:
        assert [(load.plus_node, load.minus_node) for load in left.boards] == [boards[number] for number in lit]
        current = current_split(network, driver=DRIVER).current_a
        dark = [number for number in range(len(boards)) if number not in lit]
        assert current[dark] == pytest.approx(np.zeros(len(dark)), abs=1e-9)
