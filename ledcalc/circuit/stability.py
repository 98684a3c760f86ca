"""Whether a small warm-up of one board dies out or grows: the loop gain of circuit and heat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.home_runs import BoardState, HomeRuns

__all__ = ["loop_gain"]


def loop_gain(
    runs: HomeRuns, state: BoardState, current_a: FloatArray, driver_v: FloatArray, mode: NDArray[np.str_]
) -> FloatArray:
    """Return the largest growth factor of a small warm-up round the loop temperature -> current -> heat -> temperature.

    Theta dq/dT with dq/dT = h (V + r I) M beta - h I beta, M = (diag(r) + Z)^-1 less, for a driver of incremental
    output resistance Ro, M 1 1' M Ro / (1 + Ro 1' M 1): Ro is 0 in constant voltage, V/I at constant power, infinite in
    constant current. The factor counts by its real part: a factor that only swings the heat back does not grow. That
    light fades as boards warm (so that more becomes heat) is not in it.
    """
    beta = -runs.coefficient_v_per_k
    if not (beta * runs.thermal_k_per_w).any():
        return np.zeros(driver_v.shape)
    conductance = 1.0 / (state.slope_ohm + runs.wire_ohm)
    total = conductance.sum(axis=0)
    draw = np.maximum(current_a.sum(axis=0), 1e-30)
    held = np.where(
        mode == "power limit", 1.0 / (draw / driver_v + total), np.where(mode == "constant current", 1.0 / total, 0.0)
    )
    # Moved to (variants, boards, boards) for the eigenvalues.
    common = np.einsum("im,jm,m->mij", conductance, conductance, held)
    response = -common
    number = np.arange(current_a.shape[0])
    response[:, number, number] += conductance.T
    gain = runs.thermal_k_per_w * runs.heat_fraction
    factor = (gain * (state.voltage_v + state.slope_ohm * current_a)).T[:, :, None] * response * beta.T[:, None, :]
    factor[:, number, number] -= (gain * current_a * beta).T
    finite = np.isfinite(factor).all(axis=(1, 2))
    largest = np.full(driver_v.shape, np.nan)
    if finite.any():
        largest[finite] = np.linalg.eigvals(factor[finite]).real.max(axis=1)
    return np.asarray(np.maximum(largest, 0.0))
