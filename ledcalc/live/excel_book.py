"""A workbook that is open in Excel, through xlwings. Not tried in Excel itself: tested on a stand-in of its objects.

In Excel, a button with the macro ``RunPython "from ledcalc.live.excel_book import main; main()"`` recalculates the
workbook that holds it.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from ledcalc.live.exchange import Answer, FoundBook, FoundSheet, recalculate_open
from ledcalc.workbook.package import OWN_NAME, RESULT_MARK, own_title, user_titles
from ledcalc.workbook.xlsx_read import ERROR_TEXTS

__all__ = ["ExcelBook", "main"]

Area = tuple[int, int, int, int]


def main() -> None:
    """Recalculate the workbook that the macro was called from."""
    import xlwings

    with tempfile.TemporaryDirectory(prefix="ledcalc-") as folder:
        recalculate_open(ExcelBook(xlwings.Book.caller()), Path(folder))


class ExcelBook:
    """An open workbook, given as xlwings has it."""

    def __init__(self, book: Any) -> None:
        self.book = book

    def read(self) -> FoundBook:
        """Return the cells of all sheets but earlier results, three calls a sheet and a few more for looks."""
        titles = user_titles((_page(sheet), sheet.name) for sheet in self._result_sheets())
        return FoundBook(name=self.book.name, titles=titles, sheets=[_found(sheet) for sheet in self._own_sheets()])

    def show(self, answer: Answer) -> None:
        """Put result sheets in place of earlier ones, and the message into the status bar."""
        app = self.book.app
        app.status_bar = answer["message"].splitlines()[0]
        if not answer["file"]:
            app.alert(answer["message"], title="ledcalc")
            return
        updating, alerts = app.screen_updating, app.display_alerts
        app.screen_updating = app.display_alerts = False
        try:
            self._swap(answer["file"])
        finally:
            app.screen_updating, app.display_alerts = updating, alerts

    def _swap(self, file: str) -> None:
        shown = self.book.sheets.active.name
        readers = list(self._reading_results())
        given = self.book.app.books.open(file, update_links=False, read_only=True)
        try:
            for sheet in self._result_sheets():
                sheet.delete()
            for sheet in list(given.sheets):
                sheet.copy(after=self.book.sheets[-1])
        finally:
            given.close()
        for cell, formula in readers:
            cell.formula = formula
        titles = [sheet.name for sheet in self.book.sheets]
        self.book.sheets[shown if shown in titles else titles[0]].activate()

    def _own_sheets(self) -> list[Any]:
        return [sheet for sheet in self.book.sheets if not _is_result(sheet)]

    def _result_sheets(self) -> list[Any]:
        return [sheet for sheet in self.book.sheets if _is_result(sheet)]

    def _reading_results(self) -> Iterator[tuple[Any, str]]:
        """Yield (cell, formula) for every formula that reads a result sheet."""
        titles = [sheet.name.replace("'", "''") for sheet in self._result_sheets()]
        for sheet in self._own_sheets():
            for row, column, text in _formulas(_filled(sheet)):
                if any(title in text for title in titles):
                    yield sheet[row, column], text


def _is_result(sheet: Any) -> bool:
    return sheet.name.endswith(RESULT_MARK) or any(name.name.endswith(OWN_NAME) for name in sheet.names)


def _page(sheet: Any) -> str:
    """Return the title of the page that a result sheet shows, empty where nobody can tell."""
    held = next((name.refers_to for name in sheet.names if name.name.endswith(OWN_NAME)), "")
    return own_title(held, sheet.name)


def _filled(sheet: Any) -> Any:
    """Return the cells from A1 to the last used one."""
    return sheet.range((1, 1), sheet.used_range.last_cell)


def _found(sheet: Any) -> FoundSheet:
    area = _filled(sheet)
    values = area.options(ndim=2, err_to_str=True).value
    rows, columns = len(values), len(values[0])
    return FoundSheet(
        title=sheet.name,
        values=values,
        formulas=list(_formulas(area)),
        errors=[
            (row, column, row, column)
            for row, line in enumerate(values)
            for column, value in enumerate(line)
            if isinstance(value, str) and value in ERROR_TEXTS
        ],
        percentages=list(_percentages(sheet, (0, 0, rows - 1, columns - 1))),
    )


def _formulas(area: Any) -> Iterator[tuple[int, int, str]]:
    """Yield (row, column, text) of every formula of an area that starts at A1."""
    for row, line in enumerate(_as_rows(area.formula)):
        for column, text in enumerate(line):
            if isinstance(text, str) and text.startswith("="):
                yield row, column, text


def _as_rows(texts: Any) -> Sequence[Sequence[Any]]:
    """Return rows of texts; of a lone cell, a lone row or column Excel gives less than rows."""
    if not isinstance(texts, tuple | list):
        return [[texts]]
    return [row if isinstance(row, tuple | list) else [row] for row in texts]


def _percentages(sheet: Any, area: Area) -> Iterator[Area]:
    """Yield the areas formatted as percentages: one of mixed formats tells none, and is halved until it does."""
    top, left, bottom, right = area
    pattern = sheet[top : bottom + 1, left : right + 1].number_format
    if pattern is not None:
        if "%" in pattern:
            yield area
    elif right > left:
        middle = (left + right) // 2
        yield from _percentages(sheet, (top, left, bottom, middle))
        yield from _percentages(sheet, (top, middle + 1, bottom, right))
    elif bottom > top:
        middle = (top + bottom) // 2
        yield from _percentages(sheet, (top, left, middle, right))
        yield from _percentages(sheet, (middle + 1, left, bottom, right))
