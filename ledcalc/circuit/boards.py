"""Boards and driver as arrays: boards on the first axis, variants on the last; what both kernels share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.parts import BoardLoad, Driver

__all__ = ["Boards", "Limits", "Solved", "as_arrays"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boards:
    """Boards: curves in groups of equals (curve, board numbers), and what differs, a row a board.

    ``shift_v`` is what the curve's voltage is moved by at 0 degC: offset less coefficient x reference temperature.
    """

    groups: tuple[tuple[BoardCurve, NDArray[np.intp]], ...]
    thermal_k_per_w: FloatArray
    heat_fraction: FloatArray
    shift_v: FloatArray
    coefficient_v_per_k: FloatArray

    def at(self, current_a: FloatArray, base_c: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage and slope of every board held at a temperature."""
        cold, slope = np.empty_like(current_a), np.empty_like(current_a)
        if len(self.groups) == 1:
            cold, slope = self.groups[0][0].shape.at(current_a)
        else:
            for curve, numbers in self.groups:
                cold[numbers], slope[numbers] = curve.shape.at(current_a[numbers])
        return cold + self.shift_v + self.coefficient_v_per_k * base_c, slope

    def part(self, only: slice) -> Boards:
        """Return the boards of some variants."""
        return Boards(
            groups=tuple((curve.part(only), numbers) for curve, numbers in self.groups),
            thermal_k_per_w=self.thermal_k_per_w[:, only],
            heat_fraction=self.heat_fraction[:, only],
            shift_v=self.shift_v[:, only],
            coefficient_v_per_k=self.coefficient_v_per_k[:, only],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limits:
    """The driver's settings, an entry a variant."""

    voltage_v: FloatArray
    current_a: FloatArray
    power_w: FloatArray
    window_min_v: FloatArray

    def driver_voltage(self, intercept_a: FloatArray, conductance_s: FloatArray) -> FloatArray:
        """Return the driver's voltage on a load I = intercept + conductance V: the lowest that one of its "
        "limits allows."""
        with np.errstate(invalid="ignore", divide="ignore"):
            by_current = (self.current_a - intercept_a) / conductance_s
            root = np.sqrt(intercept_a**2 + 4.0 * conductance_s * self.power_w)
            no_limit = np.isinf(self.power_w) | (conductance_s == 0)
            by_power = np.where(no_limit, np.inf, (root - intercept_a) / (2.0 * conductance_s))
        return np.minimum(np.minimum(self.voltage_v, by_current), by_power)

    def part(self, only: slice) -> Limits:
        """Return the settings of some variants."""
        return Limits(
            voltage_v=self.voltage_v[only],
            current_a=self.current_a[only],
            power_w=self.power_w[only],
            window_min_v=self.window_min_v[only],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """Board currents, driver voltage, and which variants converged."""

    current_a: FloatArray
    driver_v: FloatArray
    converged: NDArray[np.bool_]


def as_arrays(
    loads: Sequence[BoardLoad], driver: Driver, *others: FloatArray
) -> tuple[Boards, Limits, tuple[FloatArray, ...]]:
    """Return boards, driver and further quantities as arrays that share one axis of variants."""
    settings = driver.as_arrays()
    columns = [
        (
            np.asarray(load.thermal_resistance_k_per_w, dtype=float),
            1.0 - np.asarray(load.radiant_fraction, dtype=float),
            np.asarray(load.offset_v, dtype=float)
            - load.curve.voltage_coefficient_v_per_k * load.curve.reference_temperature_c,
            load.curve.voltage_coefficient_v_per_k,
        )
        for load in loads
    ]
    shapes = [entry.shape for row in columns for entry in row] + [entry.shape for entry in settings.values()]
    shapes += [np.shape(load.curve.voltage(0.1)) for load in loads] + [entry.shape for entry in others]
    size = np.broadcast_shapes((1,), *shapes)
    thermal, heat, shift, coefficient = (
        np.array([np.broadcast_to(row[column], size) for row in columns]) for column in range(4)
    )
    groups: dict[int, list[int]] = {}
    for number, load in enumerate(loads):
        groups.setdefault(id(load.curve), []).append(number)
    boards = Boards(
        groups=tuple((loads[numbers[0]].curve, np.array(numbers)) for numbers in groups.values()),
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
    return boards, limits, tuple(np.broadcast_to(entry, size) for entry in others)
