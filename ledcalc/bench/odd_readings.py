"""Readings of a map that look odd before anything is fitted: one place read twice, lines of one figure, the dark."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench.sensors import QuantumSensor

__all__ = ["MapNote", "odd_readings"]

PLACE_TOLERANCE_M = 1e-3
# Two readings of one place that lie further apart than this many standard deviations of their difference disagree.
DISAGREE = 3.0
FEWEST_IN_A_LINE = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class MapNote:
    """Something about readings as they were given: where, and what to do about it.

    ``kind`` is "gap", "outside", "twice", "disagree", "dark" or "constant".
    """

    kind: str
    place: str
    text: str


def odd_readings(
    x_m: FloatArray, y_m: FloatArray, ppfd: FloatArray, places: Sequence[str], sensor: QuantumSensor | None
) -> Iterator[MapNote]:
    """Yield a note on each place read more than once, each dark reading, and each line of one and the same figure."""
    noise = (sensor or QuantumSensor()).errors(ppfd).noise_umol_m2_s
    for together in _groups(np.column_stack([x_m, y_m])):
        values, names = ppfd[together], ", ".join(places[k] for k in together)
        spread = float(np.ptp(values))
        limit = DISAGREE * np.sqrt(2.0) * float(noise[together].max())
        said = " and ".join(f"{value:g}" for value in values.tolist())
        if spread > limit:
            remedy = "read it again and keep the right one; all are used and share its weight"
            yield MapNote(kind="disagree", place=names, text=f"one place with {said}, over {limit:.2g} apart: {remedy}")
        else:
            yield MapNote(kind="twice", place=names, text=f"one place with {said}: they share its weight")
    for k in np.flatnonzero(ppfd == 0).tolist():
        yield MapNote(kind="dark", place=places[k], text="reads 0: a place in the dark, or a capped sensor")
    yield from _constant(x_m, y_m, ppfd, places)


def _constant(x: FloatArray, y: FloatArray, ppfd: FloatArray, places: Sequence[str]) -> Iterator[MapNote]:
    remedy = "a sensor that did not respond, or cells filled down?"
    if ppfd.size >= FEWEST_IN_A_LINE and np.ptp(ppfd) == 0:
        text = f"all {ppfd.size} readings are {ppfd[0]:g}: {remedy}"
        yield MapNote(kind="constant", place=f"{places[0]} to {places[-1]}", text=text)
        return
    for name, line in (("x", x), ("y", y)):
        for together in _groups(line[:, None]):
            if len(together) >= FEWEST_IN_A_LINE and np.ptp(ppfd[together]) == 0:
                where = f"{places[together[0]]} to {places[together[-1]]}"
                text = f"all {len(together)} readings at {name} = {line[together[0]]:g} m are {ppfd[together[0]]:g}"
                yield MapNote(kind="constant", place=where, text=f"{text}: {remedy}")


def _groups(coordinates: FloatArray) -> list[list[int]]:
    """Return the rows that lie at one place, for each place with more than one."""
    rounded = np.round(coordinates / PLACE_TOLERANCE_M)
    groups: dict[tuple[float, ...], list[int]] = {}
    for number, row in enumerate(rounded.tolist()):
        groups.setdefault(tuple(row), []).append(number)
    return [group for group in groups.values() if len(group) > 1]
