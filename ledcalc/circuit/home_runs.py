"""The kernel for boards in parallel on home runs: nothing couples the branches but the driver's voltage."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, InAir, Limits, Solved
from ledcalc.circuit.kernel import (
    FLOOR_A,
    LEAST_SLOPE_OHM,
    MOST_STEPS,
    BoardState,
    loop_of,
    newton,
    regulation,
    stepped,
)
from ledcalc.circuit.shapes import Columns
from ledcalc.circuit.stability import largest_of_diagonal_less_outer

__all__ = ["HomeRuns"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HomeRuns:
    """Branches of board and wire between the driver's terminals; arrays have a row a board and a column a variant."""

    boards: Boards
    limits: Limits
    wire_ohm: FloatArray

    def solve(
        self,
        base_c: FloatArray,
        heat: float | FloatArray,
        start_a: FloatArray | None,
        *,
        nearly: bool = False,
        most_steps: int = MOST_STEPS,
    ) -> Solved:
        """Return currents and driver voltage with boards at ``base_c`` plus their own heat."""
        return newton(self, base_c, heat, start_a, nearly=nearly, most_steps=most_steps)

    def step(self, current_a: FloatArray, driver_v: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray]:
        """Return currents and driver voltage after a Newton step: each branch by its tangent, seen from the driver."""
        own = air.with_own_heat(current_a)
        slope = own.warm_ohm + self.wire_ohm
        if not slope.min() > LEAST_SLOPE_OHM:
            # Where own heat turns the slope negative, the cold slope keeps the step on the way up from cold.
            slope = np.where(slope > LEAST_SLOPE_OHM, slope, own.slope_ohm + self.wire_ohm)
        terminal = self.wire_ohm * current_a
        terminal += own.voltage_v
        conductance = 1.0 / slope
        if current_a.min() > FLOOR_A:
            intercept = (current_a - terminal * conductance).sum(axis=0)
            total = conductance.sum(axis=0)
        else:
            # A dark board below its knee takes nothing: left in, its tangent would draw a current backwards.
            awake = (current_a > FLOOR_A) | (terminal < driver_v)
            intercept = (awake * (current_a - terminal * conductance)).sum(axis=0)
            total = (awake * conductance).sum(axis=0)
        driver_v = self.limits.driver_voltage(intercept, total)
        change = np.subtract(driver_v, terminal, out=terminal)
        change *= conductance
        return stepped(current_a, change), driver_v

    def state(
        self, current_a: FloatArray, base_c: FloatArray, heat: float | FloatArray, driver_ohm: float | FloatArray = 0.0
    ) -> BoardState:
        """Return the boards at given currents."""
        air = self.boards.in_air(base_c, heat)
        own = air.with_own_heat(current_a)
        return BoardState(
            voltage_v=own.voltage_v,
            slope_ohm=own.slope_ohm,
            fall_v_per_k=own.fall_v_per_k,
            temperature_c=base_c + air.theta_k_per_w * own.voltage_v * current_a,
            is_rising=_is_rising(own.warm_ohm + self.wire_ohm, driver_ohm),
        )

    def rise(self, power_w: FloatArray) -> FloatArray:
        """Return by how much the boards are warmer than the air in the end, from the power that each takes."""
        return np.asarray(self.boards.thermal_k_per_w * self.boards.heat_fraction * power_w)

    def loop(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return by how much the rise of each board in the end goes with the temperature of each."""
        current, conductance = solved.current_a, 1.0 / (state.slope_ohm + self.wire_ohm)
        held = regulation(holding, solved.driver_v, current.sum(axis=0), conductance.sum(axis=0))
        response = -conductance[:, None] * (conductance * held)
        number = np.arange(len(current))
        response[number, number] += conductance
        thermal = self.boards.thermal_k_per_w.T[:, :, None] * np.eye(len(current))
        return loop_of(self.boards, state, current, response, thermal)

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        return np.asarray(current_a.sum(axis=0))

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds.

        With branches coupled by the driver alone the loop is diagonal less one outer product.
        """
        current, conductance = solved.current_a, 1.0 / (state.slope_ohm + self.wire_ohm)
        falling = self.boards.thermal_k_per_w * self.boards.heat_fraction * state.fall_v_per_k
        by_current = falling * (state.voltage_v + state.slope_ohm * current) * conductance
        held = regulation(holding, solved.driver_v, current.sum(axis=0), conductance.sum(axis=0))
        return largest_of_diagonal_less_outer(by_current - falling * current, by_current * conductance * held)

    def growth(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the loop gain: here it costs little."""
        return self.loop_gain(state, solved, holding)

    def part(self, only: Columns) -> HomeRuns:
        """Return the kernel of some variants."""
        return HomeRuns(
            boards=self.boards.part(only),
            limits=self.limits.part(only),
            wire_ohm=self.wire_ohm[:, only],
        )

    def with_limits(self, limits: Limits) -> HomeRuns:
        """Return the kernel with another driver."""
        return replace(self, limits=limits)


def _is_rising(slope_ohm: FloatArray, driver_ohm: float | FloatArray) -> NDArray[np.bool_]:
    """Return whether diag(slopes) + driver 1 1' is positive definite: one falling branch may be held by the others.

    With one negative entry its determinant, by Sylvester, has to be positive: 1 / driver + sum 1 / slope below 0.
    """
    falling = (~(slope_ohm > 0.0)).sum(axis=0)
    if not falling.any():
        return np.ones(falling.shape, dtype=bool)
    with np.errstate(divide="ignore", invalid="ignore"):
        is_held = 1.0 / np.asarray(driver_ohm) + (1.0 / slope_ohm).sum(axis=0) < 0.0
    return np.asarray((falling == 0) | ((falling == 1) & is_held))
