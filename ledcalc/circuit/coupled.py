"""The kernel for boards that share a heat sink, in networks of any wiring: every board's heat moves every board."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, InAir, Limits, Solved
from ledcalc.circuit.kernel import MOST_STEPS, BoardState, newton, regulation, stepped
from ledcalc.circuit.linear import invert_each, solve_each
from ledcalc.circuit.ports import Ports
from ledcalc.circuit.shapes import Columns
from ledcalc.circuit.stability import largest_of_matrix

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
        return newton(self, base_c, heat, start_a, nearly=nearly, most_steps=most_steps)

    def step(self, current_a: FloatArray, driver_v: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray]:
        """Return a Newton step: (F + Z) I = a V + B u - r, islands' potentials u removed by their Schur complement."""
        voltage, slope = self._linearised(current_a, air)
        admittance = self._admittance(slope)
        # What the boards' tangents leave at no current, seen through the admittance.
        rest = voltage.T - np.einsum("mij,jm->mi", slope, current_a)
        pull = admittance @ self.ports.feed
        intercept = -np.einsum("i,mij,mj->m", self.ports.feed, admittance, rest)
        driver_v = self.limits.driver_voltage(intercept, pull @ self.ports.feed)
        wanted = (pull * driver_v[:, None] - np.einsum("mij,mj->mi", admittance, rest)).T
        return stepped(current_a, wanted - current_a), driver_v

    def state(self, current_a: FloatArray, base_c: FloatArray, heat: float | FloatArray) -> BoardState:
        """Return the boards at given currents, each other's heat included."""
        air = self.boards.in_air(base_c, heat)
        voltage, _, slope, fall = self._heated(current_a, air)
        _, total = self._linearised(current_a, air)
        rise = self._rise(voltage * current_a, air)
        seen = total + self.ports.impedance_ohm.transpose(2, 0, 1)
        rising = (
            np.linalg.eigvals(seen).real.min(axis=1) > 0 if np.isfinite(seen).all() else np.isfinite(rise).all(axis=0)
        )
        return BoardState(
            voltage_v=voltage,
            slope_ohm=slope,
            fall_v_per_k=fall,
            temperature_c=base_c + rise,
            is_rising=np.asarray(rising),
        )

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        return np.asarray(self.ports.feed @ current_a)

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds."""
        current, share = solved.current_a, self.boards.heat_fraction
        by_current = share * (state.voltage_v + state.slope_ohm * current)
        response = self._response(state.slope_ohm, solved, holding)
        heating = by_current.T[:, :, None] * response * state.fall_v_per_k.T[:, None, :]
        number = np.arange(current.shape[0])
        heating[:, number, number] -= (share * current * state.fall_v_per_k).T
        return largest_of_matrix(self.thermal_k_per_w @ heating)

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

    def _response(self, slope_ohm: FloatArray, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return dI/dV of the boards under the driver's regulation, shape (variants, boards, boards)."""
        feed = self.ports.feed
        admittance = self._admittance(slope_ohm.T[:, :, None] * np.eye(slope_ohm.shape[0]))
        into, out_of = feed @ admittance, admittance @ feed
        held = regulation(holding, solved.driver_v, self.total(solved.current_a), into @ feed)
        return np.asarray(admittance - out_of[:, :, None] * into[:, None, :] * held[:, None, None])

    def _rise(self, power_w: FloatArray, air: InAir) -> FloatArray:
        """Return by how much heat warms the boards, from the power each takes."""
        heat = (self.boards.heat_fraction * power_w).T[:, :, None]
        return np.asarray(air.heat * (self.thermal_k_per_w @ heat)[:, :, 0].T)

    def _heated(self, current: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Return voltages with own and others' heat, the matrix that closes it, slopes, and the fall a kelvin.

        V + beta Theta h I V = V_base, a linear system in the voltages.
        """
        at_base, slope, fall, bend = air.at_base(current)
        closing = np.eye(current.shape[0]) + self._feedback(current, fall, air)
        voltage = solve_each(closing, at_base.T[:, :, None])[:, :, 0].T
        if bend is not None:
            slope = slope - bend * self._rise(voltage * current, air)
        return voltage, closing, slope, fall

    def _linearised(self, current: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray]:
        """Return voltages and their slopes dV/dI with heat, a matrix a variant."""
        voltage, closing, slope, fall = self._heated(current, air)
        own = slope.T[:, :, None] * np.eye(current.shape[0])
        return voltage, solve_each(closing, own - self._feedback(voltage, fall, air))

    def _feedback(self, factor: FloatArray, fall: FloatArray, air: InAir) -> FloatArray:
        """Return beta Theta h x, x being currents or voltages: a matrix a variant."""
        by_heat = (air.heat * self.boards.heat_fraction * factor).T[:, None, :]
        return np.asarray(fall.T[:, :, None] * self.thermal_k_per_w * by_heat)

    def _admittance(self, slope: FloatArray) -> FloatArray:
        """Return dI/d(a V - r): the inverse of slopes and wires, with no net current into an island."""
        inverse = invert_each(slope + self.ports.impedance_ohm.transpose(2, 0, 1))
        islands = self.ports.islands
        if islands.shape[1] == 0:
            return inverse
        into = np.einsum("ik,mij->mkj", islands, inverse)
        out_of = np.einsum("mij,jk->mik", inverse, islands)
        return np.asarray(inverse - out_of @ solve_each(into @ islands, into))
