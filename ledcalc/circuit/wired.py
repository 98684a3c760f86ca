"""The kernel for networks of any wiring with each board on its own heat sink: symmetric, so eliminated at once."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, InAir, Limits, Solved
from ledcalc.circuit.elimination import largest_eigenvalue, solve_symmetric
from ledcalc.circuit.kernel import LEAST_SLOPE_OHM, MOST_STEPS, BoardState, loop_of, newton, regulation, stepped
from ledcalc.circuit.ports import Ports
from ledcalc.circuit.shapes import Columns

__all__ = ["Wired"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wired:
    """Boards behind a matrix of wires: (F + Z) I = a V + B u - r with B' I = 0, F the boards' slopes, a diagonal."""

    boards: Boards
    limits: Limits
    ports: Ports

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
        """Return currents and driver voltage after a Newton step."""
        own = air.with_own_heat(current_a)
        slope = own.warm_ohm
        if not slope.min() > LEAST_SLOPE_OHM:
            # Where own heat turns the slope negative, the cold slope keeps the step on the way up from cold.
            least = LEAST_SLOPE_OHM - np.einsum("iiv->iv", self.ports.impedance_ohm)
            slope = np.where(slope > least, slope, own.slope_ohm)
        # What the boards' tangents leave at no current.
        rest = own.voltage_v - slope * current_a
        feed = self.ports.feed
        pushes = np.empty((feed.size, 2, rest.shape[1]))
        pushes[:, 0], pushes[:, 1] = feed[:, None], rest
        answers = solve_symmetric(self.ports.frame_ohm, slope, pushes)
        pull, back = answers[:, 0], answers[:, 1]
        intercept, conductance = -(feed @ back), feed @ pull
        driver_v = self.limits.driver_voltage(intercept, conductance)
        falling = np.flatnonzero(conductance < 0.0)
        if falling.size:
            part, at = self.part(falling), current_a[:, falling]
            cool_v = part.driver_voltage_as_warm(at, own.voltage_v[:, falling], own.slope_ohm[:, falling])
            driver_v[falling] = part.limits.voltage_on_falling(cool_v, intercept[falling], conductance[falling])
        return stepped(current_a, pull * driver_v - back - current_a), driver_v

    def driver_voltage_as_warm(self, current_a: FloatArray, voltage_v: FloatArray, slope_ohm: FloatArray) -> FloatArray:
        """Return the driver's voltage by tangents of boards that stay as warm as they are: such a load always rises."""
        feed = self.ports.feed
        pushes = np.empty((feed.size, 2, current_a.shape[1]))
        pushes[:, 0], pushes[:, 1] = feed[:, None], voltage_v - slope_ohm * current_a
        answers = solve_symmetric(self.ports.frame_ohm, slope_ohm, pushes)
        return self.limits.driver_voltage(-(feed @ answers[:, 1]), feed @ answers[:, 0])

    def state(
        self, current_a: FloatArray, base_c: FloatArray, heat: float | FloatArray, driver_ohm: float | FloatArray = 0.0
    ) -> BoardState:
        """Return the boards at given currents."""
        air = self.boards.in_air(base_c, heat)
        own = air.with_own_heat(current_a)
        rising = np.asarray(own.warm_ohm.min(axis=0) > 0.0)
        doubtful = np.flatnonzero(~rising & np.isfinite(own.warm_ohm).all(axis=0))
        if doubtful.size:
            # The wires and the driver may still hold what a board's own slope does not.
            number = np.arange(current_a.shape[0])
            seen = self.ports.impedance_ohm[:, :, doubtful].copy()
            seen[number, number] += own.warm_ohm[:, doubtful]
            seen += self.ports.held_ohm(np.broadcast_to(driver_ohm, rising.shape)[doubtful], seen)
            rising[doubtful] = largest_eigenvalue(-seen) < 0.0
        return BoardState(
            voltage_v=own.voltage_v,
            slope_ohm=own.slope_ohm,
            fall_v_per_k=own.fall_v_per_k,
            temperature_c=base_c + air.theta_k_per_w * own.voltage_v * current_a,
            is_rising=rising,
        )

    def rise(self, power_w: FloatArray) -> FloatArray:
        """Return by how much the boards are warmer than the air in the end, from the power that each takes."""
        return np.asarray(self.boards.thermal_k_per_w * self.boards.heat_fraction * power_w)

    def loop(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return by how much the rise of each board in the end goes with the temperature of each."""
        response = self.response(state.slope_ohm, solved, holding)
        thermal = self.boards.thermal_k_per_w.T[:, :, None] * np.eye(len(response))
        return loop_of(self.boards, state, solved.current_a, response, thermal)

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        return np.asarray(self.ports.feed @ current_a)

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds.

        Each board on its own sink: the loop D R F - C, with diagonal D, F, C, has the eigenvalues of the symmetric
        sqrt(D F) R sqrt(D F) - C.
        """
        boards, feed, current = self.boards, self.ports.feed, solved.current_a
        falling = boards.thermal_k_per_w * boards.heat_fraction * state.fall_v_per_k
        response = self.response(state.slope_ohm, solved, holding)
        with np.errstate(invalid="ignore"):
            # Hotter than any board can be a voltage turns negative: no loop gain.
            root = np.sqrt(falling * (state.voltage_v + state.slope_ohm * current))
        response *= root[:, None]
        response *= root
        number = np.arange(feed.size)
        response[number, number] -= falling * current
        return np.asarray(np.maximum(largest_eigenvalue(response), 0.0))

    def growth(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the loop gain: here it costs little."""
        return self.loop_gain(state, solved, holding)

    def part(self, only: Columns) -> Wired:
        """Return the kernel of some variants."""
        return Wired(boards=self.boards.part(only), limits=self.limits.part(only), ports=self.ports.part(only))

    def with_limits(self, limits: Limits) -> Wired:
        """Return the kernel with another driver."""
        return replace(self, limits=limits)

    def response(self, slope_ohm: FloatArray, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return dI/dV of the boards under the driver's regulation, shape (boards, boards, variants)."""
        feed = self.ports.feed
        unit = np.broadcast_to(np.eye(feed.size)[:, :, None], (feed.size, *slope_ohm.shape))
        admittance = solve_symmetric(self.ports.frame_ohm, slope_ohm, unit)
        out_of = np.tensordot(feed, admittance, 1)
        held = regulation(holding, solved.driver_v, self.total(solved.current_a), feed @ out_of)
        admittance -= out_of[:, None] * (out_of * held)
        return admittance
