"""LED matrices with and without a fault against currents solved LED by LED."""

import numpy as np
import pytest
from scipy.optimize import brentq

from ledcalc.circuit import BoardCurve, Branch, Driver, current_split
from ledcalc.circuit.led_matrix import board_voltage_sigma, led_matrix, with_led_fault
from ledcalc.errors import ArgumentError

LED = BoardCurve.from_diode(0.04, 1e-25, 0.9, voltage_coefficient_v_per_k=-0.0015)
SERIES, PARALLEL = 8, 3
BOARD = led_matrix(LED, SERIES, PARALLEL)
COUNTS = {"series_count": SERIES, "parallel_count": PARALLEL}


def volts(amps):
    return float(LED.voltage(amps))


def inverse(voltage):
    return brentq(lambda amps: volts(amps) - voltage, 1e-9, 10.0, xtol=1e-14)


def test_a_matrix_is_n_leds_at_the_mth_part_of_the_current():
    assert BOARD.voltage(0.6) == pytest.approx(SERIES * volts(0.2), rel=1e-14)
    step = 1e-5
    by_difference = (BOARD.voltage(0.6 + step) - BOARD.voltage(0.6 - step)) / (2 * step)
    assert BOARD.slope(0.6) == pytest.approx(by_difference, rel=1e-7)
    assert BOARD.voltage(0.6, 75.0) - BOARD.voltage(0.6, 25.0) == pytest.approx(-0.0015 * 50 * SERIES)


def test_a_shorted_led_in_strings_is_kirchhoff_on_two_kinds_of_string():
    board = with_led_fault(BOARD, "LED shorted", **COUNTS)

    def total(voltage):
        return (PARALLEL - 1) * inverse(voltage / SERIES) + inverse(voltage / (SERIES - 1))

    expected = brentq(lambda voltage: total(voltage) - 0.6, 7 * 2.2, 8 * 3.2, xtol=1e-13)
    assert board.voltage(0.6) == pytest.approx(expected, rel=1e-9)
    step = 1e-5
    by_difference = (board.voltage(0.6 + step) - board.voltage(0.6 - step)) / (2 * step)
    assert board.slope(0.6) == pytest.approx(by_difference, rel=1e-5)


def test_the_other_faults_by_hand():
    tied = {**COUNTS, "layout": "cross-tied"}
    assert with_led_fault(BOARD, "LED shorted", **tied).voltage(0.6) == pytest.approx(7 * volts(0.2))
    assert with_led_fault(BOARD, "LED open", **COUNTS).voltage(0.6) == pytest.approx(8 * volts(0.3))
    assert with_led_fault(BOARD, "LED open", **tied).voltage(0.6) == pytest.approx(7 * volts(0.2) + volts(0.3))


def test_data_range_and_variants_go_along():
    led = BoardCurve.from_points([0.05, 0.1, 0.2], [2.7, 2.8, 2.95])
    board = led_matrix(led, 10, 4)
    assert (board.shape.lowest_a, board.shape.highest_a) == pytest.approx((0.2, 0.8))
    assert board.extrapolated(0.9)
    assert not board.extrapolated(0.5)
    for fault in ("LED shorted", "LED open"):
        for layout in ("strings", "cross-tied"):
            faulty = with_led_fault(board, fault, series_count=10, parallel_count=4, layout=layout)
            amps = np.array([0.3, 0.5, 0.7])
            one_by_one = [faulty.voltage(float(value)) for value in amps]
            assert faulty.voltage(amps) == pytest.approx(one_by_one, rel=1e-12)
            branch = [Branch(curve=faulty), Branch(curve=board)]
            driver = Driver(voltage_setting_v=60.0, current_setting_a=[0.4, 0.8])
            split = current_split(branch, driver=driver)
            assert split.current_a.sum(axis=0) == pytest.approx([0.4, 0.8], rel=1e-9)


def test_faults_that_are_the_whole_board_are_refused():
    with pytest.raises(ArgumentError, match="lone string"):
        with_led_fault(BOARD, "LED open", series_count=8, parallel_count=1)
    with pytest.raises(ArgumentError, match="only LED"):
        with_led_fault(BOARD, "LED shorted", series_count=1, parallel_count=3)
    with pytest.raises(ArgumentError, match="layout"):
        with_led_fault(BOARD, "LED open", **COUNTS, layout="zigzag")


def test_independent_leds_average():
    """A board's voltage from LEDs drawn one by one, against the formula."""
    rng = np.random.default_rng(3)
    leds = rng.normal(2.8, 0.03, (20_000, 16, 10))
    # To first order strings of one slope settle at the mean of their voltages.
    boards = leds.sum(axis=1).mean(axis=1)
    assert board_voltage_sigma(0.03, 16, 10) == pytest.approx(boards.std(), rel=0.02)
