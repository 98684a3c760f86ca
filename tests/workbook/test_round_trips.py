"""Inputs through template, workbook and CSV and back; headers in any order; variants."""

import csv
import random

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import FileProblem
from ledcalc.records import records_from_fixture
from ledcalc.schema import sheets
from ledcalc.workbook import read_variants
from ledcalc.workbook.template import copy_inputs, write_blank


def test_blank_workbook_holds_every_field(tmp_path):
    write_blank(tmp_path / "blank.xlsx")
    book = openpyxl.load_workbook(tmp_path / "blank.xlsx")
    assert book.sheetnames == ["About", *(part.title for part in sheets()), "Changes"]
    for part in sheets():
        texts = {str(cell.value) for row in book[part.title].iter_rows() for cell in row if cell.value is not None}
        for field in part.fields:
            assert field.label in texts or f"{field.label}\N{NO-BREAK SPACE}*" in texts
    assert not any(cell.data_type == "f" for sheet in book for row in sheet.iter_rows() for cell in row)


def test_blank_workbook_is_bad_input_only_for_what_is_required(tmp_path):
    write_blank(tmp_path / "blank.xlsx")
    with pytest.raises(lc.InputErrors) as caught:
        lc.read_workbook(tmp_path / "blank.xlsx")
    forms = [part for part in sheets() if part.shape == "form"]
    required = sum(field.required for part in forms for field in part.fields)
    tables = sum(part.required for part in sheets() if part.shape == "table")
    assert len(caught.value.problems) == required + tables


def test_from_fixture_to_workbook_and_csv_and_back(bench, tmp_path):
    records = records_from_fixture(bench)
    for name in ("copy.xlsx", "copy"):
        write_blank(tmp_path / name, records=records)
        assert lc.read_workbook(tmp_path / name) == bench


def test_template_bytes_depend_on_the_input_only(tmp_path):
    write_blank(tmp_path / "a.xlsx")
    write_blank(tmp_path / "b.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_nothing_is_overwritten_unasked(tmp_path):
    (tmp_path / "mine.xlsx").write_text("precious")
    with pytest.raises(FileProblem, match="already there"):
        write_blank(tmp_path / "mine.xlsx")
    assert (tmp_path / "mine.xlsx").read_text() == "precious"


def test_limits_in_the_sheet_are_the_limits_of_the_reader(tmp_path):
    """The validation formula of a length in mm: text passes, and the ends follow the unit chosen."""
    write_blank(tmp_path / "blank.xlsx")
    book = openpyxl.load_workbook(tmp_path / "blank.xlsx")
    formulas = {rule.formula1 for rule in book["Boards"].data_validations.dataValidation if rule.type == "custom"}
    [width] = [formula for formula in formulas if formula.startswith("OR(ISTEXT(D6),AND(D6>")]
    assert 'IF(D$5="mm",3000,IF(D$5="m",3,' in width


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32))
def test_columns_and_fields_in_any_order(tmp_path_factory, bench, seed):
    shuffle = random.Random(seed)
    folder = tmp_path_factory.mktemp("shuffled") / "bench"
    write_blank(folder, records=records_from_fixture(bench))
    for path in folder.iterdir():
        with path.open(newline="") as stream:
            rows = list(csv.reader(stream))
        if rows[0][0] == "Field":
            head, *rest = rows
            shuffle.shuffle(rest)
            rows = [["", ""], head, [], *rest]
        else:
            order = list(range(len(rows[0])))
            shuffle.shuffle(order)
            rows = [["a title of the user's own"], [], *([row[i] for i in order] for row in rows)]
        with path.open("w", newline="") as stream:
            csv.writer(stream).writerows(rows)
    assert lc.read_workbook(folder) == bench


def test_variants_are_read_with_units_and_names(example_csv):
    (example_csv / "variants.csv").write_text(
        "Variant,Fixture.Current setting,cables.size,fixture.hieght_m,cables[0].one_way_length_m\n"
        ",mA,,,m\n"
        "soft,3600,,,\n"
        "thick,,16 AWG,,3 ft\n"
        "odd,4000,,0.4,\n"
        "wild,-1,,,\n"
        ",1000,,,\n"
        "soft,3500,,,\n"
    )
    found = read_variants(example_csv)
    assert found[0].changes == {"fixture.current_setting_a": 3.6}
    assert found[1].changes == {"cables.size": "16 AWG", "cables[0].one_way_length_m": pytest.approx(0.9144)}
    assert "nearest: fixture.height_m" in found[2].problem
    assert "too small" in found[3].problem
    assert "no name" in found[4].problem
    assert "stands twice" in found[5].problem
    assert [bool(variant.problem) for variant in found] == [False, False, True, True, True, True]


def test_variants_survive_a_copy(example_csv, tmp_path):
    copy_inputs(example_csv, tmp_path / "copy.xlsx")
    assert read_variants(tmp_path / "copy.xlsx") == read_variants(example_csv)


def test_a_log_of_many_rows_is_read(example_csv):
    rows = ["Time since switch-on,Board tag,Current", "min,,A"]
    rows += [f"{n},B{n % 8 + 1},0.55" for n in range(20_000)]
    (example_csv / "current_log.csv").write_text("\n".join(rows))
    assert len(lc.read_workbook(example_csv).current_log) == 20_000
