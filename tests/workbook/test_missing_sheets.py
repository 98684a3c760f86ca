"""What a whole sheet lacks is said once: missing, empty, under another title, or a sheet of the user's own."""

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.errors import FileProblem, InputErrors
from ledcalc.schema.model import sheet
from ledcalc.schema.values import Refusal, parse
from ledcalc.workbook import package
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.recalculate import recalculate_into


@pytest.fixture
def changed(example_xlsx, tmp_path):
    """Return a function: what to do with the example's workbook -> problems read from the result, as texts."""

    def read_again(change):
        book = openpyxl.load_workbook(example_xlsx)
        change(book)
        book.save(tmp_path / "changed.xlsx")
        return [str(problem) for problem in read_inputs(tmp_path / "changed.xlsx").problems]

    return read_again


def test_a_missing_sheet_is_one_line(changed):
    said = changed(lambda book: book.remove(book["Meters"]))
    assert len(said) == 1
    assert said[0].startswith(
        "Meters: this sheet is missing or empty; remedy: fill it in, or blank what refers to it: "
    )
    assert "more cells" in said[0]


def test_a_missing_table_of_spectra_is_told_by_its_title(changed):
    said = changed(lambda book: book.remove(book["Spectra"]))
    assert len(said) == 1
    assert said[0].startswith("Spectra: this sheet is missing or empty; remedy: fill it in, or blank what refers to it")
    assert "Boards!" in said[0]


def test_one_unknown_tag_is_still_told_at_its_cell(changed, example_cells):
    def misspell(book):
        title, _, cell = example_cells["cables[0].sleeve"].rpartition("!")
        book[title][cell] = "Sleeve frnt"

    said = changed(misspell)
    assert len(said) == 1
    assert said[0].startswith("Cables!")


def test_a_sheet_of_the_users_own_with_a_title_of_an_input_sheet(changed):
    def add(book):
        if "Costs" in book.sheetnames:
            book.remove(book["Costs"])
        book.create_sheet("Costs")["A1"] = "screws, 12 a box"

    said = changed(add)
    assert [line for line in said if "this title belongs to ledcalc's own sheet: rename yours" in line]


def test_a_required_sheet_under_another_title(changed):
    def rename(book):
        book["Fixture"].title = "Fixture A"

    said = "\n".join(changed(rename))
    assert "Fixture A: unknown sheet; remedy: rename it to Fixture" in said
    assert "Fixture: this sheet is missing; remedy: add it, or rename the one that holds it" in said


def test_where_nothing_is_written_that_is_said(spoil, tmp_path):
    with pytest.raises(InputErrors, match="no results were written: these cells are needed by everything"):
        lc.recalculate(spoil({"fixture.current_setting_a": "lots"}), tmp_path / "out.xlsx")
    with pytest.raises(InputErrors) as caught:
        lc.recalculate(spoil({"cables[1].size": "17.5 AWG"}), tmp_path / "out.xlsx")
    assert "no results were written" not in str(caught.value)


def test_into_the_book_itself_nothing_is_written_either(spoil):
    path = spoil({"cables[1].size": "17.5 AWG"})
    before = path.read_bytes()
    with pytest.raises(InputErrors, match="no results were written: the file stays as it was"):
        recalculate_into(path)
    assert path.read_bytes() == before


def test_a_file_that_may_not_be_read_is_not_said_to_be_open(monkeypatch, example_xlsx):
    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(package.os, "open", refuse)
    with pytest.raises(FileProblem, match=r"may not be read by this user \(Permission denied\); give") as caught:
        package.file_bytes(example_xlsx, 1000)
    assert "close it" not in str(caught.value)


@pytest.mark.parametrize("where", [("cables", "one_way_length_m"), ("cables", "size"), ("fixture", "name")])
def test_an_input_cell_fed_by_a_cell_function_that_failed(where):
    reason = "length is '18 in', which is no number; write a plain number in metres"
    said = parse(sheet(where[0]).field(where[1]), f"LC error: {reason}")
    assert isinstance(said, Refusal)
    assert said.problem == f"the cell's function failed: {reason}"
    assert "decimal point" not in said.remedy
