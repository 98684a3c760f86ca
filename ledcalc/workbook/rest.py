"""What can still be worked out where some cells are bad: the rest of the inputs, each stand-in said."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from ledcalc.checks import trade_problems
from ledcalc.fixture import Fixture
from ledcalc.records import fixture_from_records
from ledcalc.schema import RecordProblem, Value, limit_problems, record_problems, sheet, sheets
from ledcalc.workbook.layout import plain
from ledcalc.workbook.reader import ReadInputs

__all__ = ["LEFT_OUT", "rest_of"]

# How the notes of such a fixture start; the first page of the results shows them before all else.
LEFT_OUT = "Left out: "
MOST_PASSES = 6
# A table without one of its rows would be another table: these are left out whole.
WHOLE_ONLY = ("beams", "spectra")
# Where one of these is bad, so are the places of a block's other rows: the sheet is left out whole.
PLACES_OF_BLOCKS = ("survey", "height_m", "taken_on", "y_m", "first_x_m", "step_m")
Rows = dict[str, list[dict[str, Value | None]]]


def rest_of(inputs: ReadInputs) -> Fixture | None:
    """Return a fixture without the bad cells; None where they are ones that nothing can be worked out without.

    A bad cell that may be blank is left blank; a row of an optional sheet that lacks what it must have is left out; a
    cable's missing figure is taken as most other cables have it. ``origin.notes`` say each.
    """
    records: Rows = {key: [dict(row) for row in rows] for key, rows in inputs.records.items()}
    notes = [f"{LEFT_OUT}{problem}" for problem in inputs.problems]
    if _blocks_displaced(inputs):
        notes.append(f"{LEFT_OUT}the {sheet('light_grids').title} sheet, whose readings' places that leaves unknown")
        records["light_grids"] = []
    for _ in range(MOST_PASSES):
        said = _completed(records)
        if said is None:
            return None
        notes += said
        problems = [*limit_problems(records), *record_problems(records), *trade_problems(records)]
        if not problems:
            origin = replace(inputs.origin, notes=(*notes, *inputs.origin.notes))
            return fixture_from_records(records, origin=origin)
        if not all(_blanked(records, problem) for problem in problems):
            return None
    return None


def _blocks_displaced(inputs: ReadInputs) -> bool:
    grids = sheet("light_grids")
    labels = {grids.field(name).label for name in PLACES_OF_BLOCKS}
    names = {plain(grids.title), grids.key}
    return any(plain(problem.sheet) in names and problem.field in labels for problem in inputs.problems)


def _completed(records: Rows) -> list[str] | None:
    """Drop or fill rows that lack a required cell; return what was done, None where that is not possible."""
    said: list[str] = []
    for part in sheets():
        required = [field.name for field in part.fields if field.required]
        rows = records.get(part.key, [])
        lacking = [row for row in rows if any(row.get(name) is None for name in required)]
        if part.required and not rows and part.shape == "form":
            return None
        if not lacking:
            continue
        if not part.required or part.key == "board_points":
            records[part.key] = [row for row in rows if row not in lacking]
            said.append(f"{LEFT_OUT}{len(lacking)} of {len(rows)} rows of the {part.title} sheet")
        elif part.key == "cables":
            filled = _filled_like_others(rows, lacking, required)
            if filled is None:
                return None
            said += filled
        else:
            return None
    return said


def _filled_like_others(
    rows: list[dict[str, Value | None]], lacking: list[dict[str, Value | None]], required: list[str]
) -> list[str] | None:
    said = []
    for row in lacking:
        for name in required:
            if row.get(name) is not None:
                continue
            others = Counter(other[name] for other in rows if other.get(name) is not None)
            if name in {"tag", "to_node"} or not others:
                return None
            row[name] = others.most_common(1)[0][0]
            label = sheet("cables").field(name).label.lower()
            said.append(f"{LEFT_OUT}{label} of cable {row.get('tag')}, taken as {row[name]} so that the rest computes")
    return said


def _blanked(records: Rows, problem: RecordProblem) -> bool:
    """Blank the cell that a contradiction is said at, of a beam or spectrum all its tags; whether that was possible."""
    rows, field = records.get(problem.sheet, []), sheet(problem.sheet).field(problem.field)
    if problem.sheet in WHOLE_ONLY and 0 <= problem.row < len(rows):
        tag = rows[problem.row].get("tag")
        for row in rows:
            row["tag"] = None if row.get("tag") == tag else row.get("tag")
        return True
    if not 0 <= problem.row < len(rows) or rows[problem.row].get(problem.field) is None:
        return False
    if field.required and sheet(problem.sheet).required and problem.sheet not in {"cables", "board_points"}:
        return False
    rows[problem.row][problem.field] = None
    return True
