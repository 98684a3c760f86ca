"""Slips of the pen: readings out of all proportion to the others of their kind. Told and left out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.instruments import OUTPUT_KINDS, UNITS
from ledcalc.calibrate.readings import Readings

__all__ = ["without_slips"]

# A reading that is so many times as far from its prediction as the others of its kind is a slip: 85 among 850.
TIMES = 2.0
# Kinds that are off their prediction together.
ALIKE = (("current", "whole current"), ("voltage", "output voltage"), ("PPFD",))


def without_slips(
    readings: Readings, predicted: FloatArray, places: Sequence[str] = ()
) -> tuple[Readings, tuple[str, ...]]:
    """Return the readings without slips, and what to say of these.

    Parameters
    ----------
    readings : of any kinds; temperatures are not judged, for their zero is arbitrary
    predicted : for each of them, by the fixture as it is thought to be
    places : where the PPFD of each point stands among the inputs
    """
    slips = np.zeros(readings.size, dtype=bool)
    for kinds in ALIKE:
        own = np.flatnonzero(np.isin(readings.kind, kinds) & (predicted > 0))
        ratio = readings.value[own] / predicted[own]
        middle = np.median(ratio) if own.size else 0.0
        if middle > 0:
            slips[own] = (ratio > TIMES * middle) | (ratio < middle / TIMES)
    return readings.only(~slips), tuple(_told(readings, int(number), places) for number in np.flatnonzero(slips))


def _told(readings: Readings, number: int, places: Sequence[str]) -> str:
    kind = str(readings.kind[number])
    title = "Supply log" if kind in OUTPUT_KINDS else "Current log"
    place = places[readings.point[number]] if kind == "PPFD" else f"{title}, row {readings.row[number] + 1}"
    return (
        f"{place}: {kind} {readings.value[number]:.4g} {UNITS[kind]} is out of all "
        "proportion to the others: left out; look for a slip of the pen, a reversed clamp, a dark board"
    )
