"""The current that drivers draw for an instant as they are switched on, against what a breaker holds."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.tables import table
from ledcalc.wiring.circuit_load import ROUNDING_FRACTION, fixtures_on_circuit

__all__ = [
    "BREAKER_CURVES",
    "DriversOnBreaker",
    "breaker_holds_a",
    "drivers_on_breaker",
    "inrush_share",
    "inrush_total_a",
    "short_pulse_factor",
]

BREAKER_CURVES = ("B", "C", "D", "unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class DriversOnBreaker:
    """How many drivers a breaker takes. Counts are whole, or infinite where nothing of that kind limits.

    ``limited_by``: ``"inrush"``, ``"load"`` or ``"nothing"``. ``holds_a``: peak that the breaker holds for one driver's
    pulse. ``is_assumed``: its magnetic trip is unknown, and the lowest known one stood in.
    """

    drivers_count: float
    limited_by: str
    by_inrush_count: float
    by_load_count: float
    holds_a: float
    is_assumed: bool


def short_pulse_factor(half_value_time_s: ArrayLike) -> Numbers:
    """Return by how much a breaker's magnetic trip holds more for a short pulse than for a long one.

    Parameters
    ----------
    half_value_time_s : s, above 0: how long the pulse stays above half of its peak

    Returns
    -------
    factor, at least 1, in the argument's shape

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    A cautious model, not a breaker's own curve: equal I2t below 2 ms, no more credit below 0.1 ms. Curves of breaker
    makers commonly allow about twice as much; where one is at hand, use it.

    References
    ----------
    Common practice, no source; the model is our own choice.

    Examples
    --------
    >>> short_pulse_factor([0.0005, 0.002, 0.01]).tolist()
    [2.0, 1.0, 1.0]
    """
    shortest, longest = _pulse_limits()
    width = np.clip(numbers("half_value_time_s", half_value_time_s, above=0), shortest, longest)
    return answer(np.sqrt(longest / width))


def breaker_holds_a(
    breaker_a: ArrayLike, curve: str, half_value_time_s: ArrayLike, *, trip_multiple: ArrayLike | None = None
) -> Numbers:
    """Return the peak of a pulse that a breaker's magnetic trip holds.

    Parameters
    ----------
    breaker_a : A, above 0: rated current
    curve : ``"B"``, ``"C"``, ``"D"``, or ``"unknown"`` (thermal-magnetic breakers of the NEC world)
    half_value_time_s : s, above 0: how long the pulse stays above half of its peak
    trip_multiple : above 0: the lowest magnetic trip over the rated current, from the breaker's datasheet, in place of
        the curve's

    Returns
    -------
    A peak, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown curve

    Validity
    --------
    The low end of the band counts, and the band, which is in rms, is taken as peak: cautious twice. An unknown breaker
    counts as the lowest known band. Inrush over several half waves, and the slow thermal trip, are left out.

    References
    ----------
    IEC 60898-1 (3 to 5, 5 to 10, 10 to 20 times the rated current), from memory; ``short_pulse_factor``.

    Examples
    --------
    >>> breaker_holds_a(16.0, "C", 0.0005)
    160.0
    """
    choice("curve", curve, BREAKER_CURVES)
    row = next(row for row in table("breaker_curves") if (row["kind"], row["name"]) == ("magnetic trip", curve))
    least = numbers("trip_multiple", row["low"] if trip_multiple is None else trip_multiple, above=0)
    return answer(least * numbers("breaker_a", breaker_a, above=0) * short_pulse_factor(half_value_time_s))


def inrush_total_a(
    inrush_peak_a: ArrayLike, driver_count: ArrayLike, *, mains_v: ArrayLike | None = None, line_ohm: ArrayLike = 0.0
) -> Numbers:
    """Return the peak that drivers draw together, switched on at one instant.

    Parameters
    ----------
    inrush_peak_a : A, at least 0: peak of one driver at this mains voltage, from its datasheet
    driver_count : whole number, at least 0
    mains_v : V rms, above 0; needed where ``line_ohm`` is given
    line_ohm : ohm, at least 0, out and back, of supply and wiring ahead of the drivers; 0: it limits nothing

    Returns
    -------
    A peak, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or a line without a mains voltage

    Validity
    --------
    Switched on at the crest. Each driver stands as the resistance that gives its peak from a supply of no impedance; a
    peak measured through a line holds that line already, so that the sum comes out too low: leave the line out then.

    References
    ----------
    Ohm's law at the crest, sqrt(2) times the rms voltage.

    Examples
    --------
    >>> round(inrush_total_a(60.0, 3, mains_v=230.0, line_ohm=0.4), 1)
    147.4
    """
    together = numbers("inrush_peak_a", inrush_peak_a, at_least=0) * whole_numbers("driver_count", driver_count)
    return answer(together / (1.0 + together * _line_per_a(mains_v, line_ohm)))


def inrush_share(
    inrush_peak_a: ArrayLike,
    half_value_time_s: ArrayLike,
    driver_count: ArrayLike,
    breaker_a: float,
    curve: str,
    *,
    trip_multiple: float | None = None,
    mains_v: float | None = None,
    line_ohm: float = 0.0,
) -> float:
    """Return the inrush of all drivers on a breaker over what it holds; above 1 it may trip as they are switched on.

    Parameters
    ----------
    inrush_peak_a, half_value_time_s, driver_count : as ``drivers_on_breaker``, or one entry a model of driver
    breaker_a, curve, trip_multiple : as ``breaker_holds_a``
    mains_v, line_ohm : as ``inrush_total_a``

    Returns
    -------
    share

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, an unknown curve, a line without a mains voltage

    Validity
    --------
    As ``breaker_holds_a`` and ``inrush_total_a``. The longest pulse stands for all. A line lengthens the pulse as much
    as it lowers the peak, for the charge stays.

    References
    ----------
    As ``breaker_holds_a``; the rest common practice, no source.

    Examples
    --------
    >>> inrush_share([60.0, 20.0], [0.0005, 0.0003], [2, 1], 16.0, "C")
    0.875
    """
    peaks = numbers("inrush_peak_a", inrush_peak_a, at_least=0)
    together = float(np.sum(peaks * whole_numbers("driver_count", driver_count)))
    stretch = 1.0 + together * _line_per_a(mains_v, line_ohm)
    longest = float(np.max(numbers("half_value_time_s", half_value_time_s, above=0))) * stretch
    held = breaker_holds_a(breaker_a, curve, longest, trip_multiple=trip_multiple)
    return float(together / stretch / held)


def drivers_on_breaker(
    inrush_peak_a: float,
    half_value_time_s: float,
    breaker_a: float,
    curve: str,
    *,
    driver_a: float | None = None,
    other_load_a: float = 0.0,
    trip_multiple: float | None = None,
    mains_v: float | None = None,
    line_ohm: float = 0.0,
    rule_set: str = "IEC",
) -> DriversOnBreaker:
    """Return how many drivers of one model a breaker takes, switched on together, and what limits the number.

    Parameters
    ----------
    inrush_peak_a : A, above 0: peak of one driver at this mains voltage
    half_value_time_s : s, above 0: how long that pulse stays above half of its peak
    breaker_a, curve, trip_multiple : as ``breaker_holds_a``
    driver_a : A rms, above 0: running current of one; None: the running load is left out
    other_load_a : A rms, at least 0: what else runs on the circuit, already switched on
    mains_v, line_ohm : as ``inrush_total_a``
    rule_set : ``"IEC"`` or ``"NEC"``, for the running load

    Returns
    -------
    DriversOnBreaker

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, an unknown curve or rule set, a line without mains voltage

    Validity
    --------
    As ``breaker_holds_a`` and ``inrush_share``. Tables of driver makers commonly allow three to four times as many:
    where there is one it goes before this.

    References
    ----------
    As ``breaker_holds_a`` and ``fixtures_on_circuit``.

    Examples
    --------
    >>> found = drivers_on_breaker(60.0, 0.0005, 16.0, "B", driver_a=1.3)
    >>> found.drivers_count, found.limited_by, found.by_load_count
    (1.0, 'inrush', 12.0)
    """
    peak = float(numbers("inrush_peak_a", inrush_peak_a, above=0))
    held = float(breaker_holds_a(breaker_a, curve, half_value_time_s, trip_multiple=trip_multiple))
    a_long_pulse = held / float(short_pulse_factor(half_value_time_s))
    most = _most_together_a(a_long_pulse, half_value_time_s, float(_line_per_a(mains_v, line_ohm)))
    by_inrush = most if math.isinf(most) else float(np.floor(most / peak + ROUNDING_FRACTION))
    by_load = math.inf
    if driver_a is not None:
        by_load = float(fixtures_on_circuit(driver_a, breaker_a, other_load_a=other_load_a, rule_set=rule_set))
    limits = {"nothing": math.inf, "inrush": by_inrush, "load": by_load}
    return DriversOnBreaker(
        drivers_count=min(limits.values()),
        limited_by=min(limits, key=lambda name: limits[name]),
        by_inrush_count=by_inrush,
        by_load_count=by_load,
        holds_a=held,
        is_assumed=curve == "unknown" and trip_multiple is None,
    )


def _most_together_a(a_long_pulse: float, half_value_time_s: float, line_per_a: float) -> float:
    """Return the largest sum x of peaks that is held: x/(1 + a x) <= H factor(t (1 + a x)), solved for x."""
    shortest, longest = _pulse_limits()
    # By equal I2t: x/sqrt(1 + a x) <= K, a quadratic in x.
    k = a_long_pulse * math.sqrt(longest / half_value_time_s)
    half = line_per_a * k * k / 2.0
    by_pulse = half + math.sqrt(half * half + k * k)
    floor, ceiling = (
        level / (1.0 - line_per_a * level) if line_per_a * level < 1.0 else math.inf
        for level in (a_long_pulse, a_long_pulse * math.sqrt(longest / shortest))
    )
    return min(ceiling, max(floor, by_pulse))


def _line_per_a(mains_v: ArrayLike | None, line_ohm: ArrayLike) -> Numbers:
    """Return the share of the crest voltage that one ampere takes off it in the line."""
    line = numbers("line_ohm", line_ohm, at_least=0)
    if mains_v is None:
        if line.any():
            raise ArgumentError("mains_v", mains_v, "a mains voltage, needed beside line_ohm")
        return answer(np.zeros_like(line))
    return answer(line / (math.sqrt(2.0) * numbers("mains_v", mains_v, above=0)))


def _pulse_limits() -> tuple[float, float]:
    row = next(row for row in table("breaker_curves") if row["kind"] == "short pulse")
    return float(row["low"]), float(row["high"])
