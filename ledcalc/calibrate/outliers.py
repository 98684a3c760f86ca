"""Readings that stand far off all others once these are fitted: told, and left out one by one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.bench import Bench
from ledcalc.calibrate.compare import place_of
from ledcalc.calibrate.instruments import UNITS
from ledcalc.calibrate.readings import Readings
from ledcalc.calibrate.solve import Solution

__all__ = ["without_outliers"]

# So many standard deviations off a reading is not chance: by normal errors once in two million. Where its kind scatters
# more than the meter should, so many of the scatter.
FAR_OFF = 5.0
# The median of absolute normal errors is this part of their standard deviation.
MEDIAN_OVER_SIGMA = 0.6745
# Of fewer readings of a kind none is left out, and of more at most this part.
FEW, MOST_PART = 4, 0.1

Solver = Callable[[Readings, FloatArray | None], Solution]


def without_outliers(bench: Bench, solver: Solver) -> tuple[Bench, Solution]:
    """Return the bench without readings that stand far off the others, which its notes tell, and its solution.

    Parameters
    ----------
    bench : made ready
    solver : readings, values to start from or None -> solution

    References
    ----------
    The median absolute deviation as scale (Hampel 1974, J. Am. Stat. Assoc. 69:383-393).
    """
    notes, left_out = list(bench.notes), dict[str, int]()
    solution = solver(bench.rows.means(), None)
    while True:
        readings = bench.rows.means()
        state = bench.model.state(solution.values)
        assert state is not None
        off = np.abs(readings.value - bench.model.readings_at(state, readings)) / readings.sigma
        score = np.zeros(readings.size)
        for kind in set(readings.kind.tolist()):
            own = readings.kind == kind
            gone = left_out.get(kind, 0)
            if own.sum() >= FEW and gone < max(1, MOST_PART * (own.sum() + gone)):
                score[own] = off[own] / max(1.0, float(np.median(off[own])) / MEDIAN_OVER_SIGMA)
        worst = int(np.argmax(score))
        if score[worst] < FAR_OFF:
            return replace(bench, notes=tuple(notes)), solution
        kind = str(readings.kind[worst])
        left_out[kind] = left_out.get(kind, 0) + 1
        place = place_of(bench.tags, readings, bench.points, worst)
        notes.append(
            f"{place}: {kind} {readings.value[worst]:.4g} {UNITS[kind]} is {off[worst]:.0f} standard deviations off "
            "all the others: left out; read it again"
        )
        bench = replace(bench, rows=bench.rows.only(~_same(bench.rows, readings, worst)))
        solution = solver(bench.rows.means(), solution.values)


def _same(rows: Readings, readings: Readings, number: int) -> NDArray[np.bool_]:
    """Return which rows a mean was taken of."""
    return np.asarray(
        (rows.kind == readings.kind[number])
        & (rows.board == readings.board[number])
        & (rows.point == readings.point[number])
        & (rows.meter == readings.meter[number])
    )
