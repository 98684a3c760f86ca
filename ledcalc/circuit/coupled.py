"""The kernel for boards that share a heat sink, in networks of any wiring: every board's heat moves every board."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, InAir, Limits, Solved
from ledcalc.circuit.elimination import solve_general
from ledcalc.circuit.kernel import MOST_STEPS, BoardState, loop_of, newton, stepped
from ledcalc.circuit.ports import Ports
from ledcalc.circuit.shapes import Columns
from ledcalc.circuit.stability import largest_of_matrix
from ledcalc.circuit.wired import Wired

__all__ = ["Coupled"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Coupled:
    """Boards behind a matrix of wires, on matrices of thermal resistances, (variants or 1 for all, boards, boards)."""

    boards: Boards
    limits: Limits
    ports: Ports
    thermal_k_per_w: FloatArray

    def solve(
        self,
        base_c: FloatArray,
        heat: float | FloatArray,
        start_a: FloatArray | None,
        *,
        nearly: bool = False,
        most_steps: int = MOST_STEPS,
    ) -> Solved:
        """Return currents and driver voltage with boards at ``base_c`` plus the heat of all."""
        if not np.any(heat):
            return newton(self._as_wired(), base_c, 0.0, start_a, nearly=nearly, most_steps=most_steps)
        return newton(self, base_c, heat, start_a, nearly=nearly, most_steps=most_steps)

    def step(self, current_a: FloatArray, driver_v: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray]:
        """Return currents and driver voltage after a Newton step: (F + Z) I = a V + B u - r with B' I = 0, F being the
        slopes of boards that warm each other."""
        voltage, own_slope, slope = self._linearised(current_a, air)
        frame, feed = self.ports.frame_ohm.copy(), self.ports.feed
        frame[: feed.size, : feed.size] += slope
        pushes = np.zeros((len(frame), 2, current_a.shape[1]))
        pushes[: feed.size, 0] = feed[:, None]
        # What the boards' tangents leave at no current.
        pushes[: feed.size, 1] = voltage - np.einsum("ijv,jv->iv", slope, current_a)
        answers = solve_general(frame, pushes)[: feed.size]
        pull, back = answers[:, 0], answers[:, 1]
        intercept, conductance = -(feed @ back), feed @ pull
        driver_v = self.limits.driver_voltage(intercept, conductance)
        falling = np.flatnonzero(conductance < 0.0)
        if falling.size:
            part, at = self.part(falling), current_a[:, falling]
            cool_v = part._as_wired().driver_voltage_as_warm(at, voltage[:, falling], own_slope[:, falling])
            driver_v[falling] = part.limits.voltage_on_falling(cool_v, intercept[falling], conductance[falling])
        return stepped(current_a, pull * driver_v - back - current_a), driver_v

    def state(
        self, current_a: FloatArray, base_c: FloatArray, heat: float | FloatArray, driver_ohm: float | FloatArray = 0.0
    ) -> BoardState:
        """Return the boards at given currents, each other's heat included."""
        if not np.any(heat):
            return self._as_wired().state(current_a, base_c, 0.0, driver_ohm)
        air = self.boards.in_air(base_c, heat)
        # Where currents ran to infinity, or heat leaves no voltage, numbers are not finite: that is said by the state.
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            voltage, _, slope, fall = self._heated(current_a, air)
            rise = air.heat * self.rise(voltage * current_a)
            rising: NDArray[np.bool_] = np.asarray(np.isfinite(rise).all(axis=0))
            doubtful = np.flatnonzero(rising & ~(air.heat * self._bound(current_a, voltage, slope, fall) < 1.0))
        if doubtful.size:
            _, _, total = self._linearised(current_a, air)
            seen = (total + self.ports.impedance_ohm)[:, :, doubtful]
            seen += self.ports.held_ohm(np.broadcast_to(driver_ohm, rising.shape)[doubtful], seen)
            finite = np.isfinite(seen).all(axis=(0, 1))
            least = np.full(doubtful.size, -np.inf)
            least[finite] = np.linalg.eigvals(seen[:, :, finite].transpose(2, 0, 1)).real.min(axis=1)
            rising[doubtful] = least > 0.0
        return BoardState(
            voltage_v=voltage,
            slope_ohm=slope,
            fall_v_per_k=fall,
            temperature_c=base_c + rise,
            is_rising=rising,
        )

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        return np.asarray(self.ports.feed @ current_a)

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds."""
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            return largest_of_matrix(self.loop(state, solved, holding))

    def rise(self, power_w: FloatArray) -> FloatArray:
        """Return by how much the boards are warmer than the air in the end, from the power that each takes."""
        heat = (self.boards.heat_fraction * power_w).T[:, :, None]
        return np.asarray((self.thermal_k_per_w @ heat)[:, :, 0].T)

    def loop(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return by how much the rise of each board in the end goes with the temperature of each."""
        response = self._as_wired().response(state.slope_ohm, solved, holding)
        return loop_of(self.boards, state, solved.current_a, response, self.thermal_k_per_w)

    def growth(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return a bound of the loop gain, and the gain itself where that is not below 1."""
        bound = self._bound(solved.current_a, state.voltage_v, state.slope_ohm, state.fall_v_per_k)
        growth = np.where(np.isfinite(state.temperature_c).all(axis=0), bound, np.nan)
        if not (growth < 1.0).all():
            growth = np.where(growth < 1.0, growth, self.loop_gain(state, solved, holding))
        return np.asarray(growth)

    def part(self, only: Columns) -> Coupled:
        """Return the kernel of some variants."""
        return Coupled(
            boards=self.boards.part(only),
            limits=self.limits.part(only),
            ports=self.ports.part(only),
            thermal_k_per_w=self.thermal_k_per_w if len(self.thermal_k_per_w) == 1 else self.thermal_k_per_w[only],
        )

    def with_limits(self, limits: Limits) -> Coupled:
        """Return the kernel with another driver."""
        return replace(self, limits=limits)

    def _bound(self, current: FloatArray, voltage: FloatArray, slope: FloatArray, fall: FloatArray) -> FloatArray:
        """Return the norms of Theta, dq/dI, dI/dV and dV/dT multiplied: below 1 the loop gain is, and voltages rise.

        For symmetric Theta without negative eigenvalues; the response dI/dV of boards, wires and driver is never above
        that of the boards alone.
        """
        thermal = self.thermal_k_per_w
        if not np.allclose(thermal, thermal.transpose(0, 2, 1), rtol=1e-12, atol=0.0):
            return np.full(current.shape[1], np.inf)
        eigenvalues = np.linalg.eigvalsh(thermal)
        norm = np.where(eigenvalues[:, 0] >= -1e-12 * eigenvalues[:, -1], eigenvalues[:, -1], np.inf)
        heating = (self.boards.heat_fraction * (np.abs(voltage) + slope * current)).max(axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            bound = norm * heating * fall.max(axis=0) / slope.min(axis=0)
        return np.where((slope > 0.0).all(axis=0), bound, np.inf)

    def _as_wired(self) -> Wired:
        """Return boards, wires and driver without the heat that they share."""
        return Wired(boards=self.boards, limits=self.limits, ports=self.ports)

    def _heated(self, current: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return voltages with own and others' heat, the matrix that closes it, slopes, and the fall a kelvin.

        V + beta Theta h I V = V_base, a linear system in the voltages.
        """
        at_base, slope, fall, bend = air.at_base(current)
        closing = self._feedback(current, fall, air)
        number = np.arange(len(current))
        closing[number, number] += 1.0
        voltage = solve_general(closing, at_base[:, None])[:, 0]
        if bend is not None:
            slope = slope - bend * air.heat * self.rise(voltage * current)
        return voltage, closing, slope, fall

    def _linearised(self, current: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return voltages, slopes without more heat, and slopes dV/dI with it: a matrix a variant, variants last."""
        voltage, closing, slope, fall = self._heated(current, air)
        own = -self._feedback(voltage, fall, air)
        number = np.arange(len(current))
        own[number, number] += slope
        return voltage, slope, solve_general(closing, own)

    def _feedback(self, factor: FloatArray, fall: FloatArray, air: InAir) -> FloatArray:
        """Return beta Theta h x, x being currents or voltages: (boards, boards, variants)."""
        by_heat = air.heat * self.boards.heat_fraction * factor
        return np.asarray(fall[:, None] * self.thermal_k_per_w.transpose(1, 2, 0) * by_heat)
