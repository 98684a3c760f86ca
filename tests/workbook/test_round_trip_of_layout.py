"""Search fields, groups and other fixtures through workbook and CSV folder and back; bad rows of the new sheet."""

import csv
import dataclasses

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.records import placed_boards, records_from_fixture
from ledcalc.workbook.template import write_blank


def filled(bench):
    # Whole millimetres, as a user types them.
    places = tuple(
        dataclasses.replace(place, x_m=round(place.x_m, 3), y_m=round(place.y_m, 3), group=f"G{n % 2}")
        for n, place in enumerate(placed_boards(bench))
    )
    return dataclasses.replace(
        bench,
        layout_advice="yes",
        drilling_step_m=0.025,
        rail_move_m=0.15,
        row_pitch_from_m=0.3,
        row_pitch_to_m=0.4,
        column_pitch_from_m=0.26,
        column_pitch_to_m=0.31,
        height_from_m=0.2,
        height_to_m=0.4,
        height_step_m=0.05,
        positions=places,
        other_fixtures=(
            lc.OtherFixture(tag="east", shift_x_m=1.3),
            lc.OtherFixture(tag="north", shift_y_m=-0.8, height_change_m=0.125),
        ),
    )


@pytest.mark.parametrize("name", ["copy.xlsx", "copy"])
def test_there_and_back(bench, tmp_path, name):
    fixture = filled(bench)
    write_blank(tmp_path / name, records=records_from_fixture(fixture))
    again = lc.read_workbook(tmp_path / name)
    assert again == fixture
    assert again.positions[1].group == "G1"


def test_inputs_from_before_there_was_such_a_sheet_are_read(bench, tmp_path):
    write_blank(tmp_path / "old", records=records_from_fixture(bench))
    (tmp_path / "old" / "other_fixtures.csv").unlink()
    with (tmp_path / "old" / "fixture.csv").open(newline="") as stream:
        rows = [
            row
            for row in csv.reader(stream)
            if not row or not row[0].startswith(("Try", "Layout", "Drilling", "Move rails", "Height step"))
        ]
    with (tmp_path / "old" / "fixture.csv").open("w", newline="") as stream:
        csv.writer(stream).writerows(rows)
    assert lc.read_workbook(tmp_path / "old") == bench


def test_a_bad_shift_is_named_with_its_cell_and_the_rest_computes(bench, tmp_path, capsys):
    write_blank(tmp_path / "bad.xlsx", records=records_from_fixture(filled(bench)))
    book = openpyxl.load_workbook(tmp_path / "bad.xlsx")
    book["Other fixtures"]["B6"] = "far"
    book.save(tmp_path / "bad.xlsx")
    with pytest.raises(lc.InputErrors) as caught:
        lc.read_workbook(tmp_path / "bad.xlsx")
    [problem] = caught.value.problems
    assert (problem.sheet, problem.cell, problem.value) == ("Other fixtures", "B6", "'far'")
    assert "from -100 up to 100 m" in problem.allowed
    assert main(["recalculate", str(tmp_path / "bad.xlsx"), "--out", str(tmp_path / "out.xlsx")]) == 2
    assert "Other fixtures" in capsys.readouterr().err
    assert (tmp_path / "out.xlsx").exists()


def test_the_page_is_in_workbook_and_folder_and_replaced_when_switched_off(bench, tmp_path):
    write_blank(tmp_path / "in", records=records_from_fixture(filled(bench)))
    for out in ("out.xlsx", "out"):
        assert main(["recalculate", str(tmp_path / "in"), "--out", str(tmp_path / out)]) in {0, 1}
    assert "Layout advice" in openpyxl.load_workbook(tmp_path / "out.xlsx").sheetnames
    text = (tmp_path / "out" / "Layout advice.csv").read_text()
    assert "best found" in text
    assert "Best share per group" in text
    plain = dataclasses.replace(filled(bench), layout_advice="no", positions=())
    write_blank(tmp_path / "plain", records=records_from_fixture(plain))
    assert main(["recalculate", str(tmp_path / "plain"), "--out", str(tmp_path / "out")]) in {0, 1}
    assert not (tmp_path / "out" / "Layout advice.csv").exists()
