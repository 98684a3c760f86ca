"""Single faults: survivors by hand, what contains them, and that none ever raises."""

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from ledcalc.circuit import BoardCurve, Branch, Driver, Link, Load, Network, current_split
from ledcalc.circuit.changed import with_heat_scaled, without_boards, without_link
from ledcalc.circuit.fault_cases import FAULT_KINDS, FaultConditions, LedLayout
from ledcalc.circuit.faults import fault_table
from ledcalc.circuit.topologies import series_of_groups, string_network, trunk_network
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
BOARD = Branch(curve=CURVE, wire_resistance_ohm=0.05, thermal_resistance_k_per_w=2.0, radiant_fraction=0.45)
DRIVER = Driver(voltage_setting_v=30.0, current_setting_a=4.0)
EVERYTHING = FaultConditions(
    leds=[LedLayout(series_count=6, parallel_count=4)] * 4,
    lead_sets=[("set 1", (0, 1)), ("set 2", (2, 3))],
    fans_off_factor=2.5,
    highest=Driver(voltage_setting_v=36.0, current_setting_a=6.0),
    hottest_c=40.0,
    coldest_c=-5.0,
)


def table(network, **more):
    rated = {"rated_temperature_c": 85.0} | more
    return fault_table(network, 1.2, (0.4, 6.0), driver=DRIVER, conditions=EVERYTHING, **rated)


def by_kind(outcomes):
    return {kind: [found for found in outcomes if found.kind == kind] for kind in FAULT_KINDS}


def test_every_kind_of_fault_is_tried_at_every_place():
    found = by_kind(table([BOARD] * 4))
    counts = {kind: len(outcomes) for kind, outcomes in found.items()}
    assert counts == {
        "board open": 4,
        "wire open": 0,
        "contact bad": 4,
        "LED shorted": 4,
        "LED open": 4,
        "lead set lost": 2,
        "fans off": 1,
        "driver at its highest": 1,
        "hottest day": 1,
        "cold start": 1,
    }


def test_survivors_share_what_the_lost_board_took():
    [lost, *_] = table([BOARD] * 4)
    assert lost.dark == (0,)
    assert lost.current_a == pytest.approx([0.0, 4 / 3, 4 / 3, 4 / 3], rel=1e-12)
    assert lost.exceeds == ("rated current",)
    assert lost.contained_by_a == pytest.approx(3 * 1.2, rel=1e-4)
    assert lost.used_fraction == pytest.approx(4 / 3 / 1.2, rel=1e-12)


def test_the_containing_setting_contains_it_and_a_little_more_does_not():
    boards = [BOARD, *[Branch(curve=CURVE, wire_resistance_ohm=0.2, thermal_resistance_k_per_w=2.0)] * 3]
    for outcome in table(boards):
        if outcome.kind != "board open" or not np.isfinite(outcome.contained_by_a):
            continue
        left, _ = without_boards(boards, set(outcome.dark))
        at = [outcome.contained_by_a, outcome.contained_by_a * 1.001]
        split = current_split(left, driver=Driver(voltage_setting_v=30.0, current_setting_a=at))
        hot = np.maximum(split.current_a / 1.2, (split.temperature_c - 25.0) / 60.0).max(axis=0)
        assert hot[0] <= 1.0 + 1e-9
        assert hot[1] > 1.0


def test_a_bad_contact_shifts_current_to_the_others():
    [first, *_] = by_kind(table([BOARD] * 4))["contact bad"]
    split = current_split([Branch(**_but(BOARD, wire_resistance_ohm=0.55)), *[BOARD] * 3], driver=DRIVER)
    assert first.current_a == pytest.approx(split.current_a, rel=1e-12)
    assert first.current_a[0] < first.current_a[1]


def test_a_shorted_led_makes_its_board_take_more_and_an_open_one_less():
    found = by_kind(table([BOARD] * 4))
    assert found["LED shorted"][1].worst_board == 1
    assert found["LED shorted"][1].current_a[1] > 1.0 > found["LED shorted"][1].current_a[0]
    assert found["LED open"][2].current_a[2] < 1.0


def test_fans_driver_hottest_day_and_cold_start():
    found = by_kind(table([BOARD] * 4))
    healthy = current_split([BOARD] * 4, driver=DRIVER)
    rise = float(healthy.temperature_c[0]) - 25.0
    assert found["fans off"][0].temperature_c[0] - 25.0 == pytest.approx(2.5 * rise, rel=0.05)
    assert found["driver at its highest"][0].driver_current_a == pytest.approx(6.0)
    assert found["hottest day"][0].temperature_c[0] == pytest.approx(40.0 + rise, abs=1.5)
    cold = found["cold start"][0]
    assert cold.temperature_c == pytest.approx([-5.0] * 4)
    assert cold.driver_voltage_v == pytest.approx(CURVE.voltage(1.0, -5.0) + 0.05, rel=1e-9)
    assert cold.exceeds == ()


def test_a_ceiling_too_low_for_a_cold_start_is_told():
    running = float(current_split([BOARD] * 4, driver=DRIVER).driver_voltage_v)
    low = Driver(voltage_setting_v=running + 0.1, current_setting_a=4.0)
    [cold] = fault_table([BOARD] * 4, 1.2, (0.4, 6.0), driver=low, conditions=FaultConditions(coldest_c=-5.0))[-1:]
    assert cold.kind == "cold start"
    assert cold.mode == "constant voltage"
    assert cold.exceeds == ("voltage ceiling",)


def test_a_series_circuit_goes_dark_as_a_whole():
    network = string_network([[BOARD, BOARD], [BOARD, BOARD]])
    found = by_kind(table(network))
    lost = found["board open"][0]
    assert lost.dark == (0, 1)
    assert lost.current_a[2:] == pytest.approx([2.0, 2.0] if lost.mode == "constant current" else lost.current_a[2:])
    assert {outcome.dark for outcome in found["wire open"]} == {(0, 1), (2, 3)}
    alone = by_kind(fault_table(string_network([[BOARD, BOARD]]), 1.2, (0.4, 6.0), driver=DRIVER))["board open"]
    assert all(outcome.mode == "no load" and outcome.worst_board == -1 for outcome in alone)


def test_a_trunk_fed_at_both_ends_survives_any_open_piece():
    trunk = trunk_network([BOARD] * 4, [0.05] * 5, [0.05] * 5, feed="both ends")
    for outcome in by_kind(table(trunk))["wire open"]:
        is_lead = "lead" in outcome.where
        assert len(outcome.dark) == (1 if is_lead else 0)
    one_end = trunk_network([BOARD] * 4, [0.05] * 4, [0.05] * 4)
    dark = [len(outcome.dark) for outcome in by_kind(table(one_end))["wire open"]]
    assert dark[:4] == [4, 3, 2, 1]


def test_dead_ends_are_dropped_with_what_hangs_on_them():
    network = series_of_groups([[BOARD] * 2, [BOARD] * 2])
    left, boards = without_boards(network, {0, 1})
    assert (left, boards) == ([], ())
    left, boards = without_link(network, 0)
    assert boards == (1, 2, 3)
    matrix = np.arange(16.0).reshape(4, 4)
    shared = Network(cables=network.cables, boards=network.boards, thermal_matrix_k_per_w=matrix)
    left, _ = without_boards(shared, {1})
    assert left.thermal_matrix_k_per_w.tolist() == [[0, 2, 3], [8, 10, 11], [12, 14, 15]]


def test_names_that_do_not_fit_are_refused():
    with pytest.raises(ArgumentError, match="board_names"):
        fault_table([BOARD] * 3, 1.2, (0.4, 6.0), driver=DRIVER, conditions=FaultConditions(board_names=["a"]))
    with pytest.raises(ArgumentError, match="rated_current_a"):
        fault_table([BOARD] * 3, [1.2, 1.2], (0.4, 6.0), driver=DRIVER)
    with pytest.raises(ArgumentError, match="fans_off_factor"):
        FaultConditions(fans_off_factor=0.5)


@st.composite
def circuits(draw):
    count = draw(st.integers(1, 2)) * 2
    boards = [
        Branch(
            curve=BoardCurve.from_diode(
                draw(st.floats(0.2, 1.0)),
                1e-12,
                draw(st.floats(0.0, 3.0)),
                voltage_coefficient_v_per_k=-draw(st.floats(0.0, 0.05)),
            ),
            wire_resistance_ohm=draw(st.floats(0.0, 0.5)),
            thermal_resistance_k_per_w=draw(st.floats(0.0, 8.0)),
            radiant_fraction=draw(st.floats(0.0, 0.7)),
        )
        for _ in range(count)
    ]
    half = count // 2
    ohms = [draw(st.floats(0.001, 0.5)) for _ in range(count + 1)]
    kind = draw(st.sampled_from(["home runs", "one end", "both ends", "reversed return", "strings", "groups"]))
    if kind == "home runs":
        return boards
    if kind == "strings":
        return string_network([boards[:half], boards[half:]])
    if kind == "groups":
        return series_of_groups([boards[:half], boards[half:]])
    pieces = ohms if kind == "both ends" else ohms[:count]
    return trunk_network(boards, pieces, pieces, feed=kind)


@pytest.mark.slow
@settings(max_examples=12, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(circuits(), st.floats(5, 60), st.floats(0.1, 20), st.floats(0, 30), st.floats(5, 500))
def test_faults_never_raise(network, volts, amps, window, watts):
    driver = Driver(voltage_setting_v=volts, current_setting_a=amps, window_min_v=window, power_limit_w=watts)
    count = len(network.boards) if isinstance(network, Network) else len(network)
    conditions = FaultConditions(
        leds=[LedLayout(series_count=3, parallel_count=2)] * count,
        fans_off_factor=3.0,
        highest=Driver(voltage_setting_v=60.0, current_setting_a=20.0),
        hottest_c=45.0,
        coldest_c=-20.0,
    )
    for outcome in fault_table(network, 1.0, (0.05, 20.0), driver=driver, conditions=conditions):
        lit = [number for number in range(count) if number not in outcome.dark]
        assert outcome.current_a[list(outcome.dark)].tolist() == [0.0] * len(outcome.dark)
        if outcome.mode != "no steady state" and lit:
            assert np.isfinite(outcome.current_a).all()
            assert outcome.driver_voltage_v <= max(volts, 60.0) * (1 + 1e-9)


def _but(branch, **changes):
    names = ("curve", "wire_resistance_ohm", "thermal_resistance_k_per_w", "radiant_fraction", "offset_v")
    return {name: getattr(branch, name) for name in names} | changes


def test_a_board_reached_by_a_lone_wire_end_is_dark():
    loads = [Load("a", "N", CURVE), Load("b", "c", CURVE)]
    network = Network(cables=[Link("P", "a", 0.1), Link("P", "b", 0.1)], boards=loads)
    left, boards = without_boards(network, set())
    assert boards == (0,)
    assert len(left.cables) == 1


def test_a_fault_can_switch_the_driver_off():
    """A shorted LED takes the voltage below the cut-off, a lost board raises it."""
    running = float(current_split([BOARD] * 4, driver=DRIVER).driver_voltage_v)
    driver = Driver(voltage_setting_v=30.0, current_setting_a=4.0, cut_off_v=running - 0.05)
    found = by_kind(fault_table([BOARD] * 4, 1.2, (0.4, 6.0), driver=driver, conditions=EVERYTHING))
    shorted = found["LED shorted"][0]
    assert shorted.mode == "switched off"
    assert shorted.exceeds == ("driver's cut-off voltage",)
    assert shorted.worst_board == -1
    assert shorted.used_fraction == 0.0
    assert shorted.driver_voltage_v < running - 0.05
    assert found["board open"][0].mode == "constant current"


def test_where_boards_hog_to_begin_with_no_setting_is_sought():
    """A held sum of currents and a large gain: one board has taken nearly all, whatever the fault."""
    curve = BoardCurve.from_diode(0.6, 1e-12, 0.2, voltage_coefficient_v_per_k=-0.04)
    heat = {"thermal_resistance_k_per_w": 4.0, "radiant_fraction": 0.3}
    boards = [Branch(curve=curve, wire_resistance_ohm=0.05, offset_v=0.01 * n, **heat) for n in range(4)]
    healthy = current_split(boards, driver=DRIVER)
    assert healthy.current_a[0] > 3.5
    over = [outcome for outcome in table(boards) if "rated current" in outcome.exceeds]
    assert len(over) > 15
    assert all(np.isnan(outcome.contained_by_a) for outcome in over)


def test_a_fault_that_makes_boards_hog_is_contained_to_a_hundredth():
    curve = BoardCurve.from_diode(0.6, 1e-12, 0.5, voltage_coefficient_v_per_k=-0.03)
    heat = {"thermal_resistance_k_per_w": 1.5, "radiant_fraction": 0.4}
    boards = [Branch(curve=curve, wire_resistance_ohm=0.05, offset_v=0.01 * n, **heat) for n in range(4)]
    fans = FaultConditions(fans_off_factor=3.0)
    found = fault_table(boards, 1.2, (0.4, 6.0), driver=DRIVER, conditions=fans)[-1]
    assert found.kind == "fans off"
    assert found.current_a.max() > 2.0
    hot = with_heat_scaled(boards, 3.0)
    for part, is_within in ((1.0, True), (1.011, False)):
        at = Driver(voltage_setting_v=30.0, current_setting_a=part * found.contained_by_a)
        assert (current_split(hot, driver=at).current_a.max() <= 1.2) == is_within


# ---- a setting that contains a fault is one at which all runs


def running_at(outcome, boards, driver, amps):
    left, _ = without_boards(boards, set(outcome.dark))
    changed = Driver(voltage_setting_v=driver.voltage_setting_v, current_setting_a=amps, cut_off_v=driver.cut_off_v)
    return current_split(left, driver=changed)


def test_a_setting_at_which_the_driver_switches_off_contains_nothing():
    """Three boards run at 3.9 A and above only, and are over their rating from 3.6 A on."""
    volts = float(
        current_split([BOARD] * 3, driver=Driver(voltage_setting_v=30.0, current_setting_a=3.9)).driver_voltage_v
    )
    driver = Driver(voltage_setting_v=30.0, current_setting_a=4.0, cut_off_v=volts)
    [lost] = fault_table([BOARD] * 4, 1.2, (0.4, 6.0), driver=driver)[:1]
    assert lost.kind == "board open"
    assert lost.exceeds == ("rated current",)
    assert running_at(lost, [BOARD] * 4, driver, 3.6).mode == "switched off"
    assert np.isnan(lost.contained_by_a)


def test_above_a_cut_off_at_low_currents_the_highest_setting_within_is_found():
    driver = Driver(voltage_setting_v=30.0, current_setting_a=4.0, cut_off_v=17.3)
    [lost] = fault_table([BOARD] * 4, 1.2, (0.1, 6.0), driver=driver)[:1]
    assert running_at(lost, [BOARD] * 4, driver, 0.1).mode == "switched off"
    assert running_at(lost, [BOARD] * 4, driver, 3.6).mode == "constant current"
    assert lost.contained_by_a == pytest.approx(3.6, rel=1e-5)


def test_a_setting_at_which_boards_are_dark_contains_nothing():
    """One LED of three shorted: at any current within its rating, that board takes all of it."""
    conditions = FaultConditions(leds=[LedLayout(series_count=3, parallel_count=1), *[None] * 3])
    outcomes = fault_table([BOARD] * 4, 1.2, (0.4, 6.0), driver=DRIVER, conditions=conditions)
    [shorted] = [outcome for outcome in outcomes if outcome.kind == "LED shorted"]
    assert shorted.exceeds[0] == "rated current"
    assert shorted.current_a[1:].max() < shorted.current_a[0] / 2
    assert np.isnan(shorted.contained_by_a)
