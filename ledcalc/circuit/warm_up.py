"""Warms circuits up from cold, step by step: decides which steady state is meant, or that there is none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Solved
from ledcalc.circuit.kernel import BoardState, Kernel
from ledcalc.circuit.linear import solve_each
from ledcalc.circuit.modes import holding_of

__all__ = ["HOTTEST_RISE_K", "warmed_from_cold"]

FIRST_STEP, LEAST_STEP, LONGEST_STEP = 0.02, 1e-6, 1e8
# The bound on the work: variants that are not at their end after so many steps count as having none.
MOST_MARCH_STEPS = 400
# At a given temperature currents need few Newton steps, from the last ones.
MOST_NEWTON_STEPS = 60
SETTLED_K, SETTLED_FRACTION = 1e-9, 1e-12
HOTTEST_RISE_K = 2000.0
# What a step's error may be: of a board's rise, and of how far boards differ, which may decide which of them hogs.
STEP_K, STEP_FRACTION, DIFFERENCE_FRACTION = 0.05, 5e-3, 0.1
# A step's error grows with the square of its length; part of what would just do; most growth and shrinking a step.
SAFETY, GROWTH, SHRINKING = 0.8, 5.0, 0.2
GAMMA = 1.0 - 0.5 * np.sqrt(2.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moment:
    """Boards at given temperatures: the circuit there, how fast they warm in K a time constant, and its derivatives."""

    temperature_c: FloatArray
    solved: Solved
    rate_k: FloatArray
    tangent: FloatArray

    def part(self, only: NDArray[np.intp]) -> Moment:
        """Return some variants."""
        solved = self.solved
        return Moment(
            temperature_c=self.temperature_c[:, only],
            solved=Solved(
                current_a=solved.current_a[:, only],
                driver_v=solved.driver_v[only],
                converged=solved.converged[only],
            ),
            rate_k=self.rate_k[:, only],
            tangent=self.tangent[only],
        )

    def where(self, accepted: NDArray[np.bool_], following: Moment) -> Moment:
        """Return this moment, or the following one in the variants that go on."""
        old, new = self.solved, following.solved
        return Moment(
            temperature_c=np.where(accepted, following.temperature_c, self.temperature_c),
            solved=Solved(
                current_a=np.where(accepted, new.current_a, old.current_a),
                driver_v=np.where(accepted, new.driver_v, old.driver_v),
                converged=old.converged | accepted,
            ),
            rate_k=np.where(accepted, following.rate_k, self.rate_k),
            tangent=np.where(accepted[:, None, None], following.tangent, self.tangent),
        )


def warmed_from_cold(kernel: Kernel, base: FloatArray) -> Solved:
    """Return the steady state of each variant that warming up from ambient leads to; not converged where there is none.

    dT/dt = base + Theta q(T) - T in units of the thermal time constant (the same for all boards), the circuit at each
    temperature being isothermal: that has one answer, found from the last. Each variant has its own step, by its error;
    those that have come to their end are left out of the next. No variant takes more than ``MOST_MARCH_STEPS`` steps;
    one that is not at its end then, hotter than ``HOTTEST_RISE_K`` or without an answer, counts as not converged.

    References
    ----------
    Verwer, Spee, Blom & Hundsdorfer 1999, SIAM J. Sci. Comput. 20(4):1456-1480: the second-order Rosenbrock method
    ROS2, L-stable, with its first stage as the error's measure.
    """
    going = np.arange(base.shape[1])
    now, step, part = _moment(kernel, base, base, None), np.full(base.shape[1], FIRST_STEP), kernel
    current, driver_v = now.solved.current_a.copy(), now.solved.driver_v.copy()
    settled = np.zeros(base.shape[1], dtype=bool)
    for _ in range(MOST_MARCH_STEPS):
        following, error = _after(part, base[:, going], now, step)
        accepted = (error <= 1.0) & following.solved.converged
        now = now.where(accepted, following)
        rise = (now.temperature_c - base[:, going]).max(axis=0)
        is_at_rest = np.abs(now.rate_k).max(axis=0) <= SETTLED_K + SETTLED_FRACTION * np.abs(rise)
        current[:, going], driver_v[going] = now.solved.current_a, now.solved.driver_v
        settled[going] = now.solved.converged & is_at_rest
        lost = (rise > HOTTEST_RISE_K) | (step < LEAST_STEP) | ~now.solved.converged
        with np.errstate(divide="ignore"):
            factor = np.clip(SAFETY / np.sqrt(error), SHRINKING, np.where(accepted, GROWTH, 0.5))
        step = np.minimum(step * factor, LONGEST_STEP)
        left = np.flatnonzero(~(is_at_rest | lost))
        if left.size == 0:
            break
        if left.size < going.size:
            going, now, step, part = going[left], now.part(left), step[left], part.part(left)
    return Solved(current_a=current, driver_v=driver_v, converged=settled)


def _after(kernel: Kernel, base: FloatArray, now: Moment, step: FloatArray) -> tuple[Moment, FloatArray]:
    """Return where a step leads, and its error in parts of what is allowed; infinite where it has no answer."""
    matrix = np.eye(len(base)) - (GAMMA * step)[:, None, None] * now.tangent
    first = solve_each(matrix, now.rate_k.T[:, :, None])[:, :, 0].T
    halfway = now.temperature_c + step * first
    _, _, rate = _rate(kernel, base, halfway, now.solved.current_a)
    second = solve_each(matrix, (rate - 2.0 * first).T[:, :, None])[:, :, 0].T
    reached = halfway + 0.5 * step * (first + second)
    off = reached - halfway
    rise = np.abs(reached - base).max(axis=0)
    error = np.abs(off).max(axis=0) / (STEP_K + STEP_FRACTION * rise)
    # Tiny differences between boards that are alike grow where boards hog: their steps may not jump over that.
    apart = np.abs(off - off.mean(axis=0)).max(axis=0)
    differ = np.maximum(np.ptp(now.temperature_c - base, axis=0), np.ptp(reached - base, axis=0))
    error = np.maximum(error, apart / (DIFFERENCE_FRACTION * differ + SETTLED_K))
    error = np.where(np.isfinite(error), error, np.inf)
    reached = np.where(error <= 1.0, reached, now.temperature_c)
    return _moment(kernel, base, reached, now.solved.current_a), error


def _moment(kernel: Kernel, base: FloatArray, temperature: FloatArray, start_a: FloatArray | None) -> Moment:
    """Return boards at given temperatures, with currents to start the circuit's solution from."""
    solved, state, rate = _rate(kernel, base, temperature, start_a)
    holding = holding_of(kernel.limits, solved.driver_v, kernel.total(solved.current_a))
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        tangent = kernel.loop(state, solved, holding) - np.eye(len(base))
    found = solved.converged & np.isfinite(rate).all(axis=0) & np.isfinite(tangent).all(axis=(1, 2))
    solved = Solved(current_a=solved.current_a, driver_v=solved.driver_v, converged=found)
    return Moment(temperature_c=temperature, solved=solved, rate_k=rate, tangent=tangent)


def _rate(
    kernel: Kernel, base: FloatArray, temperature: FloatArray, start_a: FloatArray | None
) -> tuple[Solved, BoardState, FloatArray]:
    """Return the circuit at given temperatures, its boards, and how fast these warm."""
    solved = kernel.solve(temperature, 0.0, start_a, most_steps=MOST_NEWTON_STEPS)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        state = kernel.state(solved.current_a, temperature, 0.0)
        rate = base + kernel.rise(state.voltage_v * solved.current_a) - temperature
    return solved, state, rate
