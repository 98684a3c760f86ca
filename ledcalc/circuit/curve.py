"""Voltage of a board against its current and temperature: from points, or from a single-diode model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.circuit.shapes import DiodeShape, part_of, shape_through_points

__all__ = ["BoardCurve"]


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

    def part(self, only: slice) -> Shape:
        """Return the shape of some variants."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardCurve:
    """A board's voltage against current and temperature: V = shape(I) + coefficient (T - reference).

    Build it with ``from_points`` or ``from_diode``.
    """

    shape: Shape
    reference_temperature_c: FloatArray
    voltage_coefficient_v_per_k: FloatArray

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

    def part(self, only: slice) -> BoardCurve:
        """Return the curve of some variants, where its numbers are arrays of variants."""
        return BoardCurve(
            shape=self.shape.part(only),
            reference_temperature_c=part_of(self.reference_temperature_c, only),
            voltage_coefficient_v_per_k=part_of(self.voltage_coefficient_v_per_k, only),
        )

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
        voltage, _ = self.shape.at(numbers("current_a", current_a, at_least=0))
        if temperature_c is None:
            return answer(voltage)
        warmer = numbers("temperature_c", temperature_c) - self.reference_temperature_c
        return answer(voltage + self.voltage_coefficient_v_per_k * warmer)

    def slope(self, current_a: ArrayLike) -> Numbers:
        """Return the slope dV/dI in ohm at a current in A, at least 0; the same at every temperature."""
        _, slope = self.shape.at(numbers("current_a", current_a, at_least=0))
        return answer(slope)

    def extrapolated(self, current_a: ArrayLike) -> NDArray[np.bool_] | bool:
        """Return whether a current lies outside the points (above 0; a dark board is not extrapolated)."""
        current = numbers("current_a", current_a, at_least=0)
        outside = ((current > self.shape.highest_a) | (current < self.shape.lowest_a)) & (current > 0)
        return bool(outside) if outside.ndim == 0 else outside
