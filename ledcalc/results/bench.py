"""Boards as they were measured: on arrival and in the log."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import FloatArray

__all__ = ["LoggedBoards", "Selection"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedBoards:
    """The latest logged current of each board that has one, against prediction and rating."""

    tag: tuple[str, ...]
    elapsed_h: FloatArray
    current_a: FloatArray
    half_width_a: FloatArray
    share_fraction: FloatArray
    predicted_current_a: FloatArray
    rated_current_a: FloatArray
    temperature_c: FloatArray
    against_rating: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection:
    """Boards as they arrived, an entry each, and where each belongs for the evenest shares.

    ``place``: tag of the board on the fixture that it becomes, empty for one left over. ``expected_current_a``: what it
    would take there, NaN for one left over; ``as_listed_a`` what boards put up in the order of the list would take.
    """

    tag: tuple[str, ...]
    model: tuple[str, ...]
    test_current_a: FloatArray
    voltage_v: FloatArray
    offset_v: FloatArray
    place: tuple[str, ...]
    expected_current_a: FloatArray
    as_listed_a: FloatArray
