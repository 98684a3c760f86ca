"""From a filled workbook or CSV folder to a Fixture, or to the list of every bad cell."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from ledcalc.checks import trade_problems
from ledcalc.errors import CellProblem, FileProblem, InputErrors
from ledcalc.fixture import Fixture, Origin
from ledcalc.records import fixture_from_records
from ledcalc.schema import RecordProblem, Sheet, Value, names_as_listed, record_problems, sheet, sheets
from ledcalc.variants import Variant
from ledcalc.workbook.cells import CellReader
from ledcalc.workbook.grid import NOT_READ, Book, Grid, sheet_place
from ledcalc.workbook.layout import MOST_GUESSES, data_rows, find_header, form_row, input_key, plain
from ledcalc.workbook.package import RESULT_MARK
from ledcalc.workbook.variant_rows import variants_in

__all__ = ["ReadInputs", "fixture_of", "inputs_in", "read_inputs", "read_variants", "read_workbook"]


# After so many bad cells something else is wrong than cells.
MOST_PROBLEMS = 20_000
# A log of 100,000 rows has 800,000; more take more memory than a bench's computer has to spare.
MOST_RECORD_CELLS = 1_500_000
TOO_MANY = "mend the bad cells before it first"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadInputs:
    """What was read: records in canonical units, variants, every problem, and where things stand.

    ``has_unread``: cells could not be read, so that what rests on them was not checked.
    """

    records: dict[str, list[dict[str, Value | None]]]
    variants: tuple[Variant, ...]
    problems: tuple[CellProblem, ...]
    origin: Origin
    has_unread: bool


def read_workbook(path: str | os.PathLike[str], *, formulas_first: bool = False) -> Fixture:
    """Read a filled workbook or a folder of CSV files.

    Parameters
    ----------
    path : .xlsx or .xlsm workbook, or a folder with one CSV file a sheet; opened for reading only
    formulas_first : have LibreOffice work formulas out, on a copy, in place of the values that the file holds for them

    Returns
    -------
    Fixture, with the map from its fields to the file's cells

    Raises
    ------
    InputErrors (a ValueError): every bad cell of one pass, each with sheet, cell, value, what is allowed
    FileProblem: no such file, not a workbook, locked, encrypted, damaged; formulas first, but LibreOffice is missing,
        too slow, or made nothing of it

    Examples
    --------
    >>> read_workbook("nothing.xlsx")
    Traceback (most recent call last):
    ...
    ledcalc.errors.FileProblem: nothing.xlsx: there is no such file or folder
    """
    return fixture_of(read_inputs(path, formulas_first=formulas_first))


def fixture_of(inputs: ReadInputs) -> Fixture:
    """Return the fixture of inputs that were read.

    Raises
    ------
    InputErrors (a ValueError): there were bad cells
    """
    if inputs.problems:
        raise InputErrors(inputs.origin.file, inputs.problems, has_unread=inputs.has_unread)
    return fixture_from_records(inputs.records, origin=inputs.origin)


def read_variants(path: str | os.PathLike[str]) -> list[Variant]:
    """Read the Variants sheet; a row that cannot be used carries its reason and never stops the rest.

    Raises
    ------
    FileProblem: as ``read_workbook``
    """
    return list(read_inputs(path).variants)


def read_inputs(path: str | os.PathLike[str], *, formulas_first: bool = False) -> ReadInputs:
    """Read inputs without building a fixture: what was understood, and every problem.

    Raises
    ------
    FileProblem: as ``read_workbook``
    """
    return inputs_in(_book(Path(path), formulas_first))


def inputs_in(book: Book) -> ReadInputs:
    """Return the inputs of a workbook's cells: what was understood, and every problem."""
    grids, problems, notes = _by_key(book)
    reader = CellReader()
    records: dict[str, list[dict[str, Value | None]]] = {}
    for part in sheets():
        if part.key == "variants":
            continue
        if part.key in grids:
            records[part.key] = _read_sheet(grids[part.key], part, reader)
        elif part.required:
            problems.append(
                _sheet_problem(
                    part, "this sheet is missing", "add it, or rename the one that holds it; a blank workbook has it"
                )
            )
        if part.required and not records.get(part.key):
            # Whatever rests on an empty sheet would only repeat that it is empty.
            reader.bad_fields |= {field.path for field in part.fields}
    problems += reader.problems
    for key, row, name, listed in list(names_as_listed(records)):
        records[key][row][name] = listed
    problems += _across_cells(records, reader, {key: grid.title for key, grid in grids.items()})
    origin = Origin(
        file=book.name,
        sha256=book.sha256,
        cells=reader.cells,
        assumed=tuple(reader.assumed),
        notes=(*notes, *reader.notes),
    )
    variants = tuple(variants_in(grids["variants"])) if "variants" in grids else ()
    return ReadInputs(
        records=records, variants=variants, problems=tuple(problems), origin=origin, has_unread=bool(reader.bad_paths)
    )


def _book(path: Path, formulas_first: bool) -> Book:
    # What unpacks files is loaded with the first file.
    from ledcalc.workbook.csv_folder import read_csv_folder
    from ledcalc.workbook.xlsx_read import read_xlsx

    try:
        is_folder, is_there = path.is_dir(), path.exists()
    except OSError as problem:
        raise FileProblem(f"{path}: cannot be read ({problem.strerror or problem})") from None
    if is_folder:
        if formulas_first:
            raise FileProblem(
                f"{path}: CSV files hold no formulas to be worked out first; run without --formulas-first"
            )
        return read_csv_folder(path)
    if is_there and path.suffix.lower() not in {".xlsx", ".xlsm"}:
        raise FileProblem(f"{path}: is neither an .xlsx or .xlsm workbook nor a folder of CSV files")
    if formulas_first:
        from ledcalc.workbook.formulas_first import worked_out

        return worked_out(path)
    return read_xlsx(path)


def _by_key(book: Book) -> tuple[dict[str, Grid], list[CellProblem], list[str]]:
    grids: dict[str, Grid] = {}
    problems: list[CellProblem] = []
    unread = []
    for grid in book.grids:
        key = input_key(grid.title)
        if grid.title.endswith(RESULT_MARK):
            continue
        if key is None:
            unread.append(grid)
        elif key in grids:
            problems.append(_sheet_problem(sheet(key), "this sheet stands twice", "keep one of the two"))
        elif grid.rows or sheet(key).required:
            grids[key] = grid
    notes = []
    missing = [part.title for part in sheets() if part.key not in grids]
    for number, grid in enumerate(unread):
        near = get_close_matches(grid.title, missing, n=1, cutoff=0.7) if number < MOST_GUESSES else []
        if near:
            problems.append(
                CellProblem(
                    sheet=grid.title,
                    cell="",
                    field="",
                    value="",
                    problem="unknown sheet",
                    remedy=f"rename it to {near[0]}; a sheet of your own: to something less alike",
                )
            )
        elif plain(grid.title) not in NOT_READ:
            notes.append(f"sheet {grid.title!r} is none of the input sheets and was not read")
    return grids, problems, notes


def _read_sheet(grid: Grid, part: Sheet, reader: CellReader) -> list[dict[str, Value | None]]:
    if part.shape == "form":
        row = form_row(grid, part, reader.problems)
        return [] if row is None else [reader.record(grid.title, part, part.key, row)]
    if not grid.rows:
        reader.problems.append(_sheet_problem(part, "this sheet is empty", "fill it in"))
        return []
    header = find_header(grid, part, reader.problems)
    if header is None:
        return []
    missing = [field for field in part.fields if field.required and field.name not in header.columns.values()]
    is_filled = next(data_rows(grid, header), None) is not None
    if is_filled or part.required:
        reader.problems += [
            CellProblem(
                sheet=grid.title,
                cell="",
                field=field.label,
                path=field.path,
                value="",
                problem="this column is missing",
                allowed=field.allowed,
            )
            for field in missing
        ]
    if not is_filled and part.required and not missing:
        reader.problems.append(_sheet_problem(part, "no row is filled in", part.help))
    absent = {field.name for field in missing}
    records = []
    # One row after the other: those of a long log all at once would take most of the memory.
    for number, row in enumerate(data_rows(grid, header)):
        if number * len(part.fields) > MOST_RECORD_CELLS:
            reader.problems.append(_sheet_problem(part, f"more than {number:,} rows", "keep those that are needed"))
            break
        if len(reader.problems) > MOST_PROBLEMS:
            reader.problems.append(_sheet_problem(part, f"not read after row {number} of the table", TOO_MANY))
            break
        records.append(reader.record(grid.title, part, f"{part.key}[{number}]", row, absent))
    return records


def _across_cells(
    records: dict[str, list[dict[str, Value | None]]], reader: CellReader, titles: dict[str, str]
) -> list[CellProblem]:
    """Return contradictions between cells, less those that only follow from a cell already reported."""
    found: Sequence[RecordProblem] = [*record_problems(records), *trade_problems(records)][:MOST_PROBLEMS]
    problems: list[CellProblem] = []
    lacking: dict[str, list[CellProblem]] = {}
    for problem in found:
        part = sheet(problem.sheet)
        path = f"{part.key}.{problem.field}" if part.shape == "form" else f"{part.key}[{problem.row}].{problem.field}"
        if path in reader.bad_paths or not reader.bad_fields.isdisjoint(problem.rests_on):
            continue
        place = reader.cells.get(path, "")
        value = (
            records[part.key][problem.row].get(problem.field) if problem.row >= 0 and records.get(part.key) else None
        )
        of_it = lacking.setdefault(problem.lacking, []) if problem.lacking else problems
        of_it.append(
            CellProblem(
                sheet=titles.get(part.key, part.title),
                cell=place.removeprefix(sheet_place(titles.get(part.key, part.title), "")),
                field=part.field(problem.field).label,
                path=part.field(problem.field).path,
                value="" if value is None else f"{value:g}" if isinstance(value, float) else str(value),
                problem=problem.problem,
                allowed=problem.allowed,
                remedy=problem.remedy,
            )
        )
    said = {plain(problem.sheet) for problem in reader.problems}
    return problems + [_lacking(title, asking) for title, asking in lacking.items() if plain(title) not in said]


def _lacking(title: str, asking: Sequence[CellProblem]) -> CellProblem:
    """Return one line for a sheet that holds nothing, whatever the number of cells that refer to it."""
    first, others = asking[0], len(asking) - 1
    place = sheet_place(first.sheet, first.cell) if first.cell else first.sheet
    more = f", and so do {others} more cells" if others > 1 else ", and so does one more cell" if others else ""
    remedy = f"fill it in, or blank what refers to it: {place} ({first.field}) says {first.value}{more}"
    words = "this sheet is missing or empty"
    return CellProblem(sheet=title, cell="", field="", value="", problem=words, remedy=remedy)


def _sheet_problem(part: Sheet, problem: str, remedy: str) -> CellProblem:
    return CellProblem(sheet=part.title, cell="", field="", value="", problem=problem, remedy=remedy)
