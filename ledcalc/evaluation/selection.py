"""Boards as they arrived: which of them to take, on which branch each, and what that is worth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import assign_to_branches, match_boards
from ledcalc.circuit.changed import with_offsets
from ledcalc.circuit.split import current_split
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture, IncomingBoard
from ledcalc.results import Selection

__all__ = ["selection_of"]


def selection_of(fixture: Fixture, placed: Sequence[PlacedBoard], settled: Settled) -> Selection | None:
    """Return where each incoming board belongs; None where none is listed.

    Of each model the boards nearest in voltage are taken, and of these the lowest goes where most voltage is lost on
    the way. A model with fewer boards listed than the fixture takes is filled up with boards as by its curve.
    """
    listed = fixture.incoming_boards
    if not listed:
        return None
    places: dict[int, int] = {}
    in_order: dict[int, int] = {}
    offsets = np.array([_off_the_mean(board, listed) for board in listed])
    for model in dict.fromkeys(board.board for board in listed):
        own = [number for number, board in enumerate(listed) if board.board == model]
        wanted = [number for number, board in enumerate(placed) if board.model.tag == model]
        in_order.update(zip(own, wanted, strict=False))
        places.update(_matched(own, wanted, np.array([listed[n].voltage_v for n in own]), _way_ohms(settled)))
    expected, as_listed = (_currents(settled, given, offsets) for given in (places, in_order))
    tags = [board.place.tag for board in placed]
    return Selection(
        tag=tuple(board.tag for board in listed),
        model=tuple(board.board for board in listed),
        test_current_a=np.array([board.test_current_a for board in listed]),
        voltage_v=np.array([board.voltage_v for board in listed]),
        offset_v=offsets,
        place=tuple(tags[places[n]] if n in places else "" for n in range(len(listed))),
        expected_current_a=_of_listed(places, expected, len(listed)),
        as_listed_a=_of_listed(in_order, as_listed, len(listed)),
    )


def _off_the_mean(board: IncomingBoard, listed: Sequence[IncomingBoard]) -> float:
    """Return how much a board lies above the mean of its model's: at what temperature they were measured cancels."""
    off = board.voltage_v - float(np.mean([other.voltage_v for other in listed if other.board == board.board]))
    return round(off, 9)


def _matched(own: Sequence[int], wanted: Sequence[int], voltage_v: FloatArray, way_ohm: FloatArray) -> dict[int, int]:
    """Return incoming number -> place number for one model."""
    if not wanted:
        return {}
    taken, branches = list(own), list(wanted)
    if len(own) > len(wanted):
        group = match_boards(voltage_v, 1, len(wanted)).group
        taken = [number for number, label in zip(own, group, strict=True) if label == 0]
    branches = branches[: len(taken)]
    volts = np.array([voltage_v[own.index(number)] for number in taken])
    chosen = assign_to_branches(volts, np.maximum(way_ohm[branches], 0.0))
    return {taken[board]: branch for branch, board in zip(branches, chosen, strict=True)}


def _way_ohms(settled: Settled) -> FloatArray:
    """Return the ohms that stand for the way to each board: volts lost on it over the board's current."""
    split = settled.split
    lost = float(split.driver_voltage_v) - split.voltage_v
    return np.asarray(lost / np.maximum(split.current_a, 1e-9))


def _currents(settled: Settled, places: dict[int, int], offset_v: FloatArray) -> FloatArray:
    """Return every place's current with the incoming boards put in."""
    added = np.zeros(len(settled.circuit.boards))
    for number, place in places.items():
        added[place] = offset_v[number] - settled.circuit.boards[place].offset_v
    currents = np.zeros(added.size)
    for part in settled.circuit.parts():
        changed = with_offsets(part.circuit.as_network(), added[list(part.boards)].tolist())
        currents[list(part.boards)] = current_split(changed, driver=settled.driver, ambient_c=settled.air_c).current_a
    return currents


def _of_listed(places: dict[int, int], current_a: FloatArray, count: int) -> FloatArray:
    return np.array([float(current_a[places[n]]) if n in places else np.nan for n in range(count)])
