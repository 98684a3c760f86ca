"""Boards measured one by one: which belong together, on which branch, and what a measured split gives away."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.circuit.curve import BoardCurve
from ledcalc.errors import ArgumentError

__all__ = ["BoardGroups", "assign_to_branches", "match_boards", "offsets_from_currents"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardGroups:
    """Boards sorted into groups. ``group``: a group number a board in the order given, -1 for one left over.

    ``spread_v``: highest less lowest voltage within each group.
    """

    group: tuple[int, ...]
    spread_v: FloatArray


def match_boards(voltage_v: ArrayLike, group_count: int, boards_per_group: int) -> BoardGroups:
    """Sort boards, each measured at one test current and temperature, into groups of the least voltage spread.

    Parameters
    ----------
    voltage_v : V, above 0, one-dimensional, a board an entry
    group_count, boards_per_group : at least 1; what is left over may be any boards

    Returns
    -------
    BoardGroups: the widest group is as narrow as it can be; group 0 has the lowest voltages

    Raises
    ------
    ArgumentError (a ValueError): fewer boards than the groups take, or a number out of its range

    Validity
    --------
    Boards of one model: equal voltage at one current means equal shares near it.

    Examples
    --------
    >>> match_boards([22.4, 22.1, 22.9, 22.45, 22.15], 2, 2).group
    (1, 0, -1, 1, 0)
    """
    volts = np.atleast_1d(numbers("voltage_v", voltage_v, above=0))
    groups = int(whole_numbers("group_count", group_count, at_least=1))
    size = int(whole_numbers("boards_per_group", boards_per_group, at_least=1))
    if volts.ndim != 1 or volts.size < groups * size:
        raise ArgumentError("voltage_v", volts.shape, f"at least {groups * size} boards, one-dimensional")
    order = np.argsort(volts, kind="stable")
    ranked = volts[order]
    ranges = ranked[size - 1 :] - ranked[: volts.size - size + 1]
    # The least width at which enough groups fit, taken greedily from the lowest voltage up.
    starts = next(found for width in np.unique(ranges) if len(found := _starts(ranges, width, size)) >= groups)
    label = np.full(volts.size, -1)
    for number, start in enumerate(starts[:groups]):
        label[order[start : start + size]] = number
    return BoardGroups(group=tuple(int(entry) for entry in label), spread_v=ranges[starts[:groups]])


def assign_to_branches(voltage_v: ArrayLike, wire_resistance_ohm: ArrayLike) -> tuple[int, ...]:
    """Return, for each branch, the number of the board that belongs there for the evenest shares.

    Parameters
    ----------
    voltage_v : V, above 0, one-dimensional: boards measured at one current, near the one they will run at
    wire_resistance_ohm : ohm, at least 0, same shape: the branches' wires

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, or a number out of its range

    References
    ----------
    Rearrangement inequality: the board of the lowest voltage on the run of the highest resistance makes the sums of
    both lie closest.

    Examples
    --------
    >>> assign_to_branches([22.4, 22.1, 22.3], [0.05, 0.02, 0.08])
    (2, 0, 1)
    """
    volts = np.atleast_1d(numbers("voltage_v", voltage_v, above=0))
    ohms = np.atleast_1d(numbers("wire_resistance_ohm", wire_resistance_ohm, at_least=0))
    if volts.ndim != 1 or volts.shape != ohms.shape:
        raise ArgumentError("wire_resistance_ohm", ohms.shape, f"one a board, shape {volts.shape}")
    boards, branches = np.argsort(volts, kind="stable"), np.argsort(-ohms, kind="stable")
    chosen = np.empty(volts.size, dtype=int)
    chosen[branches] = boards
    return tuple(int(number) for number in chosen)


def offsets_from_currents(
    curve: BoardCurve,
    current_a: ArrayLike,
    *,
    wire_resistance_ohm: ArrayLike = 0.0,
    temperature_c: ArrayLike | None = None,
) -> FloatArray:
    """Return the voltage offsets of parallel boards that explain their measured currents.

    Parameters
    ----------
    curve : the model's curve
    current_a : A, above 0, one-dimensional: the branch currents, measured together
    wire_resistance_ohm : ohm, at least 0: one for all, or one a branch
    temperature_c : degC: board temperatures at that time, one for all or one a board; None: as at the curve's reference

    Returns
    -------
    V: one a board, their mean 0; negative: the board's own voltage is lower, so it takes more

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not fit, or a number out of its range

    References
    ----------
    Kirchhoff: branches between the same two terminals have the same voltage.

    Examples
    --------
    >>> curve = BoardCurve.from_points([0.1, 0.4, 0.8], [21.1, 22.2, 23.2])
    >>> offsets_from_currents(curve, [0.4, 0.5]).round(3).tolist()
    [0.136, -0.136]
    """
    current = np.atleast_1d(numbers("current_a", current_a, above=0))
    ohms = numbers("wire_resistance_ohm", wire_resistance_ohm, at_least=0)
    if current.ndim != 1 or ohms.shape not in {(), current.shape}:
        raise ArgumentError("wire_resistance_ohm", ohms.shape, f"one number, or one a branch, shape {current.shape}")
    across = curve.voltage(current, temperature_c) + ohms * current
    return np.asarray(np.mean(across) - across)


def _starts(ranges: FloatArray, width: float, size: int) -> list[int]:
    starts, place = [], 0
    while place < ranges.size:
        if ranges[place] <= width:
            starts.append(place)
            place += size
        else:
            place += 1
    return starts
