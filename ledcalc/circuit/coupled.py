"""The kernel for networks of any wiring, and for boards that share a heat sink."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, Limits, Solved
from ledcalc.circuit.kernel import MOST_STEPS, BoardState, first_guess, has_converged, stepped
from ledcalc.circuit.linear import invert_each, solve_each
from ledcalc.circuit.ports import Ports
from ledcalc.circuit.stability import largest_of_matrix

__all__ = ["Coupled"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Coupled:
    """Boards behind a matrix of wires; ``thermal_k_per_w``: (boards, boards), or None for each board on its "
    "own sink."""

    boards: Boards
    limits: Limits
    ports: Ports
    thermal_k_per_w: FloatArray | None

    def solve(self, base_c: FloatArray, heat: float, start_a: FloatArray | None) -> Solved:
        """Solve by Newton: (F + Z) I = a V + B u - r, islands' potentials u removed by their Schur complement."""
        current = first_guess(self.limits, base_c.shape[0]) if start_a is None else start_a
        driver_v = np.zeros(self.limits.voltage_v.shape)
        converged = np.zeros(driver_v.shape, dtype=bool)
        feed = self.ports.feed
        for _ in range(MOST_STEPS):
            voltage, slope = self._linearised(current, base_c, heat)
            admittance = self._admittance(slope)
            # What the boards' tangents leave at no current, seen through the admittance.
            rest = voltage.T - np.einsum("mij,jm->mi", slope, current)
            pull = admittance @ feed
            intercept = -np.einsum("i,mij,mj->m", feed, admittance, rest)
            driver_v = self.limits.driver_voltage(intercept, pull @ feed)
            wanted = (pull * driver_v[:, None] - np.einsum("mij,mj->mi", admittance, rest)).T
            following = stepped(current, wanted - current)
            moved = np.abs(following - current).max(axis=0)
            current = following
            converged = has_converged(moved, current)
            if converged.all() or not np.isfinite(moved).any():
                break
        return Solved(current_a=current, driver_v=driver_v, converged=converged & np.isfinite(driver_v))

    def state(self, current_a: FloatArray, base_c: FloatArray, heat: float) -> BoardState:
        """Return the boards at given currents, each other's heat included."""
        voltage, _, slope = self._heated(current_a, base_c, heat)
        power = self.boards.heat_fraction * voltage * current_a
        rise = heat * np.einsum("mij,jm->im", self._thermal_matrix(), power)
        _, total = self._linearised(current_a, base_c, heat)
        seen = total + self.ports.impedance_ohm
        rising = (
            np.linalg.eigvals(seen).real.min(axis=1) > 0 if np.isfinite(seen).all() else np.isfinite(rise).all(axis=0)
        )
        return BoardState(voltage_v=voltage, slope_ohm=slope, temperature_c=base_c + rise, is_rising=np.asarray(rising))

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        return np.asarray(self.ports.feed @ current_a)

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.str_]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds."""
        boards, current = self.boards, solved.current_a
        beta, thermal = -boards.coefficient_v_per_k, self._thermal_matrix()
        if not beta.any() or not thermal.any():
            return np.zeros(solved.driver_v.shape)
        by_current = boards.heat_fraction * (state.voltage_v + state.slope_ohm * current)
        response = self._response(state.slope_ohm, solved, holding)
        heating = by_current.T[:, :, None] * response * beta.T[:, None, :]
        number = np.arange(beta.shape[0])
        heating[:, number, number] -= (boards.heat_fraction * current * beta).T
        return largest_of_matrix(thermal @ heating)

    def part(self, only: slice) -> Coupled:
        """Return the kernel of some variants."""
        ports = Ports(
            impedance_ohm=self.ports.impedance_ohm[only],
            feed=self.ports.feed,
            islands=self.ports.islands,
        )
        return Coupled(
            boards=self.boards.part(only),
            limits=self.limits.part(only),
            ports=ports,
            thermal_k_per_w=self.thermal_k_per_w,
        )

    def _response(self, slope_ohm: FloatArray, solved: Solved, holding: NDArray[np.str_]) -> FloatArray:
        """Return dI/dV of the boards under the driver's regulation, shape (variants, boards, boards)."""
        feed = self.ports.feed
        admittance = self._admittance(slope_ohm.T[:, :, None] * np.eye(slope_ohm.shape[0]))
        into, out_of = feed @ admittance, admittance @ feed
        # Boards all dark conduct nothing that a regulator could answer to.
        total = np.maximum(into @ feed, 1e-30)
        draw = np.maximum(self.total(solved.current_a), 1e-30)
        at_power = 1.0 / (draw / solved.driver_v + total)
        held = np.where(holding == "power limit", at_power, np.where(holding == "constant current", 1.0 / total, 0.0))
        return np.asarray(admittance - out_of[:, :, None] * into[:, None, :] * held[:, None, None])

    def _thermal_matrix(self) -> FloatArray:
        """Return the thermal resistances, shape (variants, boards, boards)."""
        own = self.boards.thermal_k_per_w
        if self.thermal_k_per_w is None:
            return np.asarray(own.T[:, :, None] * np.eye(own.shape[0]))
        return np.broadcast_to(self.thermal_k_per_w, (own.shape[1], *self.thermal_k_per_w.shape))

    def _heated(
        self, current: FloatArray, base_c: FloatArray, heat: float
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return voltages with own and others' heat, the matrix that closes it, and the cold slopes.

        V + beta Theta h I V = V_base, a linear system in the voltages.
        """
        at_base, slope = self.boards.at(current, base_c)
        beta = -self.boards.coefficient_v_per_k
        heating = (self.boards.heat_fraction * current).T[:, None, :]
        closing = np.eye(current.shape[0]) + heat * beta.T[:, :, None] * self._thermal_matrix() * heating
        voltage = solve_each(closing, at_base.T[:, :, None])[:, :, 0].T
        return np.asarray(voltage, dtype=float), closing, slope

    def _linearised(self, current: FloatArray, base_c: FloatArray, heat: float) -> tuple[FloatArray, FloatArray]:
        """Return voltages and their slopes dV/dI with heat, a matrix a variant."""
        if heat == 0.0:
            at_base, slope = self.boards.at(current, base_c)
            return at_base, slope.T[:, :, None] * np.eye(current.shape[0])
        voltage, closing, slope = self._heated(current, base_c, heat)
        beta = -self.boards.coefficient_v_per_k
        by_heat = (
            heat * beta.T[:, :, None] * self._thermal_matrix() * (self.boards.heat_fraction * voltage).T[:, None, :]
        )
        own = slope.T[:, :, None] * np.eye(current.shape[0])
        return voltage, np.asarray(solve_each(closing, own - by_heat), dtype=float)

    def _admittance(self, slope: FloatArray) -> FloatArray:
        """Return dI/d(a V - r): the inverse of slopes and wires, with no net current into an island."""
        inverse = invert_each(slope + self.ports.impedance_ohm)
        islands = self.ports.islands
        if islands.shape[1] == 0:
            return np.asarray(inverse)
        into = np.einsum("ik,mij->mkj", islands, inverse)
        out_of = np.einsum("mij,jk->mik", inverse, islands)
        return np.asarray(inverse - out_of @ solve_each(into @ islands, into))
