"""What a kernel is: it knows boards, wires and driver; Newton's method with what all kernels share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import Boards, InAir, Limits, Solved
from ledcalc.circuit.shapes import Columns

__all__ = [
    "AT_CURRENT",
    "AT_POWER",
    "AT_VOLTAGE",
    "FLOOR_A",
    "LEAST_SLOPE_OHM",
    "MOST_STEPS",
    "BoardState",
    "Kernel",
    "driver_resistance",
    "loop_of",
    "newton",
    "regulation",
    "stepped",
]

MOST_STEPS = 200
# What a last step may leave, of the largest current.
CONVERGED_FRACTION, CONVERGED_A = 1e-12, 1e-15
# A step that moved more than this is never the last one; for a start, one that moved less than the other is.
LAST_STEP_FRACTION, NEAR_FRACTION = 1e-7, 1e-2
FLOOR_A = 1e-14
LEAST_SLOPE_OHM = 1e-9
# Once no more than this part of the variants still moves, these go on by themselves.
FEW_LEFT = 0.35
AT_VOLTAGE, AT_CURRENT, AT_POWER = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardState:
    """Each board at a current, its own heat included; ``is_rising``: whether more voltage still means more current.

    ``slope_ohm`` is dV/dI at the board's temperature, ``fall_v_per_k`` -dV/dT.
    """

    voltage_v: FloatArray
    slope_ohm: FloatArray
    fall_v_per_k: FloatArray
    temperature_c: FloatArray
    is_rising: NDArray[np.bool_]


class Kernel(Protocol):
    """One kind of circuit. ``heat`` scales the thermal resistances: 0 is cold, 1 the full rise; an entry a variant
    or one for all."""

    @property
    def boards(self) -> Boards:
        """The boards."""
        ...

    @property
    def limits(self) -> Limits:
        """The driver."""
        ...

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
        ...

    def step(self, current_a: FloatArray, driver_v: FloatArray, air: InAir) -> tuple[FloatArray, FloatArray]:
        """Return currents and driver voltage after a Newton step."""
        ...

    def state(
        self, current_a: FloatArray, base_c: FloatArray, heat: float | FloatArray, driver_ohm: float | FloatArray = 0.0
    ) -> BoardState:
        """Return the boards at given currents; ``driver_ohm``: by how much the driver's voltage gives way to more
        current."""
        ...

    def rise(self, power_w: FloatArray) -> FloatArray:
        """Return by how much the boards are warmer than the air in the end, from the power that each takes."""
        ...

    def loop(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return by how much the rise of each board in the end goes with the temperature of each, (variants, boards,
        boards); ``holding`` says which limit the driver holds."""
        ...

    def total(self, current_a: FloatArray) -> FloatArray:
        """Return the driver's current."""
        ...

    def loop_gain(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the largest growth factor of a small warm-up; ``holding`` says which limit the driver holds."""
        ...

    def growth(self, state: BoardState, solved: Solved, holding: NDArray[np.intp]) -> FloatArray:
        """Return the loop gain or, where that is dear, a bound of it that is below 1."""
        ...

    def part(self, only: Columns) -> Kernel:
        """Return the kernel of some variants."""
        ...

    def with_limits(self, limits: Limits) -> Kernel:
        """Return the kernel with another driver."""
        ...


def newton(
    kernel: Kernel,
    base_c: FloatArray,
    heat: float | FloatArray,
    start_a: FloatArray | None,
    *,
    nearly: bool = False,
    most_steps: int = MOST_STEPS,
) -> Solved:
    """Return what Newton steps lead to; the driver's mode is no branching: the lowest of its limits on the linearised
    load. ``nearly``: until a step moves little, as a start for more: what is left is about that squared."""
    limits = kernel.limits
    current = first_guess(limits, base_c.shape[0]) if start_a is None else start_a
    air = kernel.boards.in_air(base_c, heat)
    driver_v, before = np.zeros(limits.voltage_v.shape), np.zeros(limits.voltage_v.shape)
    converged = np.zeros(driver_v.shape, dtype=bool)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for step in range(most_steps):
            following, driver_v = kernel.step(current, driver_v, air)
            moved = np.abs(following - current).max(axis=0)
            current = following
            converged = is_near(moved, current) if nearly else has_converged(moved, before, current)
            before = moved
            left = np.flatnonzero(~converged)
            if left.size == 0 or not np.isfinite(moved).any():
                break
            if left.size <= FEW_LEFT * moved.size:
                rest = newton(
                    kernel.part(left),
                    base_c[:, left],
                    np.broadcast_to(heat, moved.shape)[left],
                    current[:, left],
                    nearly=nearly,
                    most_steps=most_steps - step,
                )
                current[:, left], driver_v[left], converged[left] = rest.current_a, rest.driver_v, rest.converged
                break
    return Solved(current_a=current, driver_v=driver_v, converged=converged & np.isfinite(driver_v))


def first_guess(limits: Limits, count: int) -> FloatArray:
    """Return an even share of what the driver can give, a row a board."""
    share = np.minimum(np.minimum(limits.current_a, limits.power_w / limits.voltage_v), 1e3) / count
    return np.broadcast_to(share, (count, *share.shape)).copy()


def stepped(current_a: FloatArray, change_a: FloatArray) -> FloatArray:
    """Return the currents after a step: linear upward, exponential downward past half, so that none turns negative."""
    following = current_a + change_a
    half = 0.5 * current_a
    if not (following >= half).all():
        fallen = current_a * np.exp(np.clip(change_a / current_a, -60.0, 0.0))
        following = np.where(following < half, fallen, following)
    return np.maximum(following, FLOOR_A, out=following)


def is_near(moved_a: FloatArray, current_a: FloatArray) -> NDArray[np.bool_]:
    """Return in which variants a step moved no current by more than a hundredth of the largest."""
    return np.asarray(moved_a <= NEAR_FRACTION * current_a.max(axis=0))


def has_converged(moved_a: FloatArray, before_a: FloatArray, current_a: FloatArray) -> NDArray[np.bool_]:
    """Return in which variants the next step would move nothing that matters.

    Where errors are squared in each step, the next moves by this step times the square of the last two's ratio.
    """
    scale = current_a.max(axis=0)
    ratio = np.fmin(moved_a / before_a, 1.0)
    is_small = moved_a <= LAST_STEP_FRACTION * scale + CONVERGED_A
    return np.asarray(is_small & (moved_a * ratio * ratio <= CONVERGED_FRACTION * scale + CONVERGED_A))


def loop_of(
    boards: Boards, state: BoardState, current_a: FloatArray, response: FloatArray, thermal_k_per_w: FloatArray
) -> FloatArray:
    """Return Theta dq/dT with dq/dT = h (V + r I) M beta - h I beta; M is the response dI/dV, (boards, boards,
    variants)."""
    by_current = boards.heat_fraction * (state.voltage_v + state.slope_ohm * current_a)
    heating = by_current.T[:, :, None] * response.transpose(2, 0, 1) * state.fall_v_per_k.T[:, None, :]
    number = np.arange(current_a.shape[0])
    heating[:, number, number] -= (boards.heat_fraction * current_a * state.fall_v_per_k).T
    return np.asarray(thermal_k_per_w @ heating)


def driver_resistance(holding: NDArray[np.intp], driver_v: FloatArray, draw_a: FloatArray) -> FloatArray:
    """Return by how much the driver's voltage gives way to more current, by the limit it holds."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        at_power = driver_v / draw_a
    return np.where(holding == AT_VOLTAGE, 0.0, np.where(holding == AT_CURRENT, np.inf, at_power))


def regulation(
    holding: NDArray[np.intp], driver_v: FloatArray, draw_a: FloatArray, conductance_s: FloatArray
) -> FloatArray:
    """Return what the driver's answer takes off the common mode, per conductance squared, by the limit it holds."""
    # Boards all dark conduct nothing that a regulator could answer to.
    total, draw = np.maximum(conductance_s, 1e-30), np.maximum(draw_a, 1e-30)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        at_power = 1.0 / (draw / driver_v + total)
    return np.where(holding == AT_VOLTAGE, 0.0, np.where(holding == AT_CURRENT, 1.0 / total, at_power))
