"""What a kernel is: it solves boards, wires and driver for given base temperatures; steps and states that "
"kernels share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, Limits, Solved

__all__ = ["FLOOR_A", "MOST_STEPS", "BoardState", "Kernel", "first_guess", "has_converged", "stepped"]

MOST_STEPS = 60
CONVERGED_FRACTION = 1e-13
CONVERGED_A = 1e-15
FLOOR_A = 1e-14


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardState:
    """Each board at a current, its own heat included; ``is_rising``: whether more voltage still means more current."""

    voltage_v: FloatArray
    slope_ohm: FloatArray
    temperature_c: FloatArray
    is_rising: NDArray[np.bool_]


class Kernel(Protocol):
    """Solves one kind of circuit. ``heat`` scales the thermal resistances: 0 is cold, 1 the full rise; an "
    "entry a variant."""

    @property
    def boards(self) -> Boards:
        """The boards."""
        ...

    @property
    def limits(self) -> Limits:
        """The driver."""
        ...

    def solve(self, base_c: FloatArray, heat: float, start_a: FloatArray | None) -> Solved:
        """Return currents and driver voltage with boards at ``base_c`` plus their own heat."""
        ...

    def state(self, current_a: FloatArray, base_c: FloatArray, heat: float) -> BoardState:
        """Return the boards at given currents."""
        ...

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        ...

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.str_]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds."""
        ...

    def part(self, only: slice) -> Kernel:
        """Return the kernel of some variants."""
        ...


def first_guess(limits: Limits, count: int) -> FloatArray:
    """Return an even share of what the driver can give, a row a board."""
    share = np.minimum(np.minimum(limits.current_a, limits.power_w / limits.voltage_v), 1e3) / count
    return np.broadcast_to(share, (count, *share.shape)).copy()


def stepped(current_a: FloatArray, change_a: FloatArray) -> FloatArray:
    """Return the currents after a step: linear upward, exponential downward past half, so that none turns negative."""
    fallen = current_a * np.exp(np.clip(change_a / current_a, -60.0, 0.0))
    return np.maximum(np.where(change_a < -0.5 * current_a, fallen, current_a + change_a), FLOOR_A)


def has_converged(moved_a: FloatArray, current_a: FloatArray) -> NDArray[np.bool_]:
    """Return in which variants a step moved nothing that matters."""
    return np.asarray(moved_a <= CONVERGED_FRACTION * current_a.max(axis=0) + CONVERGED_A)
