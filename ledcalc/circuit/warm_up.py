"""Warms a circuit up from cold, step by step: decides which steady state is meant, or that there is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Solved
from ledcalc.circuit.kernel import Kernel

__all__ = ["HOTTEST_RISE_K", "warmed_from_cold"]

FIRST_STEP, LEAST_STEP, LONGEST_STEP, GROWTH = 0.1, 1e-4, 1e6, 1.5
MOST_MARCH_STEPS = 400
SETTLED_K = 1e-9
HOTTEST_RISE_K = 2000.0


def warmed_from_cold(kernel: Kernel, base: FloatArray) -> Solved:
    """Return the steady state of one variant that warming up from ambient leads to; not converged where there is none.

    Backward Euler in units of the thermal time constant (the same for all boards), steps growing to infinity:
    T+ = (T + h (base + rise)) / (1 + h) is the steady problem with h/(1 + h) of the heat on a base of
    (T + h base)/(1 + h).
    """
    temperature, step = base.copy(), FIRST_STEP
    solved = kernel.solve(base, 0.0, None)
    for _ in range(MOST_MARCH_STEPS):
        eased, heat = (temperature + step * base) / (1.0 + step), step / (1.0 + step)
        following = kernel.solve(eased, heat, solved.current_a)
        if not following.converged.all():
            if step < LEAST_STEP:
                break
            step /= 4.0
            continue
        solved = following
        warmer = kernel.state(solved.current_a, eased, heat).temperature_c
        moved, temperature = float(np.abs(warmer - temperature).max()), warmer
        if float((temperature - base).max()) > HOTTEST_RISE_K:
            break
        if step >= LONGEST_STEP and moved < SETTLED_K:
            return solved
        step = min(step * GROWTH, LONGEST_STEP)
    return replace(solved, converged=np.zeros_like(solved.converged))
