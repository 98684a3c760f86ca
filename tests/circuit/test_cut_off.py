"""A driver that switches off: just above and just below its cut-off, in every kernel, variants mixed."""

import numpy as np
import pytest

from ledcalc.circuit import BoardCurve, Branch, Driver, current_split, home_run_network
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)


def branch_of(offset):
    return Branch(
        curve=CURVE,
        wire_resistance_ohm=0.05,
        thermal_resistance_k_per_w=2.0,
        radiant_fraction=0.45,
        offset_v=offset,
    )


def wirings(offsets):
    """Return two boards on home runs, in a network, and in a network on a shared sink."""
    boards = [branch_of(offset) for offset in offsets]
    return {
        "home runs": boards,
        "network": home_run_network(boards),
        "shared sink": home_run_network(boards, thermal_matrix_k_per_w=[[2.0, 0.5], [0.5, 2.0]]),
    }


@pytest.mark.parametrize("wiring", ["home runs", "network", "shared sink"])
def test_a_driver_cuts_off_below_its_voltage_and_not_above(wiring):
    network = wirings((0.0, 0.05))[wiring]

    def split(cut_off_v):
        return current_split(
            network, driver=Driver(voltage_setting_v=30, current_setting_a=2.0, cut_off_v=cut_off_v), ambient_c=31.0
        )

    running = split(0.0)
    above, below = split(running.driver_voltage_v * (1 - 1e-9)), split(running.driver_voltage_v * (1 + 1e-9))
    assert above.mode == "constant current"
    assert above.current_a == pytest.approx(running.current_a, rel=1e-12)
    assert below.mode == "switched off"
    assert below.settled is True
    assert below.driver_voltage_v == running.driver_voltage_v
    assert below.temperature_c.tolist() == [31.0, 31.0]
    for nothing in (below.current_a, below.voltage_v, below.power_w, below.driver_current_a, below.loop_gain):
        assert np.all(np.asarray(nothing) == 0.0)


@pytest.mark.parametrize("wiring", ["home runs", "network", "shared sink"])
def test_variants_with_and_without_cut_off_are_mixed(wiring):
    """Variants of the board's voltage and of the cut-off; a load that takes nothing is no load, not switched off."""
    network = wirings((np.array([0.0, -1.0, 0.0, 0.0]), 0.0))[wiring]
    driver = Driver(voltage_setting_v=[30.0, 30.0, 30.0, 5.0], current_setting_a=2.0, cut_off_v=[17.0, 17.0, 25.0, 8.0])
    split = current_split(network, driver=driver)
    assert split.mode.tolist() == ["constant current", "switched off", "switched off", "no load"]
    assert split.driver_current_a[:3] == pytest.approx([2.0, 0.0, 0.0])
    assert (split.driver_voltage_v[1:3] > 10.0).all()
    for n in (0, 1, 2):
        alone = current_split(
            wirings((float([0.0, -1.0, 0.0][n]), 0.0))[wiring],
            driver=Driver(voltage_setting_v=30.0, current_setting_a=2.0, cut_off_v=[17.0, 17.0, 25.0][n]),
        )
        assert alone.mode == split.mode[n]
        assert split.temperature_c[:, n] == pytest.approx(alone.temperature_c, abs=1e-9)


def test_a_cut_off_below_nothing_is_refused():
    with pytest.raises(ArgumentError, match="cut_off_v"):
        Driver(voltage_setting_v=30, current_setting_a=1.0, cut_off_v=-1.0)
