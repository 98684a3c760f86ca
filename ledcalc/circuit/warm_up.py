"""Warms circuits up from cold, step by step: decides which steady state is meant, or that there is none."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Solved
from ledcalc.circuit.kernel import Kernel

__all__ = ["HOTTEST_RISE_K", "warmed_from_cold"]

FIRST_STEP, LEAST_STEP, LONGEST_STEP, GROWTH = 0.1, 1e-4, 1e6, 1.5
MOST_MARCH_STEPS = 400
# A step that takes Newton more is too long to follow: it may end with another board taking all.
MOST_NEWTON_STEPS = 25
SETTLED_K = 1e-9
HOTTEST_RISE_K = 2000.0


def warmed_from_cold(kernel: Kernel, base: FloatArray) -> Solved:
    """Return the steady state of each variant that warming up from ambient leads to; not converged where there is none.

    Backward Euler in units of the thermal time constant (the same for all boards), steps growing to infinity:
    T+ = (T + h (base + rise)) / (1 + h) is the steady problem with h/(1 + h) of the heat on a base of
    (T + h base)/(1 + h). Each variant has its own step; those that have come to their end are left out of the next.
    """
    cold = kernel.solve(base, 0.0, None)
    current, driver_v, settled = cold.current_a, cold.driver_v, np.zeros(base.shape[1], dtype=bool)
    temperature, step = base.copy(), np.full(base.shape[1], FIRST_STEP)
    going = np.arange(base.shape[1])
    for _ in range(MOST_MARCH_STEPS):
        part = kernel if going.size == base.shape[1] else kernel.part(going)
        air, h, before = base[:, going], step[going], temperature[:, going]
        eased, heat = (before + h * air) / (1.0 + h), h / (1.0 + h)
        solved = part.solve(eased, heat, current[:, going], most_steps=MOST_NEWTON_STEPS)
        found = solved.converged
        after = np.where(found, part.state(solved.current_a, eased, heat).temperature_c, before)
        current[:, going] = np.where(found, solved.current_a, current[:, going])
        driver_v[going] = np.where(found, solved.driver_v, driver_v[going])
        temperature[:, going] = after
        moved = np.abs(after - before).max(axis=0)
        settled[going] = found & (h >= LONGEST_STEP) & (moved < SETTLED_K)
        lost = np.where(found, (after - air).max(axis=0) > HOTTEST_RISE_K, h < LEAST_STEP)
        step[going] = np.where(found, np.minimum(h * GROWTH, LONGEST_STEP), h / 4.0)
        going = going[~(settled[going] | lost)]
        if going.size == 0:
            break
    return Solved(current_a=current, driver_v=driver_v, converged=settled)
