"""Whether a small warm-up of one board dies out or grows: the loop gain of circuit and heat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Solved
from ledcalc.circuit.kernel import BoardState, Kernel

__all__ = ["loop_gain"]


def loop_gain(kernel: Kernel, state: BoardState, solved: Solved, holding: NDArray[np.str_]) -> FloatArray:
    """Return the largest growth factor of a small warm-up round the loop temperature -> current -> heat -> temperature.

    Theta dq/dT with dq/dT = h (V + r I) M beta - h I beta, M the response of the board currents to board voltages under
    the driver's regulation. The factor counts by its real part: a factor that only swings the heat back does not grow.
    That light fades as boards warm (so that more becomes heat) is not in it.
    """
    boards = kernel.boards
    beta = -boards.coefficient_v_per_k
    thermal = kernel.thermal_matrix()
    if not beta.any() or not thermal.any():
        return np.zeros(solved.driver_v.shape)
    response = kernel.response(state.slope_ohm, solved.current_a, solved.driver_v, holding)
    by_current = boards.heat_fraction * (state.voltage_v + state.slope_ohm * solved.current_a)
    heating = by_current.T[:, :, None] * response * beta.T[:, None, :]
    number = np.arange(beta.shape[0])
    heating[:, number, number] -= (boards.heat_fraction * solved.current_a * beta).T
    factor = thermal @ heating
    finite = np.isfinite(factor).all(axis=(1, 2))
    largest = np.full(solved.driver_v.shape, np.nan)
    if finite.any():
        largest[finite] = np.linalg.eigvals(factor[finite]).real.max(axis=1)
    return np.asarray(np.maximum(largest, 0.0))
