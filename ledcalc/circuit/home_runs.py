"""The kernel for boards in parallel on home runs: nothing couples the branches but the driver's voltage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, Limits, Solved
from ledcalc.circuit.kernel import FLOOR_A, MOST_STEPS, BoardState, first_guess, has_converged, stepped
from ledcalc.circuit.stability import largest_of_diagonal_less_outer

__all__ = ["HomeRuns"]

LEAST_SLOPE_OHM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HomeRuns:
    """Branches of board and wire between the driver's terminals; arrays have a row a board and a column a variant."""

    boards: Boards
    limits: Limits
    wire_ohm: FloatArray

    def solve(self, base_c: FloatArray, heat: float, start_a: FloatArray | None) -> Solved:
        """Solve by Newton; the driver's mode is no branching: the lowest of its limits on the linearised load."""
        current = first_guess(self.limits, self.wire_ohm.shape[0]) if start_a is None else start_a
        driver_v = np.zeros(self.limits.voltage_v.shape)
        converged = np.zeros(driver_v.shape, dtype=bool)
        for _ in range(MOST_STEPS):
            terminal, slope = self._seen_from_driver(current, base_c, heat)
            # A dark board below its knee takes nothing: left in, its tangent would draw a current backwards.
            awake = (current > FLOOR_A) | (terminal < driver_v)
            conductance = awake / slope
            intercept = (awake * current - terminal * conductance).sum(axis=0)
            driver_v = self.limits.driver_voltage(intercept, conductance.sum(axis=0))
            following = stepped(current, (driver_v - terminal) / slope)
            moved = np.abs(following - current).max(axis=0)
            current = following
            converged = has_converged(moved, current)
            if converged.all() or not np.isfinite(moved).any():
                break
        return Solved(current_a=current, driver_v=driver_v, converged=converged & np.isfinite(driver_v))

    def state(self, current_a: FloatArray, base_c: FloatArray, heat: float) -> BoardState:
        """Return the boards at given currents.

        With T = base + theta V I and V falling by beta a kelvin the heat closes in V = V_base / (1 + beta theta I).
        """
        at_base, slope = self.boards.at(current_a, base_c)
        theta = heat * self.boards.thermal_k_per_w * self.boards.heat_fraction
        beta_theta = -self.boards.coefficient_v_per_k * theta
        closing = 1.0 + beta_theta * current_a
        voltage = at_base / closing
        total_slope = (slope - beta_theta * voltage) / closing + self.wire_ohm
        return BoardState(
            voltage_v=voltage,
            slope_ohm=slope,
            temperature_c=base_c + theta * voltage * current_a,
            is_rising=np.asarray((total_slope > 0.0).all(axis=0)),
        )

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        return np.asarray(current_a.sum(axis=0))

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.str_]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds.

        With branches coupled by the driver alone the loop is diagonal less one outer product.
        """
        boards, current = self.boards, solved.current_a
        thermal = boards.thermal_k_per_w * boards.heat_fraction
        beta, conductance = -boards.coefficient_v_per_k, 1.0 / (state.slope_ohm + self.wire_ohm)
        by_current = thermal * (state.voltage_v + state.slope_ohm * current) * conductance
        total, draw = conductance.sum(axis=0), np.maximum(current.sum(axis=0), 1e-30)
        at_power = 1.0 / (draw / solved.driver_v + total)
        held = np.where(holding == "power limit", at_power, np.where(holding == "constant current", 1.0 / total, 0.0))
        diagonal = (by_current - thermal * current) * beta
        return largest_of_diagonal_less_outer(diagonal, by_current * conductance * beta * held)

    def part(self, only: slice) -> HomeRuns:
        """Return the kernel of some variants."""
        return HomeRuns(
            boards=self.boards.part(only),
            limits=self.limits.part(only),
            wire_ohm=self.wire_ohm[:, only],
        )

    def _seen_from_driver(self, current: FloatArray, base_c: FloatArray, heat: float) -> tuple[FloatArray, FloatArray]:
        """Return each branch's voltage at the driver and its slope, own heat included."""
        at_base, slope = self.boards.at(current, base_c)
        if heat == 0.0:
            return at_base + self.wire_ohm * current, slope + self.wire_ohm
        beta_theta = -heat * self.boards.coefficient_v_per_k * self.boards.thermal_k_per_w * self.boards.heat_fraction
        closing = 1.0 + beta_theta * current
        voltage = at_base / closing
        warm = (slope - beta_theta * voltage) / closing + self.wire_ohm
        # Where own heat turns the slope negative, the cold slope keeps the step on the way up from cold.
        return voltage + self.wire_ohm * current, np.where(warm > LEAST_SLOPE_OHM, warm, slope + self.wire_ohm)
