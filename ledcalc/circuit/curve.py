"""Voltage of a board against its current and temperature: from points, or from a single-diode model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.circuit.shapes import Columns, DiodeShape, part_of, shape_through_points
from ledcalc.circuit.temperature_course import (
    CoefficientCourse,
    alike_points,
    coefficient_through_points,
    reference_of,
)
from ledcalc.errors import ArgumentError

__all__ = ["BoardCurve", "Shape"]

RISE_CHECKS = 200


class Shape(Protocol):
    """Voltage and slope against current at the reference temperature, and the currents that the data cover."""

    @property
    def lowest_a(self) -> float:
        """Lowest current of the data, in A."""
        ...

    @property
    def highest_a(self) -> float:
        """Highest current of the data, in A."""
        ...

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        ...

    def part(self, only: Columns) -> Shape:
        """Return the shape of some variants."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardCurve:
    """A board's voltage against current and temperature: V = shape(I) + coefficient (T - reference).

    Build it with ``from_points``, ``from_points_at_temperatures`` or ``from_diode``. ``course``: how the coefficient
    goes with the current, the strongest being ``voltage_coefficient_v_per_k``; None: it is the same at every current.
    """

    shape: Shape
    reference_temperature_c: FloatArray
    voltage_coefficient_v_per_k: FloatArray
    course: CoefficientCourse | None = None

    @classmethod
    def from_points(
        cls,
        current_a: ArrayLike,
        voltage_v: ArrayLike,
        *,
        reference_temperature_c: ArrayLike = 25.0,
        voltage_coefficient_v_per_k: ArrayLike = 0.0,
    ) -> BoardCurve:
        """Build a curve through measured or datasheet points.

        Parameters
        ----------
        current_a : A, one-dimensional, at least two, above 0, each once, any order
        voltage_v : V, same shape, rising with the current
        reference_temperature_c : degC, board temperature of the points; a number, or an array of variants
        voltage_coefficient_v_per_k : V/K, at most 0; a number, or an array of variants

        Raises
        ------
        ArgumentError (a ValueError): fewer than two points, shapes that differ, repeated currents, a voltage that
        does not rise, or a number out of its range

        Validity
        --------
        Through the points exactly; between three or more, monotone cubic in ln I; between two, V = a + n ln I + Rs I
        with n assumed at 0.017 of the voltage. Outside the points along V = a + n ln I + Rs I fitted to them:
        ``extrapolated`` says where. Readings rounded to 10 mV a LED put up to a tenth on the slope, and so on current
        differences.

        References
        ----------
        Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17(2):238-246, as SciPy has it; Shockley equation with series
        resistance. The assumed n (2 kT/q a die of 3 V): common practice, no source.

        Examples
        --------
        >>> curve = BoardCurve.from_points([0.35, 0.7, 1.4], [34.1, 35.6, 37.9])
        >>> curve.voltage(0.7)
        35.6
        """
        return cls(
            shape=shape_through_points(current_a, voltage_v),
            reference_temperature_c=numbers("reference_temperature_c", reference_temperature_c),
            voltage_coefficient_v_per_k=numbers("voltage_coefficient_v_per_k", voltage_coefficient_v_per_k, at_most=0),
        )

    @classmethod
    def from_points_at_temperatures(
        cls,
        current_a: ArrayLike,
        voltage_v: ArrayLike,
        temperature_c: ArrayLike,
        *,
        reference_temperature_c: float | None = None,
    ) -> BoardCurve:
        """Build a curve through points measured at several temperatures of the board.

        Parameters
        ----------
        current_a : A, one-dimensional, above 0, an entry a point, any order
        voltage_v : V, same shape, above 0; at each temperature rising with the current
        temperature_c : degC, same shape, at least two different ones; points of one series carry the same number
        reference_temperature_c : degC, one of them, with at least two currents: there the curve meets its points; None:
            of those with at least two currents the one nearest 25 degC

        Raises
        ------
        ArgumentError (a ValueError): shapes that differ, one temperature only, no temperature with two currents, points
        that make no curve, or a number out of its range

        Validity
        --------
        At the reference temperature as ``from_points``. The others give the coefficient, c0 + c1 ln I by least squares,
        at most 0: what a single diode does at constant current, with dV/dT linear in ln I. Outside the currents of
        these points the coefficient is held constant; outside their temperatures it goes on unchanged. Where all of
        them have one current it is the same at every current.

        References
        ----------
        Shockley equation with its slope in proportion to the absolute temperature and a saturation current that
        follows exp(-E/kT): at constant current V is linear in T, and dV/dT in ln I (general electronics texts).

        Examples
        --------
        >>> amps, volts = [0.5, 1.0, 0.5, 1.0], [35.0, 37.0, 34.0, 36.1]
        >>> curve = BoardCurve.from_points_at_temperatures(amps, volts, [25.0, 25.0, 75.0, 75.0])
        >>> round(curve.voltage(1.0, 50.0), 9)
        36.55
        """
        current, voltage, temperature = alike_points(current_a, voltage_v, temperature_c)
        reference = reference_of(current, temperature, reference_temperature_c)
        at_reference = temperature == reference
        shape = shape_through_points(current[at_reference], voltage[at_reference])
        away = current[~at_reference]
        moved_v = voltage[~at_reference] - shape.at(away)[0]
        strongest, course = coefficient_through_points(away, moved_v, temperature[~at_reference] - reference)
        curve = cls(
            shape=shape,
            reference_temperature_c=np.asarray(reference),
            voltage_coefficient_v_per_k=np.asarray(strongest),
            course=course,
        )
        amps = np.geomspace(current.min(), current.max(), RISE_CHECKS)
        if (np.asarray(curve.slope(amps, np.unique(temperature)[:, None])) <= 0).any():
            raise ArgumentError(
                "voltage_v", voltage.tolist(), "voltages that rise with the current at each temperature"
            )
        return curve

    @classmethod
    def from_diode(
        cls,
        slope_v: ArrayLike,
        saturation_current_a: ArrayLike,
        series_resistance_ohm: ArrayLike,
        *,
        offset_v: ArrayLike = 0.0,
        reference_temperature_c: ArrayLike = 25.0,
        voltage_coefficient_v_per_k: ArrayLike = 0.0,
    ) -> BoardCurve:
        """Build a curve from V = n ln(1 + I/Is) + Rs I + V0.

        Parameters
        ----------
        slope_v : V, above 0: n, the whole board's; a number, or an array of variants, as all that follow
        saturation_current_a : A, above 0: Is
        series_resistance_ohm : ohm, at least 0: Rs
        offset_v : V: V0
        reference_temperature_c : degC at which these hold
        voltage_coefficient_v_per_k : V/K, at most 0

        Raises
        ------
        ArgumentError (a ValueError): a number out of its range

        References
        ----------
        Shockley equation with series resistance (general electronics texts).

        Examples
        --------
        >>> curve = BoardCurve.from_diode(0.6, 1e-12, 1.0)
        >>> round(curve.voltage(1.0), 4)
        17.5786
        """
        return cls(
            shape=DiodeShape(
                slope_v=numbers("slope_v", slope_v, above=0),
                saturation_current_a=numbers("saturation_current_a", saturation_current_a, above=0),
                series_resistance_ohm=numbers("series_resistance_ohm", series_resistance_ohm, at_least=0),
                offset_v=numbers("offset_v", offset_v),
            ),
            reference_temperature_c=numbers("reference_temperature_c", reference_temperature_c),
            voltage_coefficient_v_per_k=numbers("voltage_coefficient_v_per_k", voltage_coefficient_v_per_k, at_most=0),
        )

    def part(self, only: Columns) -> BoardCurve:
        """Return the curve of some variants, where its numbers are arrays of variants; else the very same."""
        shape = self.shape.part(only)
        reference = part_of(self.reference_temperature_c, only)
        coefficient = part_of(self.voltage_coefficient_v_per_k, only)
        same = (self.shape, self.reference_temperature_c, self.voltage_coefficient_v_per_k)
        if all(own is part for own, part in zip(same, (shape, reference, coefficient), strict=True)):
            return self
        return BoardCurve(
            shape=shape,
            reference_temperature_c=reference,
            voltage_coefficient_v_per_k=coefficient,
            course=self.course,
        )

    @property
    def variants_shape(self) -> tuple[int, ...]:
        """Shape of the numbers that are arrays of variants, () where none is."""
        voltage, _ = self.shape.at(np.asarray(0.1))
        coefficient, reference = self.voltage_coefficient_v_per_k, self.reference_temperature_c
        return np.broadcast_shapes(np.shape(voltage), coefficient.shape, reference.shape)

    def voltage(self, current_a: ArrayLike, temperature_c: ArrayLike | None = None) -> Numbers:
        """Return the board's voltage in V.

        Parameters
        ----------
        current_a : A, at least 0, any shape
        temperature_c : degC, broadcast with it; None: the reference temperature

        Raises
        ------
        ArgumentError (a ValueError): a number out of its range
        """
        current = numbers("current_a", current_a, at_least=0)
        voltage, _ = self.shape.at(current)
        if temperature_c is None:
            return answer(voltage)
        warmer = numbers("temperature_c", temperature_c) - self.reference_temperature_c
        return answer(voltage + self._coefficient(current)[0] * warmer)

    def slope(self, current_a: ArrayLike, temperature_c: ArrayLike | None = None) -> Numbers:
        """Return the slope dV/dI in ohm.

        Parameters
        ----------
        current_a : A, at least 0, any shape
        temperature_c : degC, broadcast with it; None: the reference temperature. It matters only where the coefficient
            goes with the current

        Raises
        ------
        ArgumentError (a ValueError): a number out of its range
        """
        current = numbers("current_a", current_a, at_least=0)
        _, slope = self.shape.at(current)
        if temperature_c is None:
            return answer(slope)
        warmer = numbers("temperature_c", temperature_c) - self.reference_temperature_c
        return answer(slope + self._coefficient(current)[1] * warmer)

    def coefficient(self, current_a: ArrayLike) -> Numbers:
        """Return the temperature coefficient dV/dT in V/K at a current in A, at least 0."""
        return answer(self._coefficient(numbers("current_a", current_a, at_least=0))[0])

    def _coefficient(self, current: FloatArray) -> tuple[FloatArray, FloatArray]:
        if self.course is None:
            constant = np.broadcast_to(
                self.voltage_coefficient_v_per_k,
                np.broadcast_shapes(current.shape, self.voltage_coefficient_v_per_k.shape),
            )
            return constant, np.zeros(constant.shape)
        factor, by_current = self.course.at(current)
        return self.voltage_coefficient_v_per_k * factor, self.voltage_coefficient_v_per_k * by_current

    def extrapolated(self, current_a: ArrayLike) -> NDArray[np.bool_] | bool:
        """Return whether a current lies outside the points (above 0; a dark board is not extrapolated)."""
        current = numbers("current_a", current_a, at_least=0)
        outside = ((current > self.shape.highest_a) | (current < self.shape.lowest_a)) & (current > 0)
        return bool(outside) if outside.ndim == 0 else outside
