"""A calibration as result sheets: values, every reading, light maps beside their prediction."""

import csv
import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook

from ledcalc.calibrate import calibrate
from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.workbook.results.calibration import calibration_pages, write_calibration
from ledcalc.workbook.results.pages import FieldMaps, Table
from ledcalc.workbook.template import write_inputs

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import Truth, bench_of, points, read

TRUTH = Truth(offset_v=np.array([0.25, 0.18, 0.22, 0.29]), sink=1.15, flux=0.88, driver=0.98)


@pytest.fixture(scope="module")
def measured():
    fixture = bench_of(4, in_room=False)
    maps = {0.28: points(fixture, 4, 3), 0.5: [(0.2, 0.1), (0.9, 0.5), (0.6, 0.3)]}
    return read(fixture, TRUTH, np.random.default_rng(5), maps=maps)


@pytest.fixture(scope="module")
def found(measured):
    return calibrate(measured)


def page_of(found, title):
    return next(page for page in calibration_pages(found) if page.title == title)


def test_the_first_page_says_how_it_agrees_and_holds_every_value(found):
    page = page_of(found, "Calibration")
    before, after, left_out = page.blocks[0].lines
    assert before.startswith(f"Before: {found.before.agreement} (chi-square ")
    assert after.endswith(f"(chi-square {found.after.chi_square:.1f} of {found.after.degrees_count} readings).")
    assert left_out == f"Left out in turn: {found.left_out_agreement}."
    values, differences = (block for block in page.blocks if isinstance(block, Table))
    assert [row[0] for row in values.rows] == [entry.name for entry in found.estimates]
    assert [row[0] for row in differences.rows] == ["current", "voltage", "temperature", "PPFD"]
    assert len(differences.columns) == len(differences.rows[0])
    headings = [block.heading for block in page.blocks[3:]]
    assert headings == ["What the readings cannot tell", "Taken for granted", "To know"]


def test_every_reading_stands_beside_both_predictions(found):
    tables = page_of(found, "Calibrated readings").blocks
    assert [table.columns[0].label for table in tables] == ["Current", "Voltage", "Temperature", "PPFD"]
    assert [table.columns[5].unit for table in tables] == ["A", "V", "K", "umol m-2 s-1"]
    rows = [row for table in tables for row in table.rows]
    assert [row[0] for row in rows[:4]] == ["B1", "B2", "B3", "B4"]
    assert [row[2] for row in rows] == pytest.approx(found.after.measured)
    assert [row[3] for row in rows] == pytest.approx(found.before.predicted)
    assert [row[5] for row in rows] == pytest.approx([row[2] - row[4] for row in rows])
    assert [row[6] for row in rows] == pytest.approx(found.after.normalised)


def test_grids_are_drawn_as_maps_and_scattered_points_are_not(found):
    page = page_of(found, "Calibrated light")
    levels, apart = (block for block in page.blocks if isinstance(block, FieldMaps))
    maps = (*levels.maps, *apart.maps)
    assert [one.heading for one in maps] == ["as read", "predicted", "read less predicted"]
    assert apart.highest_umol_m2_s == -apart.lowest_umol_m2_s == np.abs(maps[2].ppfd_umol_m2_s).max()
    as_read, predicted, difference = (one.ppfd_umol_m2_s for one in maps)
    assert as_read - predicted == pytest.approx(difference)
    (grid, _) = found.after.maps
    corner = (grid.x_m == maps[0].x_m[-1]) & (grid.y_m == maps[0].y_m[0])
    assert as_read[0, -1] == grid.measured_umol_m2_s[corner][0]


def test_without_light_or_parts_left_out_there_are_no_such_pages(measured):
    dark = calibrate(dataclasses.replace(measured, light_readings=()), leave_out=False)
    assert [page.title for page in calibration_pages(dark)] == ["Calibration", "Calibrated readings"]
    first = page_of(dark, "Calibration")
    assert len(first.blocks[0].lines) == 2
    assert len(first.blocks[2].columns) == 4


def test_from_the_command_line_as_workbook_and_as_folder(measured, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    write_inputs(measured, "bench.xlsx")
    assert main(["calibrate", "bench.xlsx", "--out", "fitted.xlsx", "--results", "found.xlsx"]) == 0
    assert "wrote fitted.xlsx and found.xlsx" in capsys.readouterr().out
    book = load_workbook("found.xlsx")
    assert book.sheetnames == ["Calibration", "Calibrated readings", "Calibrated light"]
    assert "ledcalc 0" in book["Calibration"].oddFooter.left.text
    for _ in range(2):
        assert main(["calibrate", "bench.xlsx", "--results", "found"]) == 0
    with Path("found", "Calibrated light.csv").open(encoding="utf-8") as stream:
        assert next(csv.reader(stream)) == ["Calibrated light"]


def test_what_others_wrote_is_not_replaced(found, measured, tmp_path):
    write_inputs(measured, tmp_path / "bench.xlsx")
    with pytest.raises(FileProblem, match="was not written as ledcalc results"):
        write_calibration(found, tmp_path / "bench.xlsx")
    with pytest.raises(FileProblem, match=r"bench\.xlsx, which is none of the result files"):
        write_calibration(found, tmp_path)
