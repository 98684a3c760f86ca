"""Result sheets in print and on screen: headers stay in sight, footers fit, findings always say where."""

import dataclasses
import warnings

import numpy as np
import openpyxl
import pytest

import ledcalc as lc
from ledcalc.workbook.results import write_results
from ledcalc.workbook.results.current_log import _digits


def written(results, path, **more):
    write_results(results, path, **more)
    return openpyxl.load_workbook(path)


def where(book):
    sheet = book["Findings"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Where")
    return sheet.cell(head.row + 1, head.column)


def test_headers_stay_in_sight(bench_results, tmp_path):
    book = written(bench_results, tmp_path / "r.xlsx")
    for sheet in book:
        assert sheet.freeze_panes, sheet.title
    for title, label in (("Assumptions", "Where"), ("Faults", "Fault"), ("Workings", "Topic")):
        first, last = (int(row.lstrip("$")) for row in book[title].print_title_rows.split(":"))
        assert label in [book[title].cell(row, 1).value for row in range(first, last + 1)], title
    # Several tables, or a single page.
    assert not any(book[title].print_title_rows for title in ("Bench", "Currents", "Wiring"))


def test_footer_of_a_long_name_keeps_the_version(bench, tmp_path):
    results = lc.evaluate(dataclasses.replace(bench, name="A very long näme of a fixture, " * 12))
    footer = written(results, tmp_path / "r.xlsx")["Currents"].oddFooter.left.text
    assert footer.endswith(f", ledcalc {results.stamp.ledcalc_version}")
    assert len(footer) < 70


@pytest.mark.parametrize(
    ("name", "target"),
    [
        ("a b#c %20.xlsx", "a%20b%23c%20%2520.xlsx"),
        ("it's [1].xlsx", "it's%20%5B1%5D.xlsx"),
        ("Bänke.xlsx", "Bänke.xlsx"),
    ],
)
def test_links_to_oddly_named_inputs(bench_results, tmp_path, name, target):
    cell = where(written(bench_results, tmp_path / "r.xlsx", input_path=tmp_path / name))
    assert cell.hyperlink.target == target
    assert cell.hyperlink.location == "'fixture'!B13"


def test_place_stands_as_text_where_a_link_would_be_too_long(bench_results, tmp_path):
    deep = tmp_path.joinpath(*["d" * 200] * 11, "in.xlsx")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        cell = where(written(bench_results, tmp_path / "r.xlsx", input_path=deep))
    assert cell.value == bench_results.findings[0].cell
    assert cell.hyperlink is None


def test_severity_has_mark_and_word(bench_results, tmp_path):
    found = bench_results.findings[0]
    each = tuple(dataclasses.replace(found, severity=severity) for severity in ("stop", "act", "note"))
    rows = list(written(dataclasses.replace(bench_results, findings=each), tmp_path / "r.xlsx")["Findings"].values)
    assert [row[:2] for row in rows[4:7]] == [("!!!", "stop"), ("!!", "act"), ("i", "note")]


def test_one_board_says_why_nothing_can_be_lost(bench, tmp_path):
    cable = dataclasses.replace(bench.cables[0], tag="W1", to_node="B1")
    lone = dataclasses.replace(
        bench,
        rows_count=1,
        columns_count=1,
        current_setting_a=0.5,
        cables=(cable,),
        current_log=(),
        light_readings=(),
        drivers=(dataclasses.replace(bench.drivers[0], current_low_a=0.1),),
    )
    sheet = written(lc.evaluate(lone), tmp_path / "r.xlsx")["Currents"]
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "If another branch is lost")
    assert sheet.cell(head.row + 2, head.column).value == "no other branch"


def test_chart_of_many_boards_stands_above_its_table(bench, tmp_path):
    cable = bench.cables[0]
    many = dataclasses.replace(
        bench,
        rows_count=6,
        columns_count=10,
        current_setting_a=30.0,
        cables=tuple(dataclasses.replace(cable, tag=f"W{n}", to_node=f"B{n}") for n in range(1, 61)),
        drivers=(dataclasses.replace(bench.drivers[0], current_high_a=100.0, power_limit_w=5000.0),),
        current_log=(),
        light_readings=(),
    )
    sheet = written(lc.evaluate(many), tmp_path / "r.xlsx")["Currents"]
    head = next(cell.row for row in sheet.iter_rows() for cell in row if cell.value == "Board")
    place = sheet._charts[0].anchor
    assert place.to.row < head - 1
    assert sheet._charts[0].series[0].val.numRef.f == f"Currents!$C${head + 2}:$C${head + 61}"


def test_what_has_no_cell_is_named_as_the_sheets_name_it(bench_results, tmp_path):
    """A fixture from Python has no sheets: there the path stays, as Python writes it."""
    without = dataclasses.replace(bench_results, fixture=dataclasses.replace(bench_results.fixture, origin=None))
    seen = []
    for results in (bench_results, without):
        sheet = written(results, tmp_path / "r.xlsx")["Assumptions"]
        seen.append({sheet.cell(row, 1).value for row in range(5, sheet.max_row + 1)})
    assert {"Boards", "Heat sinks", "Site"} <= seen[0]
    assert not {"boards", "heat_sinks", "site"} & seen[0]
    assert {"boards", "heat_sinks", "site"} <= seen[1]


def test_like_boards_have_like_outlines_on_the_map(bench_results, tmp_path):
    """Boards of 0.25 m end at the centres of the map's cells of 0.05 m: all take both ends in."""
    sheet = written(bench_results, tmp_path / "r.xlsx")["Light field"]
    row = next(row for row in sheet.iter_rows() if any(cell.border.left.style == "medium" for cell in row))
    starts = [cell.column for cell in row if cell.border.left.style == "medium"]
    ends = [cell.column for cell in row if cell.border.right.style == "medium"]
    assert [end - start + 1 for start, end in zip(starts, ends, strict=True)] == [6, 6, 6, 6]


@pytest.mark.parametrize(
    ("half_width", "digits"), [([2.4, 2.4], 1), ([0.092, np.nan], 3), ([0.006], 3), ([31.0], 0), ([np.nan, 0.0], 3)]
)
def test_figures_have_the_digits_that_they_are_known_to(half_width, digits):
    assert _digits(np.array(half_width)) == digits
