"""Boards as matrices of LEDs: n in series by m in parallel, whole or with one LED shorted or open."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, choice, numbers, whole_numbers
from ledcalc.circuit.curve import BoardCurve, Shape
from ledcalc.circuit.shapes import Columns, PointShape
from ledcalc.errors import ArgumentError

__all__ = ["LED_FAULTS", "LED_LAYOUTS", "board_voltage_sigma", "led_matrix", "with_led_fault"]

LED_LAYOUTS = ("strings", "cross-tied")
LED_FAULTS = ("LED shorted", "LED open")
MOST_STEPS, SETTLED_FRACTION = 100, 1e-13
TABLE_A, TABLE_POINTS = (1e-8, 1e3), 1600


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScaledShape:
    """V = factor x inner(I x share)."""

    inner: Shape
    factor: float
    share: float

    @property
    def lowest_a(self) -> float:
        """Lowest current of the data, in A."""
        return self.inner.lowest_a / self.share

    @property
    def highest_a(self) -> float:
        """Highest current of the data, in A."""
        return self.inner.highest_a / self.share

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        voltage, slope = self.inner.at(current_a * self.share)
        return self.factor * voltage, self.factor * self.share * slope

    def part(self, only: Columns) -> ScaledShape:
        """Return the shape of some variants."""
        return replace(self, inner=self.inner.part(only))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeriesShape:
    """V = first(I) + second(I)."""

    first: Shape
    second: Shape

    @property
    def lowest_a(self) -> float:
        """Lowest current of the data, in A."""
        return max(self.first.lowest_a, self.second.lowest_a)

    @property
    def highest_a(self) -> float:
        """Highest current of the data, in A."""
        return min(self.first.highest_a, self.second.highest_a)

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        first_v, first_ohm = self.first.at(current_a)
        second_v, second_ohm = self.second.at(current_a)
        return first_v + second_v, first_ohm + second_ohm

    def part(self, only: Columns) -> SeriesShape:
        """Return the shape of some variants."""
        return SeriesShape(first=self.first.part(only), second=self.second.part(only))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ParallelShape:
    """Two shapes side by side: they share the current so that their voltages agree."""

    first: Shape
    second: Shape

    @property
    def lowest_a(self) -> float:
        """Lowest current of the data, in A."""
        return self.first.lowest_a

    @property
    def highest_a(self) -> float:
        """Highest current of the data, in A."""
        return self.first.highest_a

    def second_current(self, current_a: FloatArray) -> FloatArray:
        """Return what the second shape takes of a current: Newton between brackets."""
        low, high = np.zeros_like(current_a), np.maximum(current_a, 0.0)
        taken = 0.5 * high
        for _ in range(MOST_STEPS):
            second_v, second_ohm = self.second.at(taken)
            first_v, first_ohm = self.first.at(current_a - taken)
            surplus = second_v - first_v
            high, low = np.where(surplus > 0, taken, high), np.where(surplus > 0, low, taken)
            wanted = taken - surplus / (second_ohm + first_ohm)
            following = np.where((wanted > low) & (wanted < high), wanted, 0.5 * (low + high))
            is_there = np.abs(following - taken) <= SETTLED_FRACTION * np.abs(current_a)
            taken = following
            if is_there.all():
                break
        return np.asarray(taken)

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        taken = self.second_current(np.asarray(current_a, dtype=float))
        voltage, first_ohm = self.first.at(current_a - taken)
        _, second_ohm = self.second.at(taken)
        return voltage, 1.0 / (1.0 / first_ohm + 1.0 / second_ohm)

    def part(self, only: Columns) -> ParallelShape:
        """Return the shape of some variants."""
        return ParallelShape(first=self.first.part(only), second=self.second.part(only))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TabledShape:
    """A shape read from a close table of another's voltages and slopes, with that one's range of data."""

    table: PointShape
    lowest_a: float
    highest_a: float

    def at(self, current_a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return voltage in V and slope in ohm."""
        return self.table.at(current_a)

    def part(self, only: Columns) -> TabledShape:  # noqa: ARG002
        """Return the shape of some variants: a table is the same in all."""
        return self


def _tabled(shape: ParallelShape) -> ParallelShape | TabledShape:
    """Return the shape as a table, by cubic Hermite pieces in ln I: each look-up of its own is a search."""
    current = np.geomspace(*TABLE_A, TABLE_POINTS)
    voltage, slope = shape.at(current)
    if voltage.shape != current.shape or shape.at(current[:1])[0].shape != (1,):
        return shape
    log, by_log = np.log(current), slope * current
    step = np.diff(log)
    secant = np.diff(voltage) / step
    cubic = (by_log[:-1] + by_log[1:] - 2.0 * secant) / step**2
    square = (3.0 * secant - 2.0 * by_log[:-1] - by_log[1:]) / step
    # Beyond the table: the end's slope as a plain resistance.
    table = PointShape(
        log_knots=log,
        knot_v=voltage,
        coefficients=np.array([cubic, square, by_log[:-1], voltage[:-1]]),
        tail_slope_v=0.0,
        tail_resistance_ohm=float(slope[-1]),
        lowest_a=float(current[0]),
        highest_a=float(current[-1]),
    )
    return TabledShape(table=table, lowest_a=shape.lowest_a, highest_a=shape.highest_a)


def led_matrix(led: BoardCurve, series_count: int, parallel_count: int) -> BoardCurve:
    """Return the curve of a board of like LEDs: n in series by m in parallel, V = n v(I/m).

    Parameters
    ----------
    led : one LED's curve
    series_count, parallel_count : at least 1

    Raises
    ------
    ArgumentError (a ValueError): a count below 1 or not whole

    Validity
    --------
    Like LEDs at one temperature; strings and cross-tied matrices are then the same.

    Examples
    --------
    >>> led = BoardCurve.from_points([0.05, 0.1, 0.2], [2.7, 2.8, 2.95])
    >>> led_matrix(led, 16, 10).voltage(1.0)
    44.8
    """
    series = float(whole_numbers("series_count", series_count, at_least=1))
    parallel = float(whole_numbers("parallel_count", parallel_count, at_least=1))
    return _scaled(led, series, 1.0 / parallel)


def with_led_fault(
    board: BoardCurve, fault: str, *, series_count: int, parallel_count: int, layout: str = "strings"
) -> BoardCurve:
    """Return the curve of a board one LED of which is shorted or open.

    Parameters
    ----------
    board : the whole board's curve
    fault : ``"LED shorted"`` or ``"LED open"``
    series_count, parallel_count : LEDs in series and in parallel, at least 1
    layout : ``"strings"``, or ``"cross-tied"`` (the LEDs of a row joined at both ends)

    Raises
    ------
    ArgumentError (a ValueError): an unknown fault or layout; an open LED where nothing is parallel to it (the board is
        open then); a shorted LED that is its string's only one

    Validity
    --------
    Strings, shorted: one string has an LED less and takes more of the current. Strings, open: one string carries
    nothing. Cross-tied, shorted: the LED's whole row is bridged. Cross-tied, open: its row has one less. What the
    temperature does is scaled with the LEDs in series that are left on average.

    References
    ----------
    Kirchhoff's laws.

    Examples
    --------
    >>> led = BoardCurve.from_points([0.05, 0.1, 0.2], [2.7, 2.8, 2.95])
    >>> board = led_matrix(led, 16, 10)
    >>> shorted = with_led_fault(board, "LED shorted", series_count=16, parallel_count=10, layout="cross-tied")
    >>> round(shorted.voltage(1.0), 6)
    42.0
    """
    choice("fault", fault, LED_FAULTS)
    choice("layout", layout, LED_LAYOUTS)
    n = float(whole_numbers("series_count", series_count, at_least=1))
    m = float(whole_numbers("parallel_count", parallel_count, at_least=1))
    if fault == "LED open":
        if m == 1:
            raise ArgumentError("parallel_count", parallel_count, "at least 2: the lone string is open, and the board")
        share = m / (m - 1.0)
        if layout == "strings":
            return _scaled(board, 1.0, share)
        rest = ScaledShape(inner=board.shape, factor=(n - 1.0) / n, share=1.0)
        thin = ScaledShape(inner=board.shape, factor=1.0 / n, share=share)
        return replace(board, shape=SeriesShape(first=rest, second=thin))
    if n == 1:
        raise ArgumentError("series_count", series_count, "at least 2: shorting the only LED shorts the board")
    if layout == "cross-tied" or m == 1:
        return _scaled(board, (n - 1.0) / n, 1.0)
    whole = ScaledShape(inner=board.shape, factor=1.0, share=m / (m - 1.0))
    short = ScaledShape(inner=board.shape, factor=(n - 1.0) / n, share=m)
    return replace(
        board,
        shape=_tabled(ParallelShape(first=whole, second=short)),
        voltage_coefficient_v_per_k=board.voltage_coefficient_v_per_k * (1.0 - 1.0 / (n * m)),
    )


@broadcasting
def board_voltage_sigma(led_sigma_v: ArrayLike, series_count: ArrayLike, parallel_count: ArrayLike) -> Numbers:
    """Return the spread of a board's voltage, as a standard deviation in V, from that of its LEDs.

    Parameters
    ----------
    led_sigma_v : V, at least 0: standard deviation of one LED's voltage; for a bin of even spread its half width
        over the root of 3
    series_count, parallel_count : LEDs in series and in parallel, at least 1

    Validity
    --------
    LEDs drawn independently: sigma sqrt(n/m). A reel from one corner of a bin shifts whole boards by more.

    References
    ----------
    Variance of a sum and of a mean of independent quantities.

    Examples
    --------
    >>> round(board_voltage_sigma(0.04, 16, 10), 4)
    0.0506
    """
    sigma = numbers("led_sigma_v", led_sigma_v, at_least=0)
    series = whole_numbers("series_count", series_count, at_least=1)
    parallel = whole_numbers("parallel_count", parallel_count, at_least=1)
    return answer(sigma * np.sqrt(series / parallel))


def _scaled(curve: BoardCurve, factor: float, share: float) -> BoardCurve:
    return replace(
        curve,
        shape=ScaledShape(inner=curve.shape, factor=factor, share=share),
        voltage_coefficient_v_per_k=factor * curve.voltage_coefficient_v_per_k,
        course=None if curve.course is None else curve.course.shared(share),
    )
