"""What keeps the highest board at or below its rating: a current setting, a voltage ceiling, or more boards."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.rated_boards import RatedBoards
from ledcalc.errors import ArgumentError

__all__ = [
    "BoardsToAdd",
    "CurrentSetting",
    "VoltageCeiling",
    "boards_to_add",
    "current_setting_for_rating",
    "voltage_ceiling_for_rating",
]

LightOfCurrent = Callable[[FloatArray], ArrayLike]
LARGEST_RATIO = 10.0
MOST_BOARDS = 1000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurrentSetting:
    """The highest current setting at which no board exceeds its rating, at the boards' confidence.

    ``ratio`` is it over the present setting: above 1 there is room. ``current_a``: what each board would take, as read.
    ``light_fraction``: light then over light now.
    """

    setting_a: float
    ratio: float
    current_a: FloatArray
    light_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VoltageCeiling:
    """The voltage limit that does the same; ``total_a`` is what it lets through, settled."""

    ceiling_v: float
    total_a: float
    light_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardsToAdd:
    """How many further boards of the kind at the present setting do the same; ``highest_a``: the highest board then."""

    count: int
    highest_a: float
    light_fraction: float


def current_setting_for_rating(
    boards: RatedBoards,
    setting_a: float,
    *,
    follow: ArrayLike = 1.0,
    light_of_current: LightOfCurrent | None = None,
) -> CurrentSetting:
    """Return the current setting that keeps the highest board at or below its rating.

    Parameters
    ----------
    boards : currents as read at ``setting_a``, settled
    setting_a : A, above 0: the driver's present current setting, on its own dial
    follow : above 0, one or one a board: by what share of itself a board's current changes when the total changes by
        such a share. 1: shares stay. A circuit's model gives others: the hottest board of several that share follows
        with more than 1
    light_of_current : a board's photon flux, in any unit, of its current in A, for arrays. None: proportional

    Returns
    -------
    CurrentSetting

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or ratings that no setting meets

    Validity
    --------
    The driver follows its dial, so that a ratio of settings is a ratio of currents. Moves of more than a third change
    shares: read again there.

    Examples
    --------
    >>> boards = RatedBoards(
    ...     current_a=[2.23, 2.10, 1.92], rating_a=2.2, own_half_width_a=0.04, common_half_width_fraction=0.01
    ... )
    >>> found = current_setting_for_rating(boards, 6.25)
    >>> round(found.setting_a, 2), round(found.light_fraction, 3)
    (6.05, 0.968)
    """
    now = float(numbers("setting_a", setting_a, above=0))
    steep = np.broadcast_to(numbers("follow", follow, above=0), boards.current.shape)
    lowest = float(np.max(1.0 - 1.0 / steep))
    low, high = max(lowest, 0.0) + 1e-9, LARGEST_RATIO

    def holds(ratio: float) -> bool:
        return boards.chance_all_below(boards.rating / (1.0 + steep * (ratio - 1.0))) >= boards.confidence

    if not holds(low):
        raise ArgumentError("rating_a", boards.rating.tolist(), "ratings that some setting above 0 meets")
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    current = boards.current * (1.0 + steep * (low - 1.0))
    return CurrentSetting(
        setting_a=now * low,
        ratio=low,
        current_a=current,
        light_fraction=_light(current, light_of_current) / _light(boards.current, light_of_current),
    )


def voltage_ceiling_for_rating(
    boards: RatedBoards,
    voltage_v: float,
    *,
    slope_ohm: float,
    voltage_half_width_v: float = 0.0,
    follow: ArrayLike = 1.0,
    light_of_current: LightOfCurrent | None = None,
) -> VoltageCeiling:
    """Return the voltage ceiling that keeps the highest board at or below its rating.

    Parameters
    ----------
    boards : currents as read at ``voltage_v``, settled
    voltage_v : V, above 0: at the driver's terminals
    slope_ohm : ohm, above 0: by how much the settled voltage rises with the total current, per ampere: from two
        settings tried, or a circuit's model; heat makes it smaller than a cold board's
    voltage_half_width_v : V, at least 0: how far reading and limit may be off together; taken off in full
    follow, light_of_current : as ``current_setting_for_rating``

    Returns
    -------
    VoltageCeiling

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or ratings that nothing meets

    Validity
    --------
    A ceiling holds for the temperatures of these readings: colder boards take less under it, hotter ones more.

    Examples
    --------
    >>> boards = RatedBoards(current_a=[2.23, 2.10, 1.92], rating_a=2.2, own_half_width_a=0.04)
    >>> found = voltage_ceiling_for_rating(boards, 50.0, slope_ohm=0.5)
    >>> round(found.ceiling_v, 2), round(found.total_a, 2)
    (49.91, 6.07)
    """
    volts, slope = float(numbers("voltage_v", voltage_v, above=0)), float(numbers("slope_ohm", slope_ohm, above=0))
    off = float(numbers("voltage_half_width_v", voltage_half_width_v, at_least=0))
    total = float(boards.current.sum())
    wanted = current_setting_for_rating(boards, total, follow=follow)
    down_v = slope * (total - wanted.setting_a) + off
    then = max(total - down_v / slope, 0.0)
    steep = np.broadcast_to(numbers("follow", follow, above=0), boards.current.shape)
    current = np.maximum(boards.current * (1.0 + steep * (then / total - 1.0)), 0.0)
    light = _light(current, light_of_current) / _light(boards.current, light_of_current)
    return VoltageCeiling(ceiling_v=volts - down_v, total_a=then, light_fraction=light)


def boards_to_add(boards: RatedBoards, *, light_of_current: LightOfCurrent | None = None) -> BoardsToAdd:
    """Return how many boards to add, the current setting left alone, for the highest board to be within its rating.

    Parameters
    ----------
    boards : currents as read, settled, of boards that share one setting
    light_of_current : as ``current_setting_for_rating``; the same current over more boards usually gives more light

    Returns
    -------
    BoardsToAdd: 0 where the boards are within their rating

    Raises
    ------
    ArgumentError (a ValueError): ratings that a thousand further boards do not meet

    Validity
    --------
    Added boards take the mean share, and all others keep theirs among themselves.

    Examples
    --------
    >>> boards = RatedBoards(current_a=[2.23, 2.10, 1.92], rating_a=2.2, own_half_width_a=0.04)
    >>> found = boards_to_add(boards)
    >>> found.count, round(found.highest_a, 2), found.light_fraction
    (1, 1.67, 1.0)
    """
    here = boards.current.size
    for count in range(MOST_BOARDS + 1):
        ratio = here / (here + count)
        if boards.chance_all_below(boards.rating / ratio) >= boards.confidence:
            break
    else:
        raise ArgumentError("rating_a", boards.rating.tolist(), f"ratings that {MOST_BOARDS} further boards meet")
    current = np.append(boards.current, np.full(count, boards.current.mean())) * ratio
    light = _light(current, light_of_current) / _light(boards.current, light_of_current)
    return BoardsToAdd(count=count, highest_a=float(current.max()), light_fraction=light)


def _light(current: FloatArray, light_of_current: LightOfCurrent | None) -> float:
    flux = current if light_of_current is None else numbers("light_of_current", light_of_current(current), at_least=0)
    total = float(np.sum(flux))
    if not total > 0:
        raise ArgumentError("light_of_current", total, "some light at the present currents")
    return total
