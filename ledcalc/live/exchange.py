"""What an open workbook hands over and gets back, as plain data that any process can pass on."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NotRequired, Protocol, TypedDict

from ledcalc.errors import LedcalcError
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.findings import count_by_severity
from ledcalc.results import Evaluation
from ledcalc.workbook.grid import Book, Cell, Grid
from ledcalc.workbook.reader import ReadInputs, fixture_of, inputs_in
from ledcalc.workbook.recalculate import variant_rows
from ledcalc.workbook.rest import rest_of
from ledcalc.workbook.results.host import sheets_for_host
from ledcalc.workbook.xlsx_read import filled_cell

__all__ = ["Answer", "FoundBook", "FoundSheet", "OpenBook", "answer_for", "recalculate_open"]

MOST_PROBLEMS_SAID = 8


class FoundSheet(TypedDict):
    """One sheet from A1 to its last filled cell.

    ``values``: rows of numbers, texts, dates or None; ``formulas``: (row, column, text), both from 0; ``errors`` and
    ``percentages``: (first row, first column, last row, last column) of cells that show an error, or are formatted
    as percentages.
    """

    title: str
    values: Sequence[Sequence[Any]]
    formulas: Sequence[tuple[int, int, str]]
    errors: Sequence[tuple[int, int, int, int]]
    percentages: Sequence[tuple[int, int, int, int]]


class FoundBook(TypedDict):
    """The sheets of an open workbook, earlier result sheets left out.

    ``titles``: what the user calls those, by the titles of their pages; an older add-in does not say.
    """

    name: str
    titles: NotRequired[Mapping[str, str]]
    sheets: Sequence[FoundSheet]


class Answer(TypedDict):
    """What came of it: a workbook of result sheets to be put in, none where nothing could be worked out; and a line
    for the user."""

    file: str
    message: str


class OpenBook(Protocol):
    """A workbook that is open in a spreadsheet."""

    def read(self) -> FoundBook:
        """Return all cells, read in bulk."""

    def show(self, answer: Answer) -> None:
        """Put result sheets in place of earlier ones; formulas of the user's that read them go on reading them."""


def recalculate_open(book: OpenBook, folder: Path) -> Answer:
    """Recalculate an open workbook: read its cells, evaluate them, put the result sheets into it.

    Parameters
    ----------
    book : the open workbook
    folder : where a workbook of result sheets may be written for the spreadsheet to take them from

    Returns
    -------
    Answer, as it was shown
    """
    answer = answer_for(book.read(), folder)
    book.show(answer)
    return answer


def answer_for(found: FoundBook, folder: Path) -> Answer:
    """Evaluate the cells of an open workbook; whatever is wrong with them is said in the answer.

    Parameters
    ----------
    found : its cells
    folder : where the workbook of result sheets is written
    """
    inputs = inputs_in(_book(found))
    try:
        fixture = rest_of(inputs) if inputs.problems else fixture_of(inputs)
        if fixture is None:
            return Answer(file="", message=_problems(inputs))
        results = evaluate(fixture)
        sheets = sheets_for_host(results, variant_rows(results, inputs.variants), None, found.get("titles", {}))
    except LedcalcError as problem:
        return Answer(file="", message=" ".join(str(problem).split()))
    path = folder / "results.xlsx"
    path.write_bytes(sheets)
    return Answer(file=str(path), message=_problems(inputs) if inputs.problems else _verdict(results))


def _book(found: FoundBook) -> Book:
    read = {"name": found["name"], "sheets": found["sheets"]}
    text = json.dumps(read, sort_keys=True, default=str, ensure_ascii=False)
    grids = tuple(_grid(sheet) for sheet in found["sheets"])
    return Book(name=found["name"], sha256=hashlib.sha256(text.encode()).hexdigest(), grids=grids)


def _grid(sheet: FoundSheet) -> Grid:
    formulas = {(row, column): text for row, column, text in sheet["formulas"]}
    rows: dict[int, Mapping[int, Cell]] = {}
    for row, values in enumerate(sheet["values"]):
        cells = {
            column + 1: filled_cell(
                value,
                formula=formulas.get((row, column), ""),
                is_error=_is_in(sheet["errors"], row, column),
                is_percent=_is_in(sheet["percentages"], row, column),
            )
            for column, value in enumerate(values)
            if value is not None and not (isinstance(value, str) and not value.strip())
        }
        if cells:
            rows[row + 1] = cells
    return Grid(title=sheet["title"], rows=rows)


def _is_in(areas: Sequence[tuple[int, int, int, int]], row: int, column: int) -> bool:
    return any(top <= row <= bottom and left <= column <= right for top, left, bottom, right in areas)


def _verdict(results: Evaluation) -> str:
    counts = count_by_severity(results.findings)
    return (
        f"{results.fixture.name}: {counts['stop']} to stop for, {counts['act']} to act on, {counts['note']} to note. "
        f"{results.operating.explanation}"
    )


def _problems(inputs: ReadInputs) -> str:
    said = [str(problem) for problem in inputs.problems]
    more = [f"and {len(said) - MOST_PROBLEMS_SAID} more"] if len(said) > MOST_PROBLEMS_SAID else []
    return "\n".join(["Bad input:", *said[:MOST_PROBLEMS_SAID], *more])
