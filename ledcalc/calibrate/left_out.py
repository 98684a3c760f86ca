"""Readings predicted without them: a part is left out, the rest calibrates, the part is predicted; each in turn."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.agreement import agreement, chi_square_of
from ledcalc.calibrate.bench_model import BenchModel, State
from ledcalc.calibrate.compare import rms
from ledcalc.calibrate.instruments import APART, KINDS
from ledcalc.calibrate.readings import Readings
from ledcalc.calibrate.results import LeftOut
from ledcalc.calibrate.solve import Solution

__all__ = ["left_out_in_turn"]

Solver = Callable[[Readings, FloatArray], Solution]


def left_out_in_turn(
    model: BenchModel, start: State, rows: Readings, parts: Iterable[int], solver: Solver, found: FloatArray
) -> tuple[tuple[LeftOut, ...], str]:
    """Return how well readings are predicted by calibrations that did not have them, and that in words.

    Parameters
    ----------
    model : predicts
    start : the fixture before any reading
    rows : all settled readings, each with its part
    parts : which are left out, one after the other
    solver : readings, values to start from -> solution
    found : the values that all readings together gave

    References
    ----------
    K-fold cross-validation (Stone 1974, J. R. Stat. Soc. B 36:111-147).
    """
    before, after, spread, kinds = [], [], [], []
    chi_square, degrees = 0.0, 0
    for part in parts:
        others, own = rows.only(rows.part != part).means(), rows.only(rows.part == part).means()
        if not others.size or not own.size:
            continue
        solution = solver(others, found)
        state = model.state(solution.values)
        if state is None:
            continue
        off = own.value - model.readings_at(state, own)
        slopes = model.slopes_at(state, own)
        chi_square += chi_square_of(off, own.sigma, slopes, solution.covariance)
        degrees += own.size
        before.append(own.value - model.readings_at(start, own))
        after.append(off)
        spread.append(model.meter_errors(slopes, own))
        kinds.append(own.kind)
    if not after:
        return (), ""
    first, second, error = np.concatenate(before), np.concatenate(after), np.concatenate(spread)
    kind = np.concatenate(kinds)
    return (
        tuple(_of_kind(name, first, second, error, kind == name) for name in KINDS if (kind == name).any()),
        agreement(chi_square, degrees, what="readings that were left out"),
    )


def _of_kind(kind: str, before: FloatArray, after: FloatArray, error: FloatArray, own: NDArray[np.bool_]) -> LeftOut:
    return LeftOut(
        kind=kind,
        unit=APART[kind],
        readings_count=int(own.sum()),
        rms_before=rms(before[own]),
        rms_after=rms(after[own]),
        rms_normalised_before=rms(before[own] / error[own]),
        rms_normalised_after=rms(after[own] / error[own]),
    )
