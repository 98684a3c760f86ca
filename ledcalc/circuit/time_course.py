"""How a circuit warms up from a cold start: currents and temperatures over time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.circuit.assembly import kernel_of
from ledcalc.circuit.boards import Solved
from ledcalc.circuit.exponential import Piece, followed
from ledcalc.circuit.kernel import Kernel
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Branch, Driver
from ledcalc.circuit.warm_up import HOTTEST_RISE_K
from ledcalc.errors import ArgumentError

__all__ = ["WarmUp", "warm_up"]

STEADY_K_PER_H = 0.5
SECONDS_PER_HOUR = 3600.0
LONGEST_S = 48.0 * SECONDS_PER_HOUR
# What a step's correction may move a board by, and by how much boards are warmed to see what that does.
STEP_K, NUDGE_K = 2e-3, 1e-3
# A thermal matrix whose least eigenvalue is below this part of its largest entry counts as one that has no inverse.
LEAST_OWN_FRACTION = 1e-9
MOMENTS_WITHIN = 400


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WarmUp:
    """A warm-up: an entry a moment in time on the last axis, boards on the first.

    ``is_steady``: whether every board changes by less than 0.5 K an hour at the end. ``time_to_95_s``: when each
    board has made 95 % of the rise it has at the end. ``cold_driver_voltage_v``: the driver's voltage at the moment
    of switch-on, when the boards need the most.
    """

    time_s: FloatArray
    temperature_c: FloatArray
    current_a: FloatArray
    driver_voltage_v: FloatArray
    time_to_95_s: FloatArray
    is_steady: bool
    cold_driver_voltage_v: float


def warm_up(
    network: Sequence[Branch] | Network,
    heat_capacity_j_per_k: ArrayLike,
    duration_s: float | None = None,
    *,
    driver: Driver,
    ambient_c: float = 25.0,
    moments: int = 121,
) -> WarmUp:
    """Return how boards and currents go from a cold start.

    Parameters
    ----------
    network : as in ``current_split``, single numbers only; boards on sinks of their own, or on sinks that they share
    heat_capacity_j_per_k : J/K, above 0: a board with its sink, or with its part of the sink it shares; one number, or
        one a board
    duration_s : s, above 0; None: until every board changes by less than 0.5 K an hour, 48 hours at most
    driver : its settings
    ambient_c : degC: the air, and everything at switch-on
    moments : at least 2: how many moments to return, evenly spaced

    Raises
    ------
    ArgumentError (a ValueError): arrays of variants, a board without thermal resistance, boards on a shared sink
    without an interface of their own, no steady state of the circuit at switch-on, or a number out of its range

    Validity
    --------
    Each board is one lump, with its sink or its part of one; the circuit follows at once. Radiant shares stay as given.
    A driver's cut-off is left out. Where the circuit stops having an answer, as where boards run away, the rest is NaN.

    References
    ----------
    Conservation of energy: C dT/dt = heat - G (T - T air), G being 1/R of each board, or the inverse of the thermal
    matrix. Followed by an exponential Rosenbrock method.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve
    >>> curve = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
    >>> boards = [Branch(curve=curve, thermal_resistance_k_per_w=2.0, radiant_fraction=0.5)] * 2
    >>> driver = Driver(voltage_setting_v=40.0, current_setting_a=2.0)
    >>> course = warm_up(boards, 200.0, 4000.0, driver=driver)
    >>> course.is_steady
    True
    """
    kernel, air = kernel_of(network, driver, numbers("ambient_c", ambient_c, above=-273.15))
    if air.shape != (1,):
        raise ArgumentError(
            "network", f"{air.shape[0]} variants", "single numbers: a warm-up is followed one at a time"
        )
    conductance = _conductance(network, kernel)
    count = len(conductance)
    capacity = np.broadcast_to(numbers("heat_capacity_j_per_k", heat_capacity_j_per_k, above=0), (count,))
    warming = Warming(kernel=kernel, conductance_w_per_k=conductance, capacity_j_per_k=capacity, air_c=float(air[0]))
    longest = LONGEST_S if duration_s is None else float(numbers("duration_s", duration_s, above=0))
    course = followed(
        warming,
        np.full(count, warming.air_c),
        longest,
        tolerance=STEP_K,
        nudge=NUDGE_K,
        until=None if duration_s is not None else _is_steady_at_its_end,
    )
    if course is None:
        raise ArgumentError("network", "no answer at switch-on", "a circuit that has a current split when cold")
    end = _steady_from(course.pieces[-1]) if duration_s is None else longest
    times = np.linspace(0.0, end, int(whole_numbers("moments", moments, at_least=2)))
    return _course(times, course.at(times), warming)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Warming:
    """Boards as lumps of heat: C dT/dt = heat - G (T - T air), the circuit at each temperature being isothermal."""

    kernel: Kernel
    conductance_w_per_k: FloatArray
    capacity_j_per_k: FloatArray
    air_c: float

    def solved(self, temperature_c: FloatArray) -> tuple[Solved, FloatArray]:
        """Return the circuit with boards at given temperatures, a column each, and the heat of each board in W."""
        kernel = self.kernel.part(np.zeros(temperature_c.shape[1], dtype=np.intp))
        found = kernel.solve(temperature_c, 0.0, None)
        voltage = kernel.state(found.current_a, temperature_c, 0.0).voltage_v
        heat = kernel.boards.heat_fraction * voltage * found.current_a
        return found, np.where(found.converged, heat, np.nan)

    def rates(self, states: FloatArray) -> FloatArray:
        """Return dT/dt in K/s at given temperatures, a column each."""
        heat = np.where((states - self.air_c).max(axis=0) < HOTTEST_RISE_K, self.solved(states)[1], np.nan)
        return np.asarray((heat - self.conductance_w_per_k @ (states - self.air_c)) / self.capacity_j_per_k[:, None])


def _conductance(network: Sequence[Branch] | Network, kernel: Kernel) -> FloatArray:
    """Return the heat that leaves each board by a kelvin of each, W/K, (boards, boards)."""
    if not isinstance(network, Network) or network.thermal_matrix_k_per_w is None:
        resistance = kernel.boards.thermal_k_per_w[:, 0]
        if (resistance <= 0).any():
            raise ArgumentError("thermal_resistance_k_per_w", float(resistance.min()), "above 0 for every board")
        return np.diag(1.0 / resistance)
    matrix = np.asarray(network.thermal_matrix_k_per_w, dtype=float)
    least = float(np.linalg.eigvalsh(0.5 * (matrix + matrix.T))[0])
    if least <= LEAST_OWN_FRACTION * np.abs(matrix).max():
        raise ArgumentError(
            "thermal_matrix_k_per_w",
            f"least eigenvalue {least:.3g} K/W",
            "a positive definite matrix: boards without an interface of their own to the sink they share cannot be "
            "told apart; give each an interface resistance above 0",
        )
    return np.linalg.inv(matrix)


def _is_steady_at_its_end(piece: Piece) -> bool:
    return float(_fastest_k_per_h(piece, np.array([piece.start + piece.length]))[0]) < STEADY_K_PER_H


def _steady_from(piece: Piece) -> float:
    """Return from which moment of a step on every board changes slowly enough."""
    moments = piece.start + piece.length * np.linspace(0.0, 1.0, MOMENTS_WITHIN + 1)
    is_fast = np.flatnonzero(_fastest_k_per_h(piece, moments) >= STEADY_K_PER_H)
    return float(moments[min(int(is_fast[-1]) + 1, MOMENTS_WITHIN)] if is_fast.size else moments[-1])


def _fastest_k_per_h(piece: Piece, moments: FloatArray) -> FloatArray:
    fastest: FloatArray = np.abs(piece.rates_at(moments)).max(axis=0)
    return np.asarray(fastest * SECONDS_PER_HOUR)


def _course(times: FloatArray, temperature: FloatArray, warming: Warming) -> WarmUp:
    rise = temperature - temperature[:, :1]
    to_95 = [float(np.interp(0.95 * own[-1], np.maximum.accumulate(own), times)) for own in rise]
    known = np.flatnonzero(np.isfinite(temperature).all(axis=0))
    current, volts = np.full(temperature.shape, np.nan), np.full(times.shape, np.nan)
    found, _ = warming.solved(temperature[:, known])
    current[:, known] = np.where(found.converged, found.current_a, np.nan)
    volts[known] = np.where(found.converged, found.driver_v, np.nan)
    last_rate_k_per_s = float(np.abs(warming.rates(temperature[:, -1:])).max())
    return WarmUp(
        time_s=times,
        temperature_c=temperature,
        current_a=current,
        driver_voltage_v=volts,
        time_to_95_s=np.array(to_95),
        is_steady=last_rate_k_per_s * SECONDS_PER_HOUR < STEADY_K_PER_H,
        cold_driver_voltage_v=float(volts[0]),
    )
