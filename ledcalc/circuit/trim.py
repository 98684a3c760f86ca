"""What to set the driver to, so that no board runs over its rating."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, broadcasting, numbers
from ledcalc.circuit.changed import Circuit, a_number_a_board, loads_of
from ledcalc.circuit.parts import CurrentSplit, Driver
from ledcalc.circuit.split import current_split
from ledcalc.errors import ArgumentError

__all__ = ["Trim", "highest_setting_within", "load_ratio", "setting_search", "trim_driver", "trim_from_measured"]

# A setting counts as found when it is within a millionth; guesses aim that little inside.
FOUND_FRACTION = 1e-6
MOST_GUESSES, LEAST_POWER = 12, 0.2
# Where so small a step of the setting lifts the use by so much, it jumps: boards begin to hog between the two, which
# no millionth of a setting makes surer.
NEAR_JUMP_FRACTION, JUMP = 0.01, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Trim:
    """Settings that keep every board within its limits.

    ``current_setting_a``: the highest on the dial that does, NaN where even the dial's low end is too much.
    ``voltage_setting_v``: the ceiling, a little above ``driver_voltage_v``, the voltage the boards settle at.
    ``limiting_board``: the number of the board that reaches its limit first, -1 where the dial's top is within.
    ``highest_share_fraction``: what that board, or the one nearest its limit, takes of the driver's current.
    """

    current_setting_a: float
    voltage_setting_v: float
    driver_voltage_v: float
    limiting_board: int
    highest_share_fraction: float
    current_a: FloatArray
    temperature_c: FloatArray


def trim_from_measured(current_a: ArrayLike, rated_current_a: ArrayLike) -> float:
    """Return the driver current at which the board measured nearest its rating would just meet it.

    Parameters
    ----------
    current_a : A, above 0, one-dimensional: the branch currents, measured together and settled
    rated_current_a : A, above 0: one for all, or one a board

    Returns
    -------
    A: the sum of the currents, scaled

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not fit, or a number out of its range

    Validity
    --------
    Shares stay as measured: good for changes of a tenth. Turn, wait, measure again.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> round(trim_from_measured([0.62, 0.58, 0.57], 0.6), 3)
    1.713
    """
    current = np.atleast_1d(numbers("current_a", current_a, above=0))
    rated = numbers("rated_current_a", rated_current_a, above=0)
    if current.ndim != 1 or rated.shape not in {(), current.shape}:
        raise ArgumentError("rated_current_a", rated.shape, f"one number, or one a board, shape {current.shape}")
    return float(current.sum() * (rated / current).min())


def trim_driver(
    network: Circuit,
    rated_current_a: ArrayLike,
    dial_a: tuple[float, float],
    *,
    driver: Driver,
    rated_temperature_c: ArrayLike = np.inf,
    ambient_c: float = 25.0,
    headroom_fraction: float = 0.03,
) -> Trim:
    """Return the highest current setting on the dial that keeps every board within its limits, and a ceiling to go
    with it.

    Parameters
    ----------
    network : as in ``current_split``, single numbers only
    rated_current_a : A, above 0: one for all boards, or one a board
    dial_a : A: low and high end of the driver's current dial
    driver : its other settings; its voltage setting is held
    rated_temperature_c : degC: one for all boards, or one a board; infinity: no limit
    ambient_c : degC
    headroom_fraction : at least 0: how far the ceiling goes over the voltage that the boards settle at

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not fit, or a number out of its range

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve, Branch
    >>> curve = BoardCurve.from_diode(0.6, 1e-12, 1.0)
    >>> boards = [Branch(curve=curve), Branch(curve=curve, offset_v=0.1)]
    >>> driver = Driver(voltage_setting_v=40.0, current_setting_a=3.0)
    >>> trim = trim_driver(boards, 1.0, (0.5, 3.0), driver=driver)
    >>> round(trim.current_setting_a, 3), trim.limiting_board
    (1.938, 0)
    """
    low, high = (float(numbers("dial_a", end, above=0)) for end in dial_a)
    setting = highest_setting_within(
        network,
        rated_current_a,
        (low, high),
        driver=driver,
        rated_temperature_c=rated_temperature_c,
        ambient_c=ambient_c,
    )
    at = replace(driver, current_setting_a=low if np.isnan(setting) else setting)
    split = current_split(network, driver=at, ambient_c=ambient_c)
    ratio = load_ratio(split, rated_current_a, rated_temperature_c, ambient_c)
    worst = int(np.nanargmax(ratio)) if np.isfinite(ratio).any() else 0
    volts = float(split.driver_voltage_v)
    return Trim(
        current_setting_a=setting,
        voltage_setting_v=volts * (1.0 + float(numbers("headroom_fraction", headroom_fraction, at_least=0))),
        driver_voltage_v=volts,
        limiting_board=-1 if setting == high else worst,
        highest_share_fraction=float(split.current_a[worst] / (split.driver_current_a or 1.0)),
        current_a=split.current_a,
        temperature_c=split.temperature_c,
    )


def highest_setting_within(
    network: Circuit,
    rated_current_a: ArrayLike,
    dial_a: tuple[float, float],
    *,
    driver: Driver,
    rated_temperature_c: ArrayLike = np.inf,
    ambient_c: float = 25.0,
) -> float:
    """Return the highest current setting between two that keeps every board within its limits; NaN where none does.

    Searched from below, as a dial is turned up at the bench, to a millionth; to a hundredth where boards begin to hog,
    so that what they carry jumps. Parameters as in ``trim_driver``.
    """
    rated = a_number_a_board("rated_current_a", rated_current_a, len(loads_of(network)))
    hottest = a_number_a_board("rated_temperature_c", rated_temperature_c, len(loads_of(network)))
    search = setting_search(dial_a)
    setting = next(search)
    while True:
        split = current_split(network, driver=replace(driver, current_setting_a=setting), ambient_c=ambient_c)
        try:
            setting = search.send(float(load_ratio(split, rated, hottest, ambient_c).max()))
        except StopIteration as found:
            return float(found.value)


def setting_search(
    dial_a: tuple[float, float], known: tuple[float, float] | None = None
) -> Generator[float, float, float]:
    """Yield settings to try, take in how far each uses the worst board; return what ``highest_setting_within`` does.

    ``known``: a setting that is too much and how far it uses the worst board, where that has been solved already.
    """
    low, high = dial_a
    if low > high:
        raise ArgumentError("dial_a", dial_a, "a low end that is not above the high end")
    within, at = (low, (yield low)), low
    if within[1] > 1.0 + 1e-12:
        return float("nan")
    over, over_used, power = high * (1.0 + FOUND_FRACTION), np.nan, 1.0
    if known is not None and low < known[0] <= high and 1.0 < known[1] < np.inf and within[1] > 0:
        over, over_used, power = known[0], known[1], _power(within, known)
    for _ in range(MOST_GUESSES):
        # What a board is used grows as a power of the current, near one; each guess mends the power.
        guess = within[0] * max(within[1], 1e-9) ** (-1.0 / power) * (1.0 - 0.5 * FOUND_FRACTION)
        beyond = high if over > high and guess >= high else 0.5 * (within[0] + over)
        at = min(guess if within[0] < guess < over else beyond, high)
        now = yield at
        if 0 < within[1] < now < np.inf:
            power = _power(within, (at, now))
        if now > 1.0:
            over, over_used = at, now
        elif at == high:
            return high
        else:
            within = (at, now)
        if over - within[0] <= FOUND_FRACTION * over or 1.0 - FOUND_FRACTION < now <= 1.0:
            break
        if over - within[0] <= NEAR_JUMP_FRACTION * over and over_used - within[1] > JUMP:
            break
    if over > high and high - within[0] <= 2.0 * FOUND_FRACTION * high:
        return high
    return float(within[0])


def _power(first: tuple[float, float], second: tuple[float, float]) -> float:
    """Return the power of the setting with which the use of the worst board grows between two points."""
    return max(float(np.log(second[1] / first[1]) / np.log(second[0] / first[0])), LEAST_POWER)


@broadcasting
def load_ratio(split: CurrentSplit, rated_a: ArrayLike, hottest_c: ArrayLike, ambient_c: ArrayLike) -> FloatArray:
    """Return how far each board is used: the larger of current over rated and rise over allowed rise; infinite where no
    steady state exists."""
    by_current = split.current_a / np.asarray(rated_a, dtype=float)
    air = np.asarray(ambient_c, dtype=float)
    allowed = np.maximum(np.asarray(hottest_c, dtype=float) - air, 1e-9)
    by_heat = (split.temperature_c - air) / allowed
    return np.asarray(np.nan_to_num(np.maximum(by_current, by_heat), nan=np.inf, posinf=np.inf))
