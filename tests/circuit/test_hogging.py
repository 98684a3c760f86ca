"""Boards that ran away with the others' current: said as such, whatever the loop gain of where they ended."""

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.circuit import BoardCurve, Branch, Driver, current_split, fault_table, home_run_network, stability_advice
from ledcalc.circuit.changed import with_ballast, with_heat_scaled

CURVE = BoardCurve.from_diode(0.6, 1e-12, 0.2, voltage_coefficient_v_per_k=-0.03)
DRIVER = Driver(voltage_setting_v=40.0, current_setting_a=3.0)


def boards(thermal_k_per_w, offsets=(0.0, 0.01, 0.02)):
    return [
        Branch(curve=CURVE, thermal_resistance_k_per_w=thermal_k_per_w, radiant_fraction=0.4, offset_v=offset)
        for offset in offsets
    ]


@pytest.mark.parametrize("thermal_k_per_w", [2.7, 3.5, 6.0])
@pytest.mark.parametrize("is_network", [False, True])
def test_a_board_that_took_the_others_current_is_not_called_steady(thermal_k_per_w, is_network):
    circuit = boards(thermal_k_per_w)
    network = home_run_network(circuit) if is_network else circuit
    split = current_split(network, driver=DRIVER)
    assert split.current_a[0] > 2.0
    assert float(split.loop_gain) < 1.0
    advice = stability_advice(network, driver=DRIVER)
    assert advice.is_hogged
    assert advice.words.startswith("boards do not share")
    assert advice.cold_loop_gain > 1.0
    for changed in (with_ballast(circuit, advice.ballast_ohm), with_heat_scaled(circuit, advice.sink_factor)):
        shared = current_split(changed, driver=DRIVER)
        assert shared.loop_gain <= 0.7 + 1e-6
        assert np.ptp(shared.current_a) < 0.2
    assert advice.sink_factor < 1.0 < 1.0 + advice.ballast_ohm


def test_boards_that_share_are_told_so_and_the_cold_gain_is_near_theirs():
    advice = stability_advice(boards(1.0), driver=DRIVER)
    assert not advice.is_hogged
    assert advice.words.startswith("steady")
    assert advice.cold_loop_gain == pytest.approx(advice.loop_gain, rel=0.05)


def test_the_cold_gain_is_that_of_the_formula_for_equal_boards():
    """theta (1 - light) beta V / slope, theory of a small warm-up: under held current one board's gain is the others'
    loss, so that of the even split is that of a board by itself, its own slope in the way."""
    curve, theta, beta = CURVE, 3.5, 0.03
    volts, slope = float(curve.voltage(1.0)), (float(curve.voltage(1.001)) - float(curve.voltage(0.999))) / 0.002
    by_hand = theta * 0.6 * (beta * (volts + slope * 1.0) / slope - beta * 1.0)
    assert stability_advice(boards(theta, (0.0, 0.0, 0.0)), driver=DRIVER).cold_loop_gain == pytest.approx(
        by_hand, rel=1e-5
    )


@pytest.mark.parametrize("ambient_c", [28, 28.0])
def test_whole_degrees_of_air_do_not_cut_temperatures(ambient_c):
    found = fault_table(boards(1.0), 1.2, (0.5, 3.0), driver=DRIVER, ambient_c=ambient_c)
    as_float = fault_table(boards(1.0), 1.2, (0.5, 3.0), driver=DRIVER, ambient_c=28.0)
    assert found[0].temperature_c.dtype == float
    assert found[0].temperature_c[1] % 1.0 > 0.0
    assert all(np.array_equal(a.temperature_c, b.temperature_c) for a, b in zip(found, as_float, strict=True))


def test_the_error_of_no_steady_state_is_at_hand():
    assert issubclass(lc.NotSettledError, lc.LedcalcError)
    assert "NotSettledError" in lc.__all__
