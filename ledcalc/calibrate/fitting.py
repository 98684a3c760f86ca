"""A fixture calibrated by its readings, and readings held against a fixture's prediction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.agreement import agreement, chi_square_of
from ledcalc.calibrate.bench import Bench, bench_of
from ledcalc.calibrate.bench_model import BenchModel
from ledcalc.calibrate.compare import compared
from ledcalc.calibrate.estimates import correlation_of, estimates_of
from ledcalc.calibrate.found import WRITTEN, with_found
from ledcalc.calibrate.instruments import STATED
from ledcalc.calibrate.left_out import left_out_in_turn
from ledcalc.calibrate.outliers import without_outliers
from ledcalc.calibrate.priors import Priors, usual_priors
from ledcalc.calibrate.readings import Readings
from ledcalc.calibrate.results import Calibration, Compared
from ledcalc.calibrate.solve import Solution, solve
from ledcalc.calibrate.unseparated import unseparated_of
from ledcalc.fixture import Fixture

__all__ = ["calibrate", "predicted_against_measured"]

NOT_JUDGED = "no meter of the readings is listed: they are shown, not judged"


def calibrate(
    fixture: Fixture,
    *,
    priors: Priors | None = None,
    canopy: bool = False,
    own_sinks: bool = False,
    surveys: Sequence[str] | None = None,
    leave_out: bool = True,
) -> Calibration:
    """Fit a fixture to its readings: voltages of its boards, heat sinks, light, walls, driver, and its meters' errors.

    Parameters
    ----------
    fixture : with its current and supply logs, its light readings and its meters; not calibrated by them before
    priors : what is known beforehand; None: ``usual_priors()``
    canopy : whether the reflectance of canopy or floor is looked for too
    own_sinks : whether each sink has a resistance of its own
    surveys : names of the light surveys to use; None: all
    leave_out : whether parts of the readings are left out in turn and predicted

    Returns
    -------
    Calibration: values with errors, what could not be told, residuals, and the calibrated fixture

    Raises
    ------
    InputErrors (a ValueError): inputs that contradict each other, or nothing to calibrate by
    NotSettledError: the fixture as it is has no steady state

    Validity
    --------
    Steady state: of the logs, each board's rows are used from where nothing moves any more that its meters can tell.
    Errors hold where meters and priors are as stated. A driver that holds its current leaves what all boards' voltages
    have in common to the voltage readings: without any, the batch stays as known before.

    References
    ----------
    Generalised least squares with priors as pseudo-observations, see ``ledcalc.calibrate.solve``; limits as rectangular
    distributions, JCGM 100:2008 4.3.7.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> found = calibrate(seedling_bench(), leave_out=False)
    >>> found.estimate("resistance of sink Channel 300").told_fraction > 0.5
    True
    """
    known = priors or usual_priors()
    bench = bench_of(fixture, known, canopy=canopy, own_sinks=own_sinks, surveys=surveys)
    solver = partial(_solved, bench.model)
    bench, solution = without_outliers(bench, solver)
    readings, unknowns = bench.rows.means(), bench.unknowns
    state = bench.model.state(solution.values)
    assert state is not None
    after = compared(
        bench.fixture,
        bench.tags,
        readings,
        bench.points,
        bench.model.readings_at(state, readings),
        readings.sigma,
        solution.chi_square,
    )
    parts: list[int] = np.unique(bench.rows.part).tolist() if leave_out else []
    left_out, in_words = left_out_in_turn(bench.model, bench.start, bench.rows, parts, solver, solution.values)
    return Calibration(
        estimates=estimates_of(unknowns, bench.placed, solution),
        correlation=correlation_of(unknowns, bench.placed, solution),
        unseparated=unseparated_of(unknowns, bench.placed, bench.model.instruments, solution.design),
        before=_before(bench, readings),
        after=after,
        left_out=left_out,
        left_out_agreement=in_words,
        fixture=with_found(bench.fixture, unknowns, solution.values, decimals=WRITTEN),
        readings_count=readings.size,
        unknowns_count=len(unknowns.entries),
        assumptions=bench.assumptions,
        notes=(*bench.notes, *_notes(fixture, bench, solution, after)),
    )


def predicted_against_measured(
    fixture: Fixture, *, surveys: Sequence[str] | None = None, stated_meters_only: bool = False
) -> Compared:
    """Hold every reading against what the fixture, as it is, predicts.

    Parameters
    ----------
    fixture : with its readings and meters
    surveys : names of the light surveys to use; None: all
    stated_meters_only : judge by readings of meters that the Meters sheet lists; others are compared, and not judged

    Returns
    -------
    Compared: ``error`` is each meter's whole standard deviation; what a meter repeats in all readings counts once

    Raises
    ------
    as ``calibrate``

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> [entry.kind for entry in predicted_against_measured(seedling_bench()).kinds]
    ['current', 'temperature', 'PPFD']
    """
    bench = bench_of(fixture, usual_priors(), canopy=False, own_sinks=False, surveys=surveys)
    readings = bench.rows.means()
    found = _before(bench, readings)
    if not stated_meters_only:
        return found
    stated = np.array([entry.basis.startswith(STATED) for entry in bench.model.instruments])
    judged = np.flatnonzero(stated[readings.meter])
    if judged.size == readings.size:
        return found
    if not judged.size:
        return replace(found, chi_square=float("nan"), degrees_count=0, agreement=NOT_JUDGED)
    chi_square = _chi_square(bench, readings, judged)
    in_words = agreement(chi_square, judged.size)
    return replace(found, chi_square=chi_square, degrees_count=int(judged.size), agreement=in_words)


def _solved(model: BenchModel, readings: Readings, start: FloatArray | None) -> Solution:
    unknowns = model.unknowns

    def predict(values: FloatArray) -> FloatArray | None:
        state = model.state(values)
        return None if state is None else model.readings_at(state, readings)

    def slopes(values: FloatArray) -> FloatArray:
        state = model.state(values)
        assert state is not None
        return model.slopes_at(state, readings)

    return solve(
        predict,
        slopes,
        readings.value,
        readings.sigma,
        prior=unknowns.prior,
        covariance=unknowns.covariance,
        low=np.array([entry.low for entry in unknowns.entries]),
        high=np.array([entry.high for entry in unknowns.entries]),
        start=start,
    )


def _before(bench: Bench, readings: Readings) -> Compared:
    """Return the readings against the fixture as it was, its meters unsure by what they may repeat."""
    predicted = bench.model.readings_at(bench.start, readings)
    slopes = bench.model.slopes_at(bench.start, readings)
    chi_square = _chi_square(bench, readings, np.arange(readings.size))
    error = bench.model.meter_errors(slopes, readings)
    return compared(bench.fixture, bench.tags, readings, bench.points, predicted, error, chi_square)


def _chi_square(bench: Bench, readings: Readings, judged: NDArray[np.intp]) -> float:
    """Return chi-square of some of the readings against the fixture as it was."""
    off = readings.value - bench.model.readings_at(bench.start, readings)
    meters = bench.unknowns.numbers("meter")
    slopes = bench.model.slopes_at(bench.start, readings)[:, meters]
    covariance = bench.unknowns.covariance[np.ix_(meters, meters)]
    return chi_square_of(off[judged], readings.sigma[judged], slopes[judged], covariance)


def _notes(fixture: Fixture, bench: Bench, solution: Solution, after: Compared) -> list[str]:
    """Return what to know of the result."""
    found = []
    known, wanted = len(after.place), len(bench.unknowns.entries)
    if known < wanted:
        found.append(
            f"{known} reading{'s' if known != 1 else ''} for {wanted} unknowns: what the readings do not tell stays as "
            "it was known before"
        )
    held = [entry.name for entry, is_held in zip(bench.unknowns.entries, solution.at_bound, strict=True) if is_held]
    if held:
        found.append(f"at the limit of what is possible, so that its error says little: {', '.join(held)}")
    if not fixture.positions:
        found.append(
            "the calibrated fixture lists its boards one by one: rows, columns, pitches and rotation of its Fixture "
            "sheet no longer count"
        )
    return found
