"""Result sheets: what they hold is what was worked out; nothing is lost when writing fails."""

import csv
import dataclasses
import json
import zipfile

import numpy as np
import openpyxl
import pytest

import ledcalc as lc
from ledcalc.errors import FileProblem
from ledcalc.records import with_values
from ledcalc.variants import Variant, evaluate_variants
from ledcalc.workbook.results import evaluation_as_dict, write_results
from ledcalc.workbook.results.pages import Facts, FieldMap, Table
from ledcalc.workbook.results.write import pages_of

TITLES = [
    "Verdict",
    "Currents",
    "Load curve",
    "Wiring",
    "Protection",
    "Mains side",
    "Heat",
    "Warm-up",
    "Faults",
    "Tolerance",
    "Board selection",
    "Wire schedule",
    "Build list",
    "Cutting plan",
    "Checklists",
    "Light field",
    "Heights",
    "Spectrum",
    "Field measured",
    "Cost and energy",
    "Bench",
    "Findings",
    "Assumptions",
    "Workings",
]


@pytest.fixture(scope="module")
def book(bench_results, tmp_path_factory):
    path = tmp_path_factory.mktemp("results") / "results.xlsx"
    write_results(bench_results, path, input_path=path.with_name("bench.xlsx"))
    return openpyxl.load_workbook(path)


def column(sheet, label):
    """Return the values under a header."""
    for row in sheet.iter_rows(min_row=2):
        for cell in row:
            if cell.value == label:
                values = []
                for below in sheet.iter_rows(min_row=cell.row + 2, min_col=cell.column, max_col=cell.column):
                    if below[0].value is None:
                        break
                    values.append(below[0].value)
                return values
    raise AssertionError(label)


def test_sheets_in_order(book):
    assert book.sheetnames == TITLES


@pytest.mark.parametrize(
    ("title", "label", "part", "name", "factor"),
    [
        ("Currents", "Current", "boards", "current_a", 1),
        ("Currents", "Of rating", "boards", None, 100),
        ("Currents", "If another branch is lost", "boards", "one_lost_current_a", 1),
        ("Currents", "Board voltage", "boards", "voltage_v", 1),
        ("Wiring", "Drop", "wires", "drop_v", 1),
        ("Wiring", "Drop of driver voltage", "wires", "drop_fraction", 100),
        ("Wiring", "Ampacity", "wires", "ampacity_a", 1),
        ("Wiring", "Conductor temperature", "wires", "conductor_temperature_c", 1),
        ("Heat", "Board temperature", "boards", "temperature_c", 1),
        ("Heat", "Heat", "boards", "heat_w", 1),
        ("Bench", "Read", "logged", "current_a", 1),
        ("Bench", "Meter, +-", "logged", "half_width_a", 1),
    ],
)
def test_columns_are_the_evaluations(book, bench_results, title, label, part, name, factor):
    own = getattr(bench_results, part)
    expected = own.current_a / own.rated_current_a if name is None else getattr(own, name)
    assert column(book[title], label)[: len(expected)] == pytest.approx(expected * factor, rel=1e-12)


def test_map_stands_as_seen_from_above(book, bench_results):
    """The far row (largest y) comes first; every cell is the map's value."""
    sheet, field = book["Light field"], bench_results.light.ppfd_umol_m2_s
    start = (
        next(cell.row for row in sheet.iter_rows() for cell in row if str(cell.value).startswith("PPFD over the crop"))
        + 1
    )
    values = [[sheet.cell(start + r, 2 + c).value for c in range(field.shape[1])] for r in range(field.shape[0])]
    assert np.array(values) == pytest.approx(field[::-1], rel=1e-12)
    assert sheet.cell(start, 1).value == pytest.approx(bench_results.light.y_m[-1])
    assert sheet.conditional_formatting


def test_boards_are_outlined_on_the_map(book):
    thick = [cell for row in book["Light field"].iter_rows() for cell in row if cell.border.left.style == "medium"]
    assert len(thick) == 8


def test_findings_link_to_the_cell(book, bench_results):
    links = [cell.hyperlink for row in book["Findings"].iter_rows() for cell in row if cell.hyperlink]
    assert len(links) == len(bench_results.findings)
    assert links[0].target == "bench.xlsx"
    assert links[0].location == "'fixture'!B13"


def test_charts_where_people_look(tmp_path, bench_results):
    write_results(bench_results, tmp_path / "r.xlsx")
    with zipfile.ZipFile(tmp_path / "r.xlsx") as package:
        charts = [name for name in package.namelist() if name.startswith("xl/charts/chart")]
        text = b"".join(package.read(name) for name in charts)
    assert len(charts) == 9
    for words in (
        b"current in A",
        b"driver current in A",
        b"share of fixtures in %",
        b"temperature in degC",
        b"PPFD in umol m-2 s-1",
        b"position in m",
        b"time in min",
    ):
        assert words in text


COUNTS = {
    "Points",
    "Wavelength in nm",
    "Power a nm, of its highest",
    "Fixtures on the circuit",
    "Fixtures that it takes beside its other load",
    "Drivers that may switch on together",
    "Fixtures that the device takes",
    "Terminals",
    "Wire ends",
    "Free ports",
    "How many",
    "Cores",
    "Pieces",
    "Rails of row",
}


def test_every_figure_has_its_unit(bench_results):
    without = {"min/mean", "min/max", "Loop gain of current and heat", "Ambient factor", "Bundle factor", "Quantity"}
    without |= {"Boards dark", "Power factor at this load", "Left over", "Places without a board", *COUNTS}
    without |= {"Value", "Limit", "Result"} | {
        "stop (do not energise until this is mended)",
        "act (change this)",
        "note (good to know)",
    }
    for page in pages_of(bench_results):
        for block in page.blocks:
            if isinstance(block, Facts):
                for fact in block.facts:
                    assert fact.unit or fact.label in without or isinstance(fact.value, str), fact.label
            if isinstance(block, Table):
                for number, entry in enumerate(block.columns):
                    numeric = any(isinstance(row[number], float | int) for row in block.rows)
                    assert entry.unit or entry.label in without or not numeric, entry.label


def test_same_input_same_bytes(bench_results, tmp_path):
    for name in ("a.xlsx", "b.xlsx"):
        write_results(bench_results, tmp_path / name)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_what_cannot_be_computed_is_blank_with_a_reason(bench, tmp_path):
    results = lc.evaluate(with_values(bench, {"cables.size": "22 AWG"}))
    write_results(results, tmp_path / "r.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Wiring"]
    header = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Ampacity")
    below = [sheet.cell(header.row + 2 + n, header.column).value for n in range(8)]
    reasons = [sheet.cell(header.row + 2 + n, header.column + 1).value for n in range(8)]
    assert below == [None] * 8
    assert all("22 AWG" in reason for reason in reasons)


def test_text_never_becomes_a_formula(bench, tmp_path):
    named = dataclasses.replace(
        bench, name='=HYPERLINK("http://x")', site=dataclasses.replace(bench.site, crop="+1", currency="@")
    )
    results = lc.evaluate(named)
    write_results(results, tmp_path / "r.xlsx")
    book = openpyxl.load_workbook(tmp_path / "r.xlsx")
    assert not any(cell.data_type == "f" for sheet in book for row in sheet.iter_rows() for cell in row)
    write_results(results, tmp_path / "r")
    for path in (tmp_path / "r").iterdir():
        for row in csv.reader(path.read_text().splitlines()):
            for cell in row:
                try:
                    float(cell)
                except ValueError:
                    assert not cell.startswith(("=", "+", "-", "@")), (path.name, cell)


def test_sixty_boards_one_board_and_long_names(bench, tmp_path):
    cable = bench.cables[0]
    for rows, columns in ((6, 10), (1, 1)):
        count = rows * columns
        many = dataclasses.replace(
            bench,
            name="A very long name of a fixture, " * 12,
            rows_count=rows,
            columns_count=columns,
            current_setting_a=0.5 * count,
            cables=tuple(dataclasses.replace(cable, tag=f"W{n}", to_node=f"B{n}") for n in range(1, count + 1)),
            drivers=(
                dataclasses.replace(bench.drivers[0], current_low_a=0.1, current_high_a=100.0, power_limit_w=5000.0),
            ),
            current_log=(),
            light_readings=(),
        )
        results = lc.evaluate(many)
        write_results(results, tmp_path / f"r{count}.xlsx")
        book = openpyxl.load_workbook(tmp_path / f"r{count}.xlsx")
        assert "Bench" not in book.sheetnames
        assert len(column(book["Currents"], "Board")) == count


def test_all_as_json(bench_results):
    text = json.dumps(evaluation_as_dict(bench_results), allow_nan=False)
    data = json.loads(text)
    assert data["boards"]["current_a"] == pytest.approx(bench_results.boards.current_a.tolist())
    assert data["findings"][0]["code"] == "light-uneven"
    assert data["stamp"]["input_sha256"] == bench_results.stamp.input_sha256


def test_csv_pages(bench_results, tmp_path):
    write_results(bench_results, tmp_path / "out")
    assert {path.stem for path in (tmp_path / "out").iterdir()} == set(TITLES)
    rows = list(csv.reader((tmp_path / "out" / "Currents.csv").read_text().splitlines()))
    head = next(n for n, row in enumerate(rows) if row[:1] == ["Board"])
    assert [float(row[2]) for row in rows[head + 2 : head + 10]] == pytest.approx(
        bench_results.boards.current_a, rel=1e-11
    )


def test_variants_page(bench, bench_results, tmp_path):
    rows = list(
        evaluate_variants(
            bench,
            [Variant(name="soft", changes={"fixture.current_setting_a": 3.0}), Variant(name="odd", problem="why")],
        )
    )
    write_results(bench_results, tmp_path / "r.xlsx", variants=rows)
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Variants"]
    assert column(sheet, "Variant") == ["soft", "odd"]
    assert column(sheet, "Driver current")[0] == pytest.approx(3.0)
    assert "why" in column(sheet, "Findings, or why not computed")


def test_a_failed_run_leaves_earlier_results(bench_results, tmp_path, monkeypatch):
    target = tmp_path / "r.xlsx"
    write_results(bench_results, target)
    before = target.read_bytes()

    def broken(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("ledcalc.workbook.results.write.draw_pages", broken)
    with pytest.raises(FileProblem, match="No space left"):
        write_results(bench_results, target)
    assert target.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["r.xlsx"]


def test_a_failed_run_leaves_an_earlier_folder(bench_results, tmp_path, monkeypatch):
    write_results(bench_results, tmp_path / "out")
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    monkeypatch.setattr("ledcalc.workbook.results.write.block_rows", lambda _: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_results(bench_results, tmp_path / "out")
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_only_our_own_results_are_replaced(bench_results, example_xlsx, tmp_path):
    mine = tmp_path / "mine.xlsx"
    mine.write_bytes(example_xlsx.read_bytes())
    with pytest.raises(FileProblem, match="not written as ledcalc results"):
        write_results(bench_results, mine)
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "diary.txt").write_text("dear diary")
    with pytest.raises(FileProblem, match="none of the result files"):
        write_results(bench_results, tmp_path / "folder")
    with pytest.raises(FileProblem, match="there is no folder"):
        write_results(bench_results, tmp_path / "absent" / "r.xlsx")


def test_results_never_go_into_the_input(example_xlsx, example_csv):
    for source, target in (
        (example_xlsx, example_xlsx),
        (example_csv, example_csv),
        (example_csv, example_csv / "r.xlsx"),
    ):
        with pytest.raises(FileProblem, match="never go into the input"):
            lc.recalculate(source, target)


def test_maps_of_boards_beyond_the_crop(bench, tmp_path):
    wide = lc.evaluate(with_values(bench, {"fixture.column_pitch_m": 0.9, "fixture.rotation_deg": 37}))
    write_results(wide, tmp_path / "r.xlsx")
    assert any(isinstance(block, FieldMap) for page in pages_of(wide) for block in page.blocks)
