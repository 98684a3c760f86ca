"""Boards and driver as arrays: boards on the first axis, variants on the last; what all kernels share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.parts import BoardLoad, Driver
from ledcalc.circuit.shapes import Columns, part_of

__all__ = ["Boards", "InAir", "Limits", "Own", "Solved", "boards_of", "limits_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boards:
    """Boards: curves in groups of equals, and what differs, a row a board.

    ``groups``: curve and board numbers; where it differs between variants which board has which curve, a mask of
    boards and variants in place of the numbers.
    """

    groups: tuple[tuple[BoardCurve, NDArray[np.intp] | NDArray[np.bool_]], ...]
    thermal_k_per_w: FloatArray
    heat_fraction: FloatArray
    offset_v: FloatArray
    reference_c: FloatArray
    coefficient_v_per_k: FloatArray

    def in_air(self, base_c: FloatArray, heat: float | FloatArray) -> InAir:
        """Return the boards on bases of given temperatures, with a part of their own heat (0: none, 1: all)."""
        theta = heat * self.thermal_k_per_w * self.heat_fraction
        return InAir(
            boards=self,
            heat=heat,
            warmer_k=base_c - self.reference_c,
            moved_v=self.offset_v + self.coefficient_v_per_k * (base_c - self.reference_c),
            theta_k_per_w=theta,
            feedback_per_a=-self.coefficient_v_per_k * theta,
        )

    def part(self, only: Columns) -> Boards:
        """Return the boards of some variants."""
        return Boards(
            groups=tuple(
                (curve.part(only), numbers if numbers.ndim == 1 else numbers[:, only]) for curve, numbers in self.groups
            ),
            thermal_k_per_w=self.thermal_k_per_w[:, only],
            heat_fraction=self.heat_fraction[:, only],
            offset_v=self.offset_v[:, only],
            reference_c=self.reference_c[:, only],
            coefficient_v_per_k=self.coefficient_v_per_k[:, only],
        )

    def shape_at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage and slope of every board at its curve's reference temperature."""
        if len(self.groups) == 1:
            return self.groups[0][0].shape.at(current_a)
        voltage, slope = np.empty_like(current_a), np.empty_like(current_a)
        for curve, numbers in self.groups:
            voltage[numbers], slope[numbers] = curve.shape.at(current_a[numbers])
        return voltage, slope

    @property
    def has_courses(self) -> bool:
        """Whether any board's coefficient goes with the current."""
        return any(curve.course is not None for curve, _ in self.groups)

    def coefficient_at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the temperature coefficient in V/K, and its slope in V/(K A)."""
        coefficient, slope = self.coefficient_v_per_k.copy(), np.zeros_like(current_a)
        for curve, numbers in self.groups:
            if curve.course is not None:
                factor, by_current = curve.course.at(current_a[numbers])
                slope[numbers] = coefficient[numbers] * by_current
                coefficient[numbers] *= factor
        return coefficient, slope


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Own:
    """Boards with their own heat: ``slope_ohm`` at the temperature each is at, ``warm_ohm`` with the heat that more
    current brings; ``fall_v_per_k``: by how much the voltage falls a kelvin."""

    voltage_v: FloatArray
    slope_ohm: FloatArray
    warm_ohm: FloatArray
    fall_v_per_k: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InAir:
    """Boards on bases of given temperatures; what does not change with the current, worked out once.

    ``warmer_k``: base above the curve's reference; ``moved_v``: by how much that and the board's offset move the
    curve; ``theta_k_per_w``: rise by a watt taken; ``feedback_per_a``: fall of the voltage by own heat, a part an A.
    The last three hold where the coefficient is constant.
    """

    boards: Boards
    heat: float | FloatArray
    warmer_k: FloatArray
    moved_v: FloatArray
    theta_k_per_w: FloatArray
    feedback_per_a: FloatArray

    def at_base(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray | None]:
        """Return voltage and slope at the base's temperature, fall a kelvin, and its slope (None: constant)."""
        voltage, slope = self.boards.shape_at(current_a)
        if not self.boards.has_courses:
            return voltage + self.moved_v, slope, -self.boards.coefficient_v_per_k, None
        coefficient, by_current = self.boards.coefficient_at(current_a)
        voltage = voltage + self.boards.offset_v + coefficient * self.warmer_k
        return voltage, slope + by_current * self.warmer_k, -coefficient, -by_current

    def with_own_heat(self, current_a: FloatArray) -> Own:
        """Return the boards with T = base + theta V I: V falls by beta a kelvin, so V = V_base / (1 + beta theta I).

        Where beta goes with the current, the slope at the board's temperature has a term -beta' theta V I.
        """
        voltage, slope, fall, bend = self.at_base(current_a)
        feedback = self.feedback_per_a if bend is None else fall * self.theta_k_per_w
        closing = feedback * current_a
        closing += 1.0
        voltage = voltage / closing
        if bend is not None:
            slope = slope - bend * self.theta_k_per_w * voltage * current_a
        warm = feedback * voltage
        np.subtract(slope, warm, out=warm)
        warm /= closing
        return Own(voltage_v=voltage, slope_ohm=slope, warm_ohm=warm, fall_v_per_k=fall)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limits:
    """The driver's settings, an entry a variant."""

    voltage_v: FloatArray
    current_a: FloatArray
    power_w: FloatArray
    window_min_v: FloatArray
    cut_off_v: FloatArray

    def driver_voltage(self, intercept_a: FloatArray, conductance_s: FloatArray) -> FloatArray:
        """Return the driver's voltage on a load I = intercept + conductance V that rises: the lowest that one of its
        limits allows."""
        # Boards that are all dark conduct nothing but rounding: what the ceiling is not too much for, it is held for.
        is_little = intercept_a + conductance_s * self.voltage_v <= self.current_a
        by_current = np.where(is_little, self.voltage_v, (self.current_a - intercept_a) / conductance_s)
        if np.isinf(self.power_w).all():
            return by_current
        root = np.sqrt(intercept_a**2 + 4.0 * conductance_s * self.power_w)
        no_limit = np.isinf(self.power_w) | ((intercept_a + conductance_s * by_current) * by_current <= self.power_w)
        by_power = np.where(no_limit, np.inf, (root - intercept_a) / (2.0 * conductance_s))
        return np.minimum(by_current, by_power)

    def voltage_on_falling(self, cool_v: FloatArray, intercept_a: FloatArray, conductance_s: FloatArray) -> FloatArray:
        """Return the driver's voltage on a load I = intercept + conductance V that falls, as boards that warm up may.

        On such a load limits hold at several voltages. Which one does is known from ``cool_v``, the driver's voltage on
        the same boards at the temperatures they are at; the power limit goes by its tangent there.
        """
        by_current = (self.current_a - intercept_a) / conductance_s
        by_power = (2.0 * self.power_w / cool_v - intercept_a) / (conductance_s + self.power_w / cool_v**2)
        at_current = cool_v * self.current_a < self.power_w * (1.0 - 1e-9)
        return np.where(cool_v >= self.voltage_v, self.voltage_v, np.where(at_current, by_current, by_power))

    def part(self, only: Columns) -> Limits:
        """Return the settings of some variants."""
        return Limits(
            voltage_v=self.voltage_v[only],
            current_a=self.current_a[only],
            power_w=self.power_w[only],
            window_min_v=self.window_min_v[only],
            cut_off_v=self.cut_off_v[only],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """Board currents, driver voltage, and which variants converged."""

    current_a: FloatArray
    driver_v: FloatArray
    converged: NDArray[np.bool_]


def boards_of(loads: Sequence[BoardLoad], only: slice, size: int) -> Boards:
    """Return the boards of some variants, ``size`` of them."""
    rows = np.empty((5, len(loads), size))
    groups: dict[int, list[int]] = {}
    for number, load in enumerate(loads):
        groups.setdefault(id(load.curve), []).append(number)
        numbers = (
            load.thermal_resistance_k_per_w,
            load.radiant_fraction,
            load.offset_v,
            load.curve.reference_temperature_c,
            load.curve.voltage_coefficient_v_per_k,
        )
        for row, value in zip(rows, numbers, strict=True):
            row[number] = part_of(np.asarray(value, dtype=float), only)
    return Boards(
        groups=tuple((loads[numbers[0]].curve.part(only), np.array(numbers)) for numbers in groups.values()),
        thermal_k_per_w=rows[0],
        heat_fraction=1.0 - rows[1],
        offset_v=rows[2],
        reference_c=rows[3],
        coefficient_v_per_k=rows[4],
    )


def limits_of(driver: Driver, only: slice, size: int) -> Limits:
    """Return the driver's settings in some variants, ``size`` of them."""
    volts, amps, watts, window, cut_off = (
        np.broadcast_to(part_of(value, only), (size,)) for value in driver.as_arrays().values()
    )
    return Limits(voltage_v=volts, current_a=amps, power_w=watts, window_min_v=window, cut_off_v=cut_off)
