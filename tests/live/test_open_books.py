"""Recalculation of an open workbook: through the small interface, and through a stand-in of Excel's objects."""

import json
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from ledcalc.live import answer_for, recalculate_open
from ledcalc.live.excel_book import ExcelBook
from ledcalc.workbook.package import OWN_NAME

EXAMPLE = Path(__file__).parents[2] / "workbooks" / "seedling-bench.xlsx"


def found_in(path, changes=()):
    """Return a workbook's cells as an open one hands them over."""
    sheets = []
    for sheet in openpyxl.load_workbook(path, data_only=True):
        for title, cell, value in changes:
            if title == sheet.title:
                sheet[cell] = value
        rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
        percentages = [
            (cell.row - 1, cell.column - 1, cell.row - 1, cell.column - 1)
            for row in sheet.iter_rows()
            for cell in row
            if "%" in cell.number_format
        ]
        sheets.append({"title": sheet.title, "values": rows, "formulas": [], "errors": [], "percentages": percentages})
    return {"name": path.name, "sheets": sheets}


class HeldBook:
    """An open workbook that keeps what it is shown."""

    def __init__(self, found):
        self.found, self.shown = found, None

    def read(self):
        return self.found

    def show(self, answer):
        self.shown = answer


def test_results_go_to_the_book(tmp_path):
    book = HeldBook(found_in(EXAMPLE))
    answer = recalculate_open(book, tmp_path)
    assert book.shown == answer
    assert answer["message"].startswith("Winter seedling bench (invented example): 0 to stop for")
    given = openpyxl.load_workbook(answer["file"])
    assert given.sheetnames[0] == "Verdict (result)"
    assert all(OWN_NAME in sheet.defined_names for sheet in given)


def test_the_figures_are_those_of_the_saved_file(tmp_path):
    answer = answer_for(found_in(EXAMPLE), tmp_path)
    wanted = openpyxl.load_workbook(EXAMPLE.with_name("seedling-bench-results.xlsx"))["Currents"]
    given = openpyxl.load_workbook(answer["file"])["Currents (result)"]
    numbers = [cell.value for row in wanted.iter_rows() for cell in row if isinstance(cell.value, float)]
    assert len(numbers) > 50
    assert [cell.value for row in given.iter_rows() for cell in row if isinstance(cell.value, float)] == pytest.approx(
        numbers
    )


def test_bad_cells_are_told_and_the_rest_is_worked_out(tmp_path):
    answer = answer_for(found_in(EXAMPLE, [("Fixture", "B16", "a few")]), tmp_path)
    assert answer["message"].startswith("Bad input:\nFixture!B16")
    verdict = openpyxl.load_workbook(answer["file"])["Verdict (result)"]
    assert any(str(cell.value).startswith("BAD INPUT") for cell in verdict["A"])


def test_an_error_in_a_cell_is_told(tmp_path):
    found = found_in(EXAMPLE)
    sheet = next(sheet for sheet in found["sheets"] if sheet["title"] == "Fixture")
    sheet["values"][15][1], sheet["errors"] = "Err:502", [(15, 1, 15, 1)]
    said = answer_for(found, tmp_path)["message"]
    assert "Fixture!B16 (Row pitch, fixture.row_pitch_m): an error value; got 'Err:502'" in said


def test_where_nothing_can_be_worked_out_no_sheets_are_given(tmp_path):
    answer = answer_for({"name": "empty.xlsx", "sheets": []}, tmp_path)
    assert answer["file"] == ""
    assert "this sheet is missing" in answer["message"]


def test_sheets_come_under_the_titles_that_the_user_gave(tmp_path):
    found = found_in(EXAMPLE)
    plain = answer_for(found, tmp_path)["message"]
    answer = answer_for({**found, "titles": {"Currents": "my amps"}}, tmp_path)
    given = openpyxl.load_workbook(answer["file"])
    assert answer["message"] == plain
    assert "Currents (result)" not in given.sheetnames
    assert given["my amps"].defined_names[OWN_NAME].attr_text == '"Currents"'
    assert "'my amps'!" in str(given["my amps"]._charts[0].series[0].val.numRef.f)


@pytest.mark.parametrize("title", ["as long a title as no spreadsheet has", "amps!"])
def test_a_title_that_cannot_be_written_is_told(title, tmp_path):
    answer = answer_for({**found_in(EXAMPLE), "titles": {"Currents": title}}, tmp_path)
    assert answer["file"] == ""
    assert f"{title!r} cannot be made anew under that title; rename it" in answer["message"]


def test_the_worker_answers_line_by_line():
    line = json.dumps(found_in(EXAMPLE), default=str)
    done = subprocess.run(
        [sys.executable, "-m", "ledcalc.live.worker"],
        input=f"{line}\n{line}\n",
        capture_output=True,
        text=True,
        check=True,
    )
    first, second = (json.loads(answer) for answer in done.stdout.splitlines())
    assert first == second
    assert not Path(first["file"]).exists()


class ExcelName:
    def __init__(self, name, refers_to):
        self.name, self.refers_to = name, refers_to


class ExcelArea:
    """Cells of an openpyxl sheet as xlwings gives a range; a lone cell gives a scalar, as in Excel."""

    def __init__(self, sheet, top, left, bottom, right):
        self.sheet, self.corners = sheet, (top, left, bottom, right)

    def _rows(self):
        top, left, bottom, right = self.corners
        return [[self.sheet.cell(row, column) for column in range(left, right + 1)] for row in range(top, bottom + 1)]

    def options(self, *, ndim, err_to_str):
        assert (ndim, err_to_str) == (2, True)
        self.value = [[self._shown(cell.value) for cell in row] for row in self._rows()]
        return self

    @staticmethod
    def _shown(value):
        return 9.0 if isinstance(value, str) and value.startswith("=") else value

    @property
    def formula(self):
        texts = tuple(tuple("" if cell.value is None else str(cell.value) for cell in row) for row in self._rows())
        return texts[0][0] if len(texts) == len(texts[0]) == 1 else texts

    @formula.setter
    def formula(self, text):
        self._rows()[0][0].value = text

    @property
    def number_format(self):
        patterns = {cell.number_format for row in self._rows() for cell in row}
        return patterns.pop() if len(patterns) == 1 else None


class ExcelSheet:
    def __init__(self, book, sheet):
        self.book, self.sheet = book, sheet

    @property
    def name(self):
        return self.sheet.title

    @property
    def names(self):
        return [
            ExcelName(f"'{self.name}'!{name}", f"={held.attr_text}") for name, held in self.sheet.defined_names.items()
        ]

    @property
    def used_range(self):
        return type("Used", (), {"last_cell": (self.sheet.max_row, self.sheet.max_column)})

    def range(self, first, last):
        return ExcelArea(self.sheet, *first, *last)

    def __getitem__(self, key):
        row, column = key
        if isinstance(row, slice):
            return ExcelArea(self.sheet, row.start + 1, column.start + 1, row.stop, column.stop)
        return ExcelArea(self.sheet, row + 1, column + 1, row + 1, column + 1)

    def delete(self):
        assert self.book.app.display_alerts is False
        for sheet in self.book.workbook:
            for row in sheet.iter_rows():
                for cell in row:
                    if isinstance(cell.value, str) and cell.value.startswith("="):
                        cell.value = cell.value.replace(f"'{self.name}'!", "#REF!")
        self.book.workbook.remove(self.sheet)

    def copy(self, *, after):
        copy = after.book.workbook.create_sheet(self.name)
        for row in self.sheet.iter_rows():
            for cell in row:
                copy[cell.coordinate] = cell.value
        for name in self.sheet.defined_names.values():
            copy.defined_names.add(name)

    def activate(self):
        self.book.activated = self.name


class ExcelSheets(list):
    active = None

    def __getitem__(self, key):
        return super().__getitem__(key) if isinstance(key, int) else next(sheet for sheet in self if sheet.name == key)


class ExcelStandIn:
    """A workbook with the parts of xlwings' objects that are asked for."""

    def __init__(self, path, app=None):
        self.workbook, self.name, self.closed = openpyxl.load_workbook(path), Path(path).name, False
        self.app = app or self
        self.books, self.screen_updating, self.display_alerts, self.alerts = self, True, True, []

    @property
    def sheets(self):
        sheets = ExcelSheets(ExcelSheet(self, sheet) for sheet in self.workbook)
        sheets.active = sheets[0]
        return sheets

    def open(self, file, *, update_links, read_only):
        assert (update_links, read_only) == (False, True)
        self.opened = ExcelStandIn(file, self)
        return self.opened

    def close(self):
        self.closed = True

    def alert(self, message, *, title):
        self.alerts.append((title, message))


@pytest.fixture
def excel():
    return ExcelStandIn(EXAMPLE)


def test_in_excel_the_users_sheets_stay_and_formulas_go_on_reading_results(excel, tmp_path):
    mine = excel.workbook.create_sheet("Mine", 0)
    mine["A1"] = "a note of mine"
    recalculate_open(ExcelBook(excel), tmp_path)
    first = excel.workbook.sheetnames
    assert first[0] == "Mine"
    assert first[-1] == "Workings (result)"
    mine["B1"] = "='Verdict (result)'!A1"
    answer = recalculate_open(ExcelBook(excel), tmp_path)
    assert excel.workbook.sheetnames == first
    assert (mine["A1"].value, mine["B1"].value) == ("a note of mine", "='Verdict (result)'!A1")
    assert excel.status_bar == answer["message"].splitlines()[0]
    assert excel.activated == "Mine"
    assert excel.opened.closed
    assert (excel.screen_updating, excel.display_alerts, excel.alerts) == (True, True, [])


def test_in_excel_a_renamed_result_sheet_keeps_its_title(excel, tmp_path):
    mine = excel.workbook.create_sheet("Mine", 0)
    recalculate_open(ExcelBook(excel), tmp_path)
    excel.workbook["Verdict (result)"].title = "what it says"
    mine["B1"] = "='what it says'!A1"
    recalculate_open(ExcelBook(excel), tmp_path)
    assert "what it says" in excel.workbook.sheetnames
    assert "Verdict (result)" not in excel.workbook.sheetnames
    assert mine["B1"].value == "='what it says'!A1"


def test_in_excel_percentages_are_told_cell_by_cell(excel):
    sheet = excel.workbook["Fixture"]
    sheet["B9"], sheet["B9"].number_format = 0.5, "0%"
    found = next(found for found in ExcelBook(excel).read()["sheets"] if found["title"] == "Fixture")
    cells = {
        (row, column)
        for top, left, bottom, right in found["percentages"]
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    }
    assert cells == {(8, 1)}


def test_in_excel_formulas_and_errors_are_told(excel):
    sheet = excel.workbook["Fixture"]
    sheet["B16"], sheet["B17"] = "=0.3+0.06", "#DIV/0!"
    found = next(found for found in ExcelBook(excel).read()["sheets"] if found["title"] == "Fixture")
    assert (15, 1, "=0.3+0.06") in found["formulas"]
    assert found["values"][15][1] == 9.0
    assert found["errors"] == [(16, 1, 16, 1)]


def test_in_excel_what_cannot_be_worked_out_is_an_alert(excel, tmp_path):
    for title in excel.workbook.sheetnames[1:]:
        del excel.workbook[title]
    before = excel.workbook.sheetnames
    recalculate_open(ExcelBook(excel), tmp_path)
    assert excel.workbook.sheetnames == before
    assert excel.alerts
    assert excel.alerts[0][0] == "ledcalc"
