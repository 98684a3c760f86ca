"""Which setting of the driver's current contains each of several faults: searches that go on side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.parts import CurrentSplit
from ledcalc.circuit.trim import setting_search

__all__ = ["contained_by", "is_running"]

# Where the dial's low end is too low to run at all, so many settings are tried for one at which it does.
SCANNED = 48
# A board with less than this part of what the highest takes counts as dark.
LIT_FRACTION = 1e-3
NOT_RUNNING = ("below window", "switched off", "no load")

# Columns and a setting each -> how far the worst board is used, and whether driver and boards run.
Tried: TypeAlias = Callable[[Sequence[int], Sequence[float]], tuple[FloatArray, NDArray[np.bool_]]]


def is_running(split: CurrentSplit) -> NDArray[np.bool_]:
    """Return where the driver holds one of its limits and every board is lit."""
    lit = split.current_a.min(axis=0) > LIT_FRACTION * split.current_a.max(axis=0)
    return np.asarray(lit & ~np.isin(split.mode, NOT_RUNNING))


def contained_by(
    tried: Tried, present: Mapping[int, tuple[float, float]], dial_a: tuple[float, float]
) -> dict[int, float]:
    """Return for each column the highest setting on the dial at which it runs within its limits; NaN for none.

    ``present``: the setting of each, too much, and how far it uses the worst board.
    """
    low, high = dial_a
    columns = list(present)
    if not columns:
        return {}
    _, runs = tried(columns, [low] * len(columns))
    whole = {n: (low, high) for n, lit in zip(columns, runs, strict=True) if lit}
    parts = {n: _running_part(tried, n, dial_a) for n in columns if n not in whole}
    ranges = whole | {n: part for n, part in parts.items() if part is not None}
    return dict.fromkeys(columns, np.nan) | _searched(tried, present, ranges)


def _running_part(tried: Tried, column: int, dial_a: tuple[float, float]) -> tuple[float, float] | None:
    """Return the highest setting of several at which a column runs within its limits, and the one that follows."""
    settings = np.geomspace(*dial_a, SCANNED)
    used, runs = tried([column] * SCANNED, settings.tolist())
    within = np.flatnonzero(runs & (used <= 1.0))
    if not within.size:
        return None
    return float(settings[within[-1]]), float(settings[min(within[-1] + 1, SCANNED - 1)])


def _searched(
    tried: Tried, present: Mapping[int, tuple[float, float]], ranges: Mapping[int, tuple[float, float]]
) -> dict[int, float]:
    """Return the highest setting in each range; what does not run counts as too much."""
    contained: dict[int, float] = {}
    searches = {n: setting_search(ends, present[n]) for n, ends in ranges.items()}
    settings = {n: next(search) for n, search in searches.items()}
    while settings:
        columns = list(settings)
        used, runs = tried(columns, list(settings.values()))
        for n, fraction in zip(columns, np.where(runs, used, np.inf), strict=True):
            try:
                settings[n] = searches[n].send(float(fraction))
            except StopIteration as end:
                contained[n] = float(end.value)
                del settings[n]
    return contained
