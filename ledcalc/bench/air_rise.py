"""Temperature over air, and what it comes to at another air temperature or current."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, numbers
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.log_columns import IntArray

__all__ = ["AIR_BASES", "TemperatureRises", "referred_temperature", "temperature_rises"]

WITH, BETWEEN, NEAREST, NONE = AIR_BASES = (
    "read with it",
    "between two air readings",
    "nearest air reading",
    "no air reading",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TemperatureRises:
    """Board temperatures over air, an entry a temperature reading, by time.

    ``board`` is a place in ``boards``. ``air_basis`` says where each reading's air temperature is from, by a
    place in ``AIR_BASES``. ``referred_c``
    is what the board would read at the common air temperature (and current, where one was asked for); NaN where no air
    temperature is known, or no current to scale by.
    """

    boards: tuple[str, ...]
    board: IntArray
    elapsed_h: FloatArray
    temperature_c: FloatArray
    air_temperature_c: FloatArray
    air_basis: IntArray
    rise_k: FloatArray
    referred_c: FloatArray
    common_air_c: float

    def latest(self, board: int) -> int | None:
        """Return the place of a board's latest reading, None where it has none."""
        found = np.flatnonzero(self.board == board)
        return int(found[-1]) if found.size else None


@broadcasting
def referred_temperature(
    temperature_c: ArrayLike,
    air_temperature_c: ArrayLike,
    *,
    common_air_c: ArrayLike,
    power_ratio: ArrayLike = 1.0,
    power_exponent: float = 1.0,
) -> Numbers:
    """Return what a board would read at another air temperature, and at another power.

    Parameters
    ----------
    temperature_c, air_temperature_c : degC, above -273.15: board, and air when it was read
    common_air_c : degC, above -273.15: the air to refer to
    power_ratio : above 0: heat there over heat here; currents will do, for voltage hardly changes
    power_exponent : above 0, at most 1: the rise goes with this power of the heat. 1: fixed thermal resistance; 0.8:
        laminar natural convection alone, whose film coefficient goes with the rise to the power 1/4

    Returns
    -------
    degC, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The same air flow, and a settled board. Radiation makes a warmer room's rise some per cent smaller: for moves of air
    of 10 K or less that is below what thermometers show.

    References
    ----------
    Newton's law of cooling; exponent 1/(1 + 1/4) from Nu ~ Ra^(1/4), any heat transfer text.

    Examples
    --------
    >>> referred_temperature(56.0, 21.0, common_air_c=25.0)
    60.0
    >>> referred_temperature(56.0, 21.0, common_air_c=25.0, power_ratio=0.8)
    53.0
    """
    lowest = -273.15
    board = numbers("temperature_c", temperature_c, above=lowest)
    air = numbers("air_temperature_c", air_temperature_c, above=lowest)
    ratio = numbers("power_ratio", power_ratio, above=0)
    exponent = numbers("power_exponent", power_exponent, above=0, at_most=1)
    return answer(numbers("common_air_c", common_air_c, above=lowest) + (board - air) * ratio**exponent)


def temperature_rises(
    log: CurrentLog, *, common_air_c: float = 25.0, to_current_a: float | None = None, power_exponent: float = 1.0
) -> TemperatureRises:
    """Return the board temperatures of a log over air, and referred to a common air temperature.

    Parameters
    ----------
    log : with temperatures; air temperatures may have gaps, and stand at any board
    common_air_c : degC
    to_current_a : A, above 0: refer every board to this current too
    power_exponent : as ``referred_temperature``

    Returns
    -------
    TemperatureRises

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    One air for all boards: its readings of one time are averaged, those between two times interpolated, and beyond the
    first and last the nearest stands in; ``air_basis`` says which.

    Examples
    --------
    >>> log = CurrentLog.from_wide(
    ...     [0.0, 2.0, 4.0], {"B1": [2.0, 2.0, 2.0]}, temperature_c={"B1": [50.0, 54.0, 56.0]},
    ...     air_temperature_c=[20.0, None, 22.0],
    ... )
    >>> temperature_rises(log).referred_c.tolist()
    [55.0, 58.0, 59.0]
    """
    shown = np.flatnonzero(~np.isnan(log.temperature_c))
    elapsed, board_c = log.elapsed_h[shown], log.temperature_c[shown]
    known = ~np.isnan(log.air_temperature_c)
    air, basis = _air(elapsed, log.elapsed_h[known], log.air_temperature_c[known])
    own = log.air_temperature_c[shown]
    has_own = ~np.isnan(own)
    air = np.where(has_own, own, air)
    ratio = np.ones(shown.size)
    if to_current_a is not None:
        current = log.current_a[shown]
        wanted = float(numbers("to_current_a", to_current_a, above=0))
        ratio = np.where(current > 0, wanted / np.where(current > 0, current, 1.0), np.nan)
    usable = ~np.isnan(air) & ~np.isnan(ratio)
    referred = np.full(shown.size, np.nan)
    referred[usable] = referred_temperature(
        board_c[usable],
        air[usable],
        common_air_c=common_air_c,
        power_ratio=ratio[usable],
        power_exponent=power_exponent,
    )
    return TemperatureRises(
        boards=log.boards,
        board=log.board[shown],
        elapsed_h=elapsed,
        temperature_c=board_c,
        air_temperature_c=air,
        air_basis=np.where(has_own, AIR_BASES.index(WITH), basis),
        rise_k=board_c - air,
        referred_c=referred,
        common_air_c=float(common_air_c),
    )


def _air(elapsed_h: FloatArray, air_h: FloatArray, air_c: FloatArray) -> tuple[FloatArray, IntArray]:
    """Return the air temperature at each time, and the place of its basis in ``AIR_BASES``."""
    if air_h.size == 0:
        return np.full(elapsed_h.size, np.nan), np.full(elapsed_h.size, AIR_BASES.index(NONE))
    times, place = np.unique(air_h, return_inverse=True)
    means = np.bincount(place, air_c) / np.bincount(place)
    within = (elapsed_h >= times[0]) & (elapsed_h <= times[-1])
    basis = np.where(within, AIR_BASES.index(BETWEEN), AIR_BASES.index(NEAREST))
    return np.interp(elapsed_h, times, means), np.where(np.isin(elapsed_h, times), 0, basis)
