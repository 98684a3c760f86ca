"""Trim, matching boards, stability advice: each answer put back into the circuit."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.circuit import BoardCurve, Branch, Driver, current_split
from ledcalc.circuit.changed import with_ballast, with_heat_scaled
from ledcalc.circuit.remedies import stability_advice, stability_words
from ledcalc.circuit.selection import assign_to_branches, match_boards, offsets_from_currents
from ledcalc.circuit.topologies import home_run_network
from ledcalc.circuit.trim import trim_driver, trim_from_measured
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
HOT = BoardCurve.from_diode(0.6, 1e-12, 0.2, voltage_coefficient_v_per_k=-0.03)


def boards_of(offsets, curve=CURVE, theta=1.5):
    return [
        Branch(curve=curve, wire_resistance_ohm=0.03, thermal_resistance_k_per_w=theta, offset_v=offset)
        for offset in offsets
    ]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-0.2, 0.2), min_size=1, max_size=6), st.floats(0.3, 1.5))
def test_the_trim_puts_the_worst_board_at_its_rating_or_the_dial_at_its_end(offsets, rated):
    boards, driver = boards_of(offsets), Driver(voltage_setting_v=40.0, current_setting_a=1.0)
    trim = trim_driver(boards, rated, (0.1, 8.0), driver=driver)
    if np.isnan(trim.current_setting_a):
        assert trim.current_a.max() > rated
        return
    assert trim.current_a.max() <= rated * (1 + 1e-9)
    if trim.current_setting_a < 8.0:
        assert trim.current_a.max() == pytest.approx(rated, rel=1e-4)
        assert trim.limiting_board == int(np.argmax(trim.current_a))
    assert trim.voltage_setting_v == pytest.approx(1.03 * trim.driver_voltage_v)
    at = Driver(voltage_setting_v=trim.voltage_setting_v, current_setting_a=trim.current_setting_a)
    again = current_split(boards, driver=at)
    assert again.mode == "constant current"
    assert again.current_a == pytest.approx(trim.current_a, rel=1e-9)


def test_a_temperature_limit_trims_too():
    driver = Driver(voltage_setting_v=40.0, current_setting_a=3.0)
    trim = trim_driver(boards_of([0.0] * 3), 5.0, (0.1, 8.0), driver=driver, rated_temperature_c=50.0)
    assert trim.temperature_c.max() == pytest.approx(50.0, abs=1e-2)
    assert trim.limiting_board >= 0


def test_a_dial_that_does_not_go_low_enough_is_told():
    trim = trim_driver([Branch(curve=CURVE)], 0.5, (1.0, 2.0), driver=Driver(voltage_setting_v=40, current_setting_a=1))
    assert np.isnan(trim.current_setting_a)
    assert trim.limiting_board == 0


def test_measured_currents_are_scaled():
    assert trim_from_measured([1.1, 0.9, 1.0], 1.0) == pytest.approx(3.0 / 1.1)
    assert trim_from_measured([1.1, 0.9], [1.2, 0.8]) == pytest.approx(2.0 * 0.8 / 0.9)
    with pytest.raises(ArgumentError, match="rated_current_a"):
        trim_from_measured([1.0, 1.0], [1.0, 1.0, 1.0])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(2000, 2100), min_size=4, max_size=7, unique=True))
def test_no_other_grouping_is_narrower(millivolts):
    """Against every way to pick two pairs."""
    volts = np.array(millivolts) / 100.0
    found = match_boards(volts, 2, 2)
    best = min(
        max(abs(volts[a] - volts[b]), abs(volts[c] - volts[d]))
        for a, b, c, d in itertools.permutations(range(len(volts)), 4)
    )
    assert found.spread_v.max() == pytest.approx(best, abs=1e-12)
    assert sorted(found.group) == [-1] * (len(volts) - 4) + [0, 0, 1, 1]


def test_the_assignment_is_the_evenest_of_all():
    volts, ohms = np.array([17.50, 17.62, 17.56, 17.44]), np.array([0.02, 0.2, 0.1, 0.05])
    driver = Driver(voltage_setting_v=40.0, current_setting_a=4.0)
    offsets = volts - volts.mean()

    def spread(order):
        boards = [
            Branch(curve=CURVE, wire_resistance_ohm=ohm, offset_v=offsets[number])
            for number, ohm in zip(order, ohms, strict=True)
        ]
        return float(np.ptp(current_split(boards, driver=driver).current_a))

    best = min(itertools.permutations(range(4)), key=spread)
    assert spread(assign_to_branches(volts, ohms)) == pytest.approx(spread(best), rel=1e-9)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(-0.3, 0.3), min_size=2, max_size=6))
def test_offsets_are_found_back_from_the_currents_they_make(offsets):
    boards = boards_of(offsets)
    split = current_split(boards, driver=Driver(voltage_setting_v=60.0, current_setting_a=float(len(offsets))))
    found = offsets_from_currents(CURVE, split.current_a, wire_resistance_ohm=0.03, temperature_c=split.temperature_c)
    assert found == pytest.approx(np.array(offsets) - np.mean(offsets), abs=1e-9)


def test_too_few_boards_are_refused():
    with pytest.raises(ArgumentError, match="at least 6"):
        match_boards([22.0] * 5, 3, 2)
    with pytest.raises(ArgumentError, match="wire_resistance_ohm"):
        assign_to_branches([22.0, 22.1], [0.1])


def test_each_remedy_brings_the_gain_to_the_margin():
    boards, driver = boards_of([0.0] * 3, HOT, 2.0), Driver(voltage_setting_v=60.0, current_setting_a=3.0)
    advice = stability_advice(boards, driver=driver)
    assert advice.loop_gain > 0.7

    def gain(circuit, **setting):
        at = {"voltage_setting_v": 60.0, "current_setting_a": 3.0} | setting
        return float(current_split(circuit, driver=Driver(**at)).loop_gain)

    assert gain(with_ballast(boards, advice.ballast_ohm)) == pytest.approx(0.7, abs=2e-3)
    assert gain(with_heat_scaled(boards, advice.sink_factor)) == pytest.approx(0.7, abs=2e-3)
    for setting in ("voltage_setting_v", "current_setting_a"):
        value = getattr(advice, setting)
        if np.isfinite(value):
            assert gain(boards, **{setting: value}) == pytest.approx(0.7, abs=2e-2)
    assert np.isfinite(advice.ballast_ohm)
    assert np.isfinite(advice.sink_factor)


def test_a_shared_sink_gets_advice_too():
    matrix = np.full((3, 3), 0.5) + np.eye(3) * 1.4
    network = home_run_network(boards_of([0.0] * 3, HOT, 0.0), thermal_matrix_k_per_w=matrix)
    driver = Driver(voltage_setting_v=60.0, current_setting_a=3.0)
    advice = stability_advice(network, driver=driver, margin=0.4)
    scaled = current_split(with_heat_scaled(network, advice.sink_factor), driver=driver)
    assert float(scaled.loop_gain) == pytest.approx(0.4, abs=2e-3)
    ballast = current_split(with_ballast(network, advice.ballast_ohm), driver=driver)
    assert float(ballast.loop_gain) == pytest.approx(0.4, abs=2e-3)


def test_a_steady_circuit_needs_nothing():
    driver = Driver(voltage_setting_v=40.0, current_setting_a=3.0)
    advice = stability_advice(boards_of([0.0] * 3), driver=driver)
    assert (advice.ballast_ohm, advice.sink_factor) == (0.0, 1.0)
    assert advice.words == stability_words(advice.loop_gain)
    assert stability_words(float("nan")).startswith("not steady")
    assert stability_words(0.8).startswith("near the edge")
