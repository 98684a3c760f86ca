"""How a circuit warms up from a cold start: currents and temperatures over time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.circuit.assembly import kernel_of
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Branch, Driver
from ledcalc.errors import ArgumentError

__all__ = ["WarmUp", "warm_up"]

STEADY_K_PER_H = 0.5
SECONDS_PER_HOUR = 3600.0


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
    duration_s: float,
    *,
    driver: Driver,
    ambient_c: float = 25.0,
    moments: int = 121,
) -> WarmUp:
    """Return how boards and currents go from a cold start.

    Parameters
    ----------
    network : as in ``current_split``, single numbers only, each board on its own sink
    heat_capacity_j_per_k : J/K, above 0: board and sink together; one number, or one a board
    duration_s : s, above 0
    driver : its settings
    ambient_c : degC: the air, and everything at switch-on
    moments : at least 2: how many moments to return, evenly spaced

    Raises
    ------
    ArgumentError (a ValueError): arrays of variants, a shared sink, a board without thermal resistance, or a number
    out of
        its range

    Validity
    --------
    Each board and sink one lump; the circuit follows at once. Radiant shares stay as given.

    References
    ----------
    Conservation of energy, C dT/dt = heat - (T - T air)/R; SciPy's LSODA.

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
    from scipy.integrate import solve_ivp

    kernel, air = kernel_of(network, driver, numbers("ambient_c", ambient_c, above=-273.15))
    if air.shape != (1,):
        raise ArgumentError(
            "network", f"{air.shape[0]} variants", "single numbers: a warm-up is followed one at a time"
        )
    if isinstance(network, Network) and network.thermal_matrix_k_per_w is not None:
        raise ArgumentError("network", "a thermal matrix", "boards each on its own sink")
    resistance = kernel.boards.thermal_k_per_w[:, 0]
    if (resistance <= 0).any():
        raise ArgumentError("thermal_resistance_k_per_w", float(resistance.min()), "above 0 for every board")
    capacity = np.broadcast_to(numbers("heat_capacity_j_per_k", heat_capacity_j_per_k, above=0), resistance.shape)
    end = float(numbers("duration_s", duration_s, above=0))

    def solved(temperature: FloatArray) -> tuple[FloatArray, float, FloatArray]:
        held = temperature[:, None]
        found = kernel.solve(held, 0.0, None)
        voltage = kernel.state(found.current_a, held, 0.0).voltage_v
        heat = kernel.boards.heat_fraction * voltage * found.current_a
        return found.current_a[:, 0], float(found.driver_v[0]), heat[:, 0]

    def rate(_: float, temperature: FloatArray) -> FloatArray:
        return np.asarray((solved(temperature)[2] - (temperature - ambient_c) / resistance) / capacity)

    times = np.linspace(0.0, end, int(whole_numbers("moments", moments, at_least=2)))
    cold = np.full(resistance.shape, float(ambient_c))
    run = solve_ivp(rate, (0.0, end), cold, method="LSODA", t_eval=times, rtol=1e-7, atol=1e-6)
    return _course(
        run.t, run.y, [solved(temperature) for temperature in run.y.T], float(np.abs(rate(end, run.y[:, -1])).max())
    )


def _course(
    times: FloatArray,
    temperature: FloatArray,
    states: Sequence[tuple[FloatArray, float, FloatArray]],
    last_rate_k_per_s: float,
) -> WarmUp:
    rise = temperature - temperature[:, :1]
    to_95 = [float(np.interp(0.95 * own[-1], np.maximum.accumulate(own), times)) for own in rise]
    return WarmUp(
        time_s=times,
        temperature_c=temperature,
        current_a=np.array([current for current, _, _ in states]).T,
        driver_voltage_v=np.array([volts for _, volts, _ in states]),
        time_to_95_s=np.array(to_95),
        is_steady=last_rate_k_per_s * SECONDS_PER_HOUR < STEADY_K_PER_H,
        cold_driver_voltage_v=states[0][1],
    )
