"""What a report says of the prediction beside the readings: whether they agree, and by how much they differ."""

from __future__ import annotations

from collections.abc import Collection

from ledcalc.calibrate import Compared, predicted_against_measured
from ledcalc.calibrate.instruments import OUTPUT_KINDS
from ledcalc.errors import InputErrors
from ledcalc.fixture import Fixture
from ledcalc.light_taken import taken_readings
from ledcalc.workbook.results.pages import Block, Lines, Table, col

__all__ = ["against_measured"]

NOT_JUDGED = "no meter listed: shown, not judged"


def against_measured(fixture: Fixture) -> tuple[Block, ...]:
    """Return how well prediction and readings agree, nothing where nothing was read.

    Parameters
    ----------
    fixture : that can be evaluated, with its readings
    """
    if not (fixture.current_log or fixture.supply_log or taken_readings(fixture)):
        return ()
    try:
        found = predicted_against_measured(fixture, stated_meters_only=True)
    except InputErrors as refused:
        return (Lines(lines=tuple(f"{one.sheet}: {one.problem}; {one.remedy}" for one in refused.problems)),)
    judged = f" (chi-square {found.chi_square:.1f} of {found.degrees_count} readings)" if found.degrees_count else ""
    said = f"{found.agreement[:1].upper()}{found.agreement[1:]}{judged}."
    return (Lines(lines=(said,), bold=True), _by_kind(found, {meter.quantity for meter in fixture.meters}))


def _by_kind(found: Compared, listed: Collection[str]) -> Table:
    return Table(
        heading="",
        columns=(
            col("Readings", width=18),
            col("Number", "", 0, 10),
            col("Settled mean less predicted", width=24),
            col("Root mean square", width=24),
            col("In the meters' standard deviations", "", 1, 20),
        ),
        rows=tuple(
            (
                entry.kind,
                entry.readings_count,
                f"{entry.mean_difference:+.2g} {entry.unit}",
                f"{entry.rms_difference:.2g} {entry.unit}",
                entry.rms_normalised if OUTPUT_KINDS.get(entry.kind, entry.kind) in listed else NOT_JUDGED,
            )
            for entry in found.kinds
        ),
    )
