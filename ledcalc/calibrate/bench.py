"""A fixture and its readings made ready: what is looked for, what predicts, what may be used, what had to be said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.calibrate.bench_model import BenchModel, State
from ledcalc.calibrate.board_state import boards_at
from ledcalc.calibrate.found import in_air, listed, with_own_sinks
from ledcalc.calibrate.instruments import STATED
from ledcalc.calibrate.light_factors import light_factors, surfaces_that_count
from ledcalc.calibrate.priors import Priors
from ledcalc.calibrate.readings import LightPoints, Readings
from ledcalc.calibrate.sift import sifted_of, usable_light_rows
from ledcalc.calibrate.survey_conditions import as_taken
from ledcalc.calibrate.taken import Taken, taken_of
from ledcalc.calibrate.unknowns import Unknowns, unknowns_of
from ledcalc.errors import CellProblem, InputErrors
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.evaluate import check_fixture
from ledcalc.evaluation.parts import PlacedBoard, boards_on, driver_model
from ledcalc.fixture import Fixture
from ledcalc.schema import sheet

__all__ = ["Bench", "bench_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bench:
    """``fixture``: as given, its boards listed; ``rows``: the readings that may be used; ``start``: the fixture before
    them, as ``model`` has it; ``assumptions`` and ``notes``: what was taken for granted, and what to know."""

    fixture: Fixture
    placed: tuple[PlacedBoard, ...]
    model: BenchModel
    rows: Readings
    points: LightPoints
    start: State
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def tags(self) -> tuple[str, ...]:
        """Tags of the boards."""
        return tuple(board.place.tag for board in self.placed)

    @property
    def unknowns(self) -> Unknowns:
        """What is looked for."""
        return self.model.unknowns


def bench_of(
    fixture: Fixture, priors: Priors, *, canopy: bool, own_sinks: bool, surveys: Sequence[str] | None
) -> Bench:
    """Return the bench.

    Raises
    ------
    InputErrors (a ValueError): inputs that contradict each other, or nothing was read
    NotSettledError: the fixture as it is has no steady state
    """
    check_fixture(fixture)
    whole = listed(fixture)
    whole = with_own_sinks(whole) if own_sinks else whole
    placed, driver = boards_on(whole), driver_model(whole)
    settled = settle(whole, placed, driver)
    light_rows, outside = usable_light_rows(whole, placed, surveys)
    light_rows, otherwise = as_taken(whole, settled, light_rows)
    tags = [board.place.tag for board in placed]
    taken = taken_of(whole, tags, priors.repeating_fraction, light_rows, boards_at(placed, settled))
    warm = in_air(whole, taken.air_c)
    settled = settled if warm is whole else settle(warm, placed, driver)
    surfaces = surfaces_that_count(warm, placed, taken.points, canopy=canopy)
    plain = BenchModel(
        fixture=warm,
        unknowns=Unknowns(entries=(), covariance=np.zeros((0, 0))),
        instruments=taken.instruments,
        light=light_factors(warm, placed, taken.points, surfaces),
    )
    start = State(values=np.empty(0), fixture=warm, settled=settled, boards=boards_at(placed, settled))
    rows, sifted = sifted_of(plain, start, taken)
    notes = (*taken.notes, *outside, *otherwise, *sifted)
    if not rows.size:
        raise _nothing_read(fixture, notes)
    unknowns = unknowns_of(
        warm, placed, driver, settled, replace(taken, readings=rows), priors, surfaces=surfaces, own_sinks=own_sinks
    )
    start = replace(start, values=unknowns.prior)
    return Bench(
        fixture=whole,
        placed=placed,
        model=replace(plain, unknowns=unknowns, last=start),
        rows=rows,
        points=taken.points,
        start=start,
        assumptions=_assumptions(fixture, taken, rows),
        notes=notes,
    )


def _nothing_read(fixture: Fixture, notes: Sequence[str]) -> InputErrors:
    """Return the refusal of a fixture that was never measured, or of whose readings none can be used."""
    why = f" ({'; '.join(notes)})" if notes else ""
    problems = [
        CellProblem(
            sheet=sheet(key).title,
            cell="",
            field="",
            value="",
            problem=f"no readings to calibrate by{why}",
            allowed="currents, voltages or temperatures of boards, or light readings",
            remedy=remedy,
        )
        for key, remedy in (
            ("current_log", "log each board's current once the fixture is warm"),
            ("light_readings", "read the light at points over the crop"),
        )
    ]
    return InputErrors(fixture.origin.file if fixture.origin else fixture.name, problems)


def _assumptions(fixture: Fixture, taken: Taken, rows: Readings) -> tuple[str, ...]:
    """Return what was taken for granted."""
    found = [
        f"accuracy of {entry.name}: {entry.basis}"
        for number, entry in enumerate(taken.instruments)
        if (rows.meter == number).any() and entry.basis != STATED
    ]
    kinds = set(rows.kind)
    if kinds - {"PPFD"}:
        air = "the air that was read beside the log" if np.isfinite(taken.air_c) else "the site's air temperature"
        found.append(f"boards and sinks are predicted for {air}")
    if "PPFD" in kinds:
        found.append("light was read with the driver set as the Fixture sheet says, and everything warm")
    used = any(place.offset_v for place in fixture.positions) or any(
        model.flux_fraction != 1.0 for model in fixture.boards
    )
    if used:
        found.append(
            "the inputs hold offsets or light found before: if these came from the same readings, they count twice; "
            "calibrate the workbook as it was before"
        )
    return tuple(found)
