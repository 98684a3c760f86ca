"""The two forms that a board curve takes at its reference temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["Columns", "DiodeShape", "PointShape", "TwoPointShape", "part_of", "shape_through_points"]

# Below this current a curve goes on along its tangent: a logarithm has no end, a board's voltage has.
DARK_A = 1e-9
FEW_KNOTS = 20
# n of the whole board over its voltage where two points cannot tell: about 2 kT/q a die of 3 V (common practice, no
# source).
ASSUMED_N_OVER_V = 0.017


Columns = slice | NDArray[np.intp]


def part_of(value: FloatArray, only: Columns) -> FloatArray:
    """Return some variants' entries of an array of variants; a lone number stands for all."""
    return value if value.ndim == 0 or value.shape[-1] == 1 else np.asarray(value[..., only])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DiodeShape:
    """V = n ln(1 + I/Is) + Rs I + V0."""

    slope_v: FloatArray
    saturation_current_a: FloatArray
    series_resistance_ohm: FloatArray
    offset_v: FloatArray
    lowest_a: float = 0.0
    highest_a: float = np.inf

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        ratio = current_a / self.saturation_current_a
        voltage = self.slope_v * np.log1p(ratio) + self.series_resistance_ohm * current_a + self.offset_v
        slope = self.slope_v / (self.saturation_current_a + current_a) + self.series_resistance_ohm
        return voltage, slope

    def part(self, only: Columns) -> DiodeShape:
        """Return the shape of some variants; the very same where no number is an array of variants."""
        own = (self.slope_v, self.saturation_current_a, self.series_resistance_ohm, self.offset_v)
        if all(part_of(value, only) is value for value in own):
            return self
        return DiodeShape(
            slope_v=part_of(self.slope_v, only),
            saturation_current_a=part_of(self.saturation_current_a, only),
            series_resistance_ohm=part_of(self.series_resistance_ohm, only),
            offset_v=part_of(self.offset_v, only),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PointShape:
    """Monotone cubic pieces in ln I between the points, V = a + n ln I + Rs I joined on outside of them.

    ``coefficients`` has a column a piece, highest power first, in steps of ln I from its left knot.
    """

    log_knots: FloatArray
    knot_v: FloatArray
    coefficients: FloatArray
    tail_slope_v: float
    tail_resistance_ohm: float
    lowest_a: float
    highest_a: float

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        held = np.maximum(current_a, DARK_A)
        inside = np.minimum(np.maximum(held, self.lowest_a), self.highest_a)
        log = np.log(inside)
        piece = self._piece(log)
        step = log - self.log_knots.take(piece)
        cubic, square, linear, constant = (row.take(piece) for row in self.coefficients)
        voltage = ((cubic * step + square) * step + linear) * step + constant
        slope = ((3.0 * cubic * step + 2.0 * square) * step + linear) / inside
        outside = held != inside
        if outside.any():
            voltage += self.tail_slope_v * np.log(held / inside) + self.tail_resistance_ohm * (held - inside)
            slope = np.where(outside, self.tail_slope_v / held + self.tail_resistance_ohm, slope)
            voltage += slope * (current_a - held)
        return voltage, np.maximum(slope, 1e-9)

    def _piece(self, log: FloatArray) -> NDArray[np.intp]:
        """Return which piece each value lies in."""
        inner = self.log_knots[1:-1]
        if inner.size > FEW_KNOTS:
            return np.searchsorted(inner, log, side="right")
        # So few are quicker by comparing with each.
        count = np.zeros(log.shape, dtype=np.int8)
        for knot in inner:
            count += log >= knot
        return count.astype(np.intp)

    def part(self, only: Columns) -> PointShape:  # noqa: ARG002
        """Return the shape of some variants: points are the same in all."""
        return self


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoPointShape:
    """V = a + n ln I + Rs I through two points; n is assumed, for two points cannot tell it."""

    anchor_a: float
    anchor_v: float
    slope_v: float
    resistance_ohm: float
    lowest_a: float
    highest_a: float

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        held = np.maximum(current_a, DARK_A)
        slope = self.slope_v / held + self.resistance_ohm
        voltage = self.anchor_v + self.slope_v * np.log(held / self.anchor_a)
        voltage = voltage + self.resistance_ohm * (held - self.anchor_a)
        return voltage + slope * (current_a - held), slope

    def part(self, only: Columns) -> TwoPointShape:  # noqa: ARG002
        """Return the shape of some variants: points are the same in all."""
        return self


def shape_through_points(current_a: ArrayLike, voltage_v: ArrayLike) -> PointShape | TwoPointShape:
    """Return the shape through two or more points; see ``BoardCurve.from_points`` for errors and validity."""
    current, voltage = _sorted_points(current_a, voltage_v)
    if current.size == 2:
        return _through_two(current, voltage)
    from scipy.interpolate import PchipInterpolator
    from scipy.optimize import nnls

    log = np.log(current)
    pieces = PchipInterpolator(log, voltage)
    # Least squares of V = a + n ln I + Rs I with n, Rs at least 0; a stays free by taking the means out.
    columns = np.column_stack([log - log.mean(), current - current.mean()])
    (tail_slope, tail_resistance), _ = nnls(columns, voltage - voltage.mean())
    return PointShape(
        log_knots=log,
        knot_v=voltage,
        coefficients=np.asarray(pieces.c, dtype=float),
        tail_slope_v=float(tail_slope),
        tail_resistance_ohm=float(tail_resistance),
        lowest_a=float(current[0]),
        highest_a=float(current[-1]),
    )


def _sorted_points(current_a: ArrayLike, voltage_v: ArrayLike) -> tuple[FloatArray, FloatArray]:
    current = np.atleast_1d(numbers("current_a", current_a, above=0))
    voltage = np.atleast_1d(numbers("voltage_v", voltage_v, above=0))
    if current.ndim != 1 or current.shape != voltage.shape:
        raise ArgumentError("voltage_v", voltage.shape, f"one voltage a current, shape {current.shape}")
    if current.size < 2:
        raise ArgumentError("current_a", current.tolist(), "at least two points: one says nothing about the slope")
    order = np.argsort(current, kind="stable")
    current, voltage = current[order], voltage[order]
    if (np.diff(current) <= 0).any():
        raise ArgumentError("current_a", current.tolist(), "each current once")
    if (np.diff(voltage) <= 0).any():
        raise ArgumentError("voltage_v", voltage.tolist(), "voltages that rise with the current")
    return current, voltage


def _through_two(current: FloatArray, voltage: FloatArray) -> TwoPointShape:
    rise, log_ratio = voltage[1] - voltage[0], np.log(current[1] / current[0])
    slope_v = min(ASSUMED_N_OVER_V * voltage[0], rise / log_ratio)
    return TwoPointShape(
        anchor_a=float(current[0]),
        anchor_v=float(voltage[0]),
        slope_v=float(slope_v),
        resistance_ohm=float(max((rise - slope_v * log_ratio) / (current[1] - current[0]), 0.0)),
        lowest_a=float(current[0]),
        highest_a=float(current[1]),
    )
