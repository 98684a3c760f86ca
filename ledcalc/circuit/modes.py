"""Which of its limits a driver is at: one that is met, and none passed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Limits
from ledcalc.circuit.kernel import AT_CURRENT, AT_POWER, AT_VOLTAGE

__all__ = ["MODES", "NO_LOAD_A", "SWITCHED_OFF", "holding_of", "is_at_a_limit", "mode_of"]

BELOW_WINDOW, NO_LOAD, SWITCHED_OFF = 3, 4, 5
MODES = np.array(["constant voltage", "constant current", "power limit", "below window", "no load", "switched off"])
NO_LOAD_A = 1e-6
# How near to a limit counts as at it: solutions stop where a step moves the largest current by less.
MET_FRACTION = 1e-7


def holding_of(limits: Limits, driver_v: FloatArray, total_a: FloatArray) -> NDArray[np.intp]:
    """Return which of its three limits the driver holds: the one that it has come nearest to."""
    at_voltage = driver_v >= limits.voltage_v * (1.0 - 1e-12)
    by_current, by_power = total_a / limits.current_a, driver_v * total_a / limits.power_w
    at_current = (total_a >= limits.current_a * (1.0 - 1e-9)) | (by_current >= by_power)
    return np.where(at_voltage, AT_VOLTAGE, np.where(at_current, AT_CURRENT, AT_POWER))


def is_at_a_limit(limits: Limits, driver_v: FloatArray, total_a: FloatArray) -> NDArray[np.bool_]:
    """Return whether one of the limits is met and none is passed; a driver without load has nothing to hold."""
    used = np.maximum(
        np.maximum(driver_v / limits.voltage_v, total_a / limits.current_a), driver_v * total_a / limits.power_w
    )
    return np.asarray((np.abs(used - 1.0) <= MET_FRACTION) | (total_a < NO_LOAD_A))


def mode_of(limits: Limits, holding: NDArray[np.intp], driver_v: FloatArray, total_a: FloatArray) -> NDArray[np.str_]:
    """Return the mode in words."""
    mode = np.where(driver_v < limits.window_min_v, BELOW_WINDOW, holding)
    return MODES[np.where(total_a < NO_LOAD_A, NO_LOAD, mode)]
