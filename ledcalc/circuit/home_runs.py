"""The kernel for boards in parallel on home runs: one Newton iteration for boards, wires, heat and driver together.

Arrays have boards on the first axis and variants on the last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.parts import Branch, Driver

__all__ = ["BoardState", "HomeRuns", "Limits", "Solved", "board_state", "home_runs", "newton"]

MOST_STEPS = 200
CONVERGED_FRACTION = 1e-13
CONVERGED_A = 1e-15
LEAST_SLOPE_OHM = 1e-9
FLOOR_A = 1e-14


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HomeRuns:
    """Branches as arrays: curves in groups of equals (curve, board numbers), and what differs, a row a board."""

    groups: tuple[tuple[BoardCurve, NDArray[np.intp]], ...]
    wire_ohm: FloatArray
    thermal_k_per_w: FloatArray
    heat_fraction: FloatArray
    shift_v: FloatArray
    coefficient_v_per_k: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limits:
    """The driver's settings, an entry a variant."""

    voltage_v: FloatArray
    current_a: FloatArray
    power_w: FloatArray
    window_min_v: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardState:
    """Each board at a current, its own heat included: voltage, cold slope, slope seen from the driver, temperature."""

    voltage_v: FloatArray
    slope_ohm: FloatArray
    total_slope_ohm: FloatArray
    temperature_c: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """Branch currents, driver voltage, and which variants converged."""

    current_a: FloatArray
    driver_v: FloatArray
    converged: NDArray[np.bool_]


def home_runs(branches: Sequence[Branch], driver: Driver, ambient_c: FloatArray) -> tuple[HomeRuns, Limits, FloatArray]:
    """Return branches, driver and air temperature as arrays that share one axis of variants."""
    settings = driver.as_arrays()
    own = [
        (
            np.asarray(branch.wire_resistance_ohm, dtype=float),
            np.asarray(branch.thermal_resistance_k_per_w, dtype=float),
            1.0 - np.asarray(branch.radiant_fraction, dtype=float),
            np.asarray(branch.offset_v, dtype=float)
            - branch.curve.voltage_coefficient_v_per_k * branch.curve.reference_temperature_c,
            branch.curve.voltage_coefficient_v_per_k,
        )
        for branch in branches
    ]
    shapes = [entry.shape for row in own for entry in row] + [entry.shape for entry in settings.values()]
    curve_shapes = [branch.curve.voltage(0.1) for branch in branches]
    size = np.broadcast_shapes((1,), ambient_c.shape, *shapes, *(np.shape(entry) for entry in curve_shapes))
    wire, thermal, heat, shift, coefficient = (
        np.array([np.broadcast_to(row[column], size) for row in own]) for column in range(5)
    )
    groups: dict[int, list[int]] = {}
    for number, branch in enumerate(branches):
        groups.setdefault(id(branch.curve), []).append(number)
    runs = HomeRuns(
        groups=tuple((branches[numbers[0]].curve, np.array(numbers)) for numbers in groups.values()),
        wire_ohm=wire,
        thermal_k_per_w=thermal,
        heat_fraction=heat,
        shift_v=shift,
        coefficient_v_per_k=coefficient,
    )
    limits = Limits(
        voltage_v=np.broadcast_to(settings["voltage_setting_v"], size),
        current_a=np.broadcast_to(settings["current_setting_a"], size),
        power_w=np.broadcast_to(settings["power_limit_w"], size),
        window_min_v=np.broadcast_to(settings["window_min_v"], size),
    )
    return runs, limits, np.broadcast_to(ambient_c, size)


def board_state(runs: HomeRuns, current_a: FloatArray, base_c: FloatArray, theta_k_per_w: FloatArray) -> BoardState:
    """Return each board at a current.

    ``base_c`` is the temperature without own heat, ``theta_k_per_w`` the rise a watt of electrical power (light taken
    off).
    With T = base + theta V I and V falling by beta a kelvin the heat closes in V = V_base / (1 + beta theta I).
    """
    cold, slope = np.empty_like(current_a), np.empty_like(current_a)
    for curve, numbers in runs.groups:
        cold[numbers], slope[numbers] = curve.shape.at(current_a[numbers])
    at_base = cold + runs.shift_v + runs.coefficient_v_per_k * base_c
    beta_theta = -runs.coefficient_v_per_k * theta_k_per_w
    closing = 1.0 + beta_theta * current_a
    voltage = at_base / closing
    return BoardState(
        voltage_v=voltage,
        slope_ohm=slope,
        total_slope_ohm=(slope - beta_theta * voltage) / closing + runs.wire_ohm,
        temperature_c=base_c + theta_k_per_w * voltage * current_a,
    )


def newton(
    runs: HomeRuns, limits: Limits, base_c: FloatArray, theta_k_per_w: FloatArray, start_a: FloatArray | None = None
) -> Solved:
    """Solve for the currents; the driver's mode is no branching: the lowest of its three limits on the linearised load.

    Steps are linear upward and exponential downward past half, so that no current turns negative.
    """
    current = _first_guess(runs, limits) if start_a is None else np.maximum(start_a, FLOOR_A)
    driver_v = np.zeros(limits.voltage_v.shape)
    converged = np.zeros(driver_v.shape, dtype=bool)
    for _ in range(MOST_STEPS):
        state = board_state(runs, current, base_c, theta_k_per_w)
        # Where own heat turns the slope negative, the cold slope keeps the step on the way up from cold.
        usable = state.total_slope_ohm > LEAST_SLOPE_OHM
        slope = np.where(usable, state.total_slope_ohm, state.slope_ohm + runs.wire_ohm)
        terminal = state.voltage_v + runs.wire_ohm * current
        # A dark board below its knee takes nothing: left in, its tangent would draw a current backwards.
        awake = (current > FLOOR_A) | (terminal < driver_v)
        conductance = awake / slope
        driver_v = _driver_voltage(
            limits, (awake * current - terminal * conductance).sum(axis=0), conductance.sum(axis=0)
        )
        change = (driver_v - terminal) / slope
        falls = change < -0.5 * current
        fallen = current * np.exp(np.clip(change / current, -60.0, 0.0))
        following = np.maximum(np.where(falls, fallen, current + change), FLOOR_A)
        moved = np.abs(following - current).max(axis=0)
        current = following
        converged = moved <= CONVERGED_FRACTION * current.max(axis=0) + CONVERGED_A
        if converged.all() or not np.isfinite(moved).any():
            break
    return Solved(current_a=current, driver_v=driver_v, converged=converged & np.isfinite(driver_v))


def _first_guess(runs: HomeRuns, limits: Limits) -> FloatArray:
    count = runs.wire_ohm.shape[0]
    by_power = limits.power_w / limits.voltage_v
    share = np.minimum(np.minimum(limits.current_a, by_power), 1e3) / count
    return np.broadcast_to(share, runs.wire_ohm.shape).copy()


def _driver_voltage(limits: Limits, intercept_a: FloatArray, conductance_s: FloatArray) -> FloatArray:
    """Return the driver's voltage on a load I = intercept + conductance V."""
    with np.errstate(invalid="ignore", divide="ignore"):
        by_current = (limits.current_a - intercept_a) / conductance_s
        root = np.sqrt(intercept_a**2 + 4.0 * conductance_s * limits.power_w)
        by_power = np.where(
            np.isinf(limits.power_w) | (conductance_s == 0), np.inf, (root - intercept_a) / (2.0 * conductance_s)
        )
    return np.minimum(np.minimum(limits.voltage_v, by_current), by_power)
