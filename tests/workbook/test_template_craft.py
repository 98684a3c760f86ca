"""What makes an input workbook good to work in: locks, notes, names, examples, print; log; what it was made from."""

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.schema import Refusal, parse, range_refusal, sheets
from ledcalc.workbook.input_sheets import HEAD_ROW, UNIT_ROW
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.results import write_results
from ledcalc.workbook.template import write_blank, write_inputs

FIELDS = [field for part in sheets() for field in part.fields]
TABLES = [part for part in sheets() if part.shape == "table"]


@pytest.fixture(scope="module")
def blank(tmp_path_factory):
    path = tmp_path_factory.mktemp("blank") / "blank.xlsx"
    write_blank(path)
    return path


@pytest.fixture(scope="module")
def blank_book(blank):
    return openpyxl.load_workbook(blank)


@pytest.fixture(scope="module")
def example_book(example_xlsx):
    return openpyxl.load_workbook(example_xlsx)


def is_open(cell):
    return not cell.protection.locked


def test_inputs_are_open_and_labels_locked_without_password(blank_book):
    for sheet in blank_book:
        assert sheet.protection.sheet, sheet.title
        assert sheet.protection.password is None, sheet.title
    for part in sheets():
        sheet = blank_book[part.title]
        for number, _ in enumerate(part.fields):
            if part.shape == "form":
                row = HEAD_ROW + 2 + number
                label, value = sheet.cell(row, 1), sheet.cell(row, 2)
            else:
                label, value = sheet.cell(HEAD_ROW + 1, number + 1), sheet.cell(UNIT_ROW + 2, number + 1)
            assert is_open(value), (part.title, value.coordinate)
            assert not is_open(label), (part.title, label.coordinate)


def test_a_unit_with_a_choice_is_open(blank_book):
    for part in TABLES:
        for number, field in enumerate(part.fields, start=1):
            cell = blank_book[part.title].cell(UNIT_ROW + 1, number)
            assert is_open(cell) == (len(field.units) > 1), field.path


def test_no_cell_to_fill_in_is_merged(example_book):
    assert not any(sheet.merged_cells.ranges for sheet in example_book)


def test_the_cursor_starts_in_the_first_cell_to_fill_in(blank_book):
    for part in sheets():
        sheet = blank_book[part.title]
        [place] = {pane.activeCell for pane in sheet.sheet_view.selection if pane.pane in {"bottomRight", None}}
        assert is_open(sheet[place]), part.title


def test_every_column_has_its_help_as_a_note(blank_book):
    for part in TABLES:
        for number, field in enumerate(part.fields, start=1):
            note = blank_book[part.title].cell(HEAD_ROW + 1, number).comment.text
            assert field.help in note
            assert field.allowed in note


def test_rows_to_fill_in_are_named_tables_with_a_column_a_field(example_book):
    for part in TABLES:
        table = example_book[part.title].tables[part.title.replace(" ", "_")]
        named = [column.name for column in table.tableColumns]
        assert named[: len(part.fields)] == [field.label for field in part.fields]
        assert table.ref.startswith(f"A{UNIT_ROW + 2}:")


@pytest.mark.parametrize("field", [field for field in FIELDS if field.example], ids=lambda field: field.path)
def test_examples_are_what_the_field_takes(field):
    value = parse(field, field.example, field.units[0] if field.units else "")
    assert not isinstance(value, Refusal), value
    assert not isinstance(value, float) or range_refusal(field, value) is None


def test_required_fields_have_examples():
    assert not [field.path for field in FIELDS if field.required and not field.example and field.sheet != "variants"]


def test_examples_are_grey_marked_in_words_and_not_read(blank, blank_book):
    shown = [
        cell for sheet in blank_book for row in sheet.iter_rows() for cell in row if str(cell.value)[:5] == "e.g. "
    ]
    assert len(shown) > 200
    assert {cell.font.color.rgb for cell in shown} == {"FF66727A"}
    assert not any(is_open(cell) for cell in shown)
    records = read_inputs(blank).records
    assert not any(value is not None for rows in records.values() for row in rows for value in row.values())


def test_filled_sheets_show_no_examples(example_book):
    for title in ("Boards", "Site", "Fixture", "Cables"):
        texts = [str(cell.value) for row in example_book[title].iter_rows() for cell in row]
        assert not any(text.startswith("e.g. ") for text in texts)


def test_print_ends_a_few_rows_after_the_filled_ones(example_book, bench):
    area = example_book["Cables"].print_area
    last = int(area.rpartition("$")[2])
    assert UNIT_ROW + 1 + len(bench.cables) < last <= UNIT_ROW + 1 + max(12, len(bench.cables) + 5)


def test_wide_sheets_print_side_by_side_with_the_tag_repeated(example_book):
    for title in ("Boards", "Drivers", "Cables"):
        sheet = example_book[title]
        assert sheet.page_setup.fitToWidth > 1
        assert sheet.page_setup.fitToHeight == 0
        assert sheet.print_title_cols == "$A:$A"
        assert sheet.print_title_rows == f"$1:${UNIT_ROW + 1}"
    assert example_book["Meters"].page_setup.fitToWidth in {None, 1}


def about(book):
    return {str(row[0].value): str(row[1].value) for row in book["About"].iter_rows(max_col=2)}


def test_about_says_version_and_hash_of_the_values(bench, tmp_path, blank_book):
    assert lc.__version__ in about(blank_book)["Made by"]
    assert "blank" in about(blank_book)["Values"]
    said = []
    for name, fixture in (("a", bench), ("b", bench), ("c", lc.with_values(bench, {"fixture.height_m": 0.3}))):
        write_inputs(fixture, tmp_path / f"{name}.xlsx")
        said.append(about(openpyxl.load_workbook(tmp_path / f"{name}.xlsx"))["Values"])
    assert said[0] == said[1] != said[2]


def test_the_builders_log_is_not_read_and_not_complained_of(example_xlsx, tmp_path):
    book = openpyxl.load_workbook(example_xlsx)
    assert book.sheetnames[-1] == "Changes"
    assert is_open(book["Changes"]["B5"])
    book["Changes"]["A5"], book["Changes"]["B5"] = "2026-11-21", "=hung lower"
    book["Changes"]["B6"] = "raised again"
    book["Changes"]["B5"].data_type = "s"
    book.save(tmp_path / "logged.xlsx")
    inputs = read_inputs(tmp_path / "logged.xlsx")
    assert not inputs.problems
    assert not any("Changes" in note for note in inputs.origin.notes)


def test_variants_have_columns_ready_to_be_headed(blank_book):
    sheet = blank_book["Variants"]
    assert is_open(sheet.cell(HEAD_ROW + 1, 2))
    assert is_open(sheet.cell(UNIT_ROW + 1, 2))
    assert is_open(sheet.cell(UNIT_ROW + 2, 2))


def test_results_are_locked_without_password(bench_results, tmp_path):
    write_results(bench_results, tmp_path / "r.xlsx")
    for sheet in openpyxl.load_workbook(tmp_path / "r.xlsx"):
        assert sheet.protection.sheet, sheet.title
        assert sheet.protection.password is None
        assert all(cell.protection.locked for row in sheet.iter_rows() for cell in row)
