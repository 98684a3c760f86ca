"""The report on paper: no word of a table breaks, headings stay with their tables, curves and maps are told apart."""

import contextlib
import io
import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure

from ledcalc.demo import seedling_bench
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.report import report_sections
from ledcalc.report.contents import Section
from ledcalc.report.drawings import LINE_LOOKS, draw_chart, draw_map, legend_rows_count, light_scale
from ledcalc.report.flow import BOTTOM, CELL_PAD, LEFT, RIGHT, TOP, PageFlow, _width, _wrapped, column_layout
from ledcalc.report.html import html_of
from ledcalc.report.pdf import _grid_of, write_pdf
from ledcalc.workbook.results.pages import CurveChart, Facts, FieldMap, Lines, Table, col, fact


@pytest.fixture(scope="module")
def results():
    return evaluate(seedling_bench())


class Pages:
    """Takes the pages in place of a file; ``text`` has the words of each, from top to bottom."""

    def __init__(self):
        self.text = []

    def savefig(self, figure):
        lines = sorted(figure.texts, key=lambda text: (-text.get_position()[1], text.get_position()[0]))
        self.text.append([text.get_text() for text in lines])


def grids(results):
    for section in report_sections(results):
        for block in section.blocks:
            if isinstance(block, Facts | Table):
                yield _grid_of(block)


def test_no_word_of_a_table_breaks(results):
    for grid in grids(results):
        assert sum(grid.widths) == pytest.approx(RIGHT - LEFT)
        for cells, is_bold in [(grid.head, True)] * bool(grid.head) + [(row, False) for row in grid.rows]:
            for cell, width in zip(cells, grid.widths, strict=True):
                lines = _wrapped(cell, width - CELL_PAD, grid.size, is_bold)
                assert " ".join(lines) == " ".join(cell.split())


def test_letters_shrink_before_words_break():
    head = [f"temperature{number}" for number in range(9)]
    widths, size = column_layout([head], [1.0] * 9, (8.0, 7.0, 6.0, 5.0))
    assert size in {6.0, 7.0}
    assert all(width - CELL_PAD >= _width(word, size, True) for width, word in zip(widths, head, strict=True))
    crowded, smallest = column_layout([head * 9], [1.0] * 81, (8.0, 5.0))
    assert smallest == 5.0
    assert sum(crowded) == pytest.approx(RIGHT - LEFT)


def test_short_cells_stay_on_one_line_where_there_is_room():
    widths, size = column_layout([["Sink", "Note"], ["Channel 300", "x"]], [1.0, 30.0], (8.0,))
    assert widths[0] - CELL_PAD >= _width("Channel 300", size, False)


@pytest.mark.parametrize("filler", range(20, 60))
def test_a_heading_stays_with_its_table(filler):
    rows = tuple((f"row {number}", number) for number in range(40))
    table = Table(heading="Boards", columns=(col("Board"), col("Current", "A")), rows=rows)
    pages = pages_of(filler, table)
    at = next(page for page in pages if "Boards" in page)
    after = at[at.index("Boards") + 1 :]
    assert {"Board", "Current, A", "row 0", "row 1"} <= set(after)
    assert "row 38" in next(page for page in pages if "row 39" in page)


@pytest.mark.parametrize("filler", range(30, 60))
def test_a_few_figures_stay_together(filler):
    few = Facts(heading="In short", facts=tuple(fact(f"figure {number}", 1.0) for number in range(10)))
    page = next(page for page in pages_of(filler, few) if "In short" in page)
    assert {f"figure {number}" for number in range(10)} <= set(page)


def pages_of(filler, block):
    from ledcalc.report.pdf import _words

    pages = Pages()
    flow = PageFlow(pages, footer="")
    for _ in range(filler):
        flow.text("filler", 9.0)
    _words(flow, block)
    flow.close()
    return pages.text


def test_a_section_heading_stays_with_its_first_rows(monkeypatch):
    pages = Pages()
    monkeypatch.setattr("matplotlib.backends.backend_pdf.PdfPages", lambda *_, **__: contextlib.nullcontext(pages))
    rows = tuple((f"row {number}",) for number in range(60))
    for filler in range(40, 60):
        pages.text.clear()
        first = Section(heading="First", blocks=(Lines(lines=("filler",) * filler),))
        second = Section(heading="Second", lead="why", blocks=(Table(heading="", columns=(col("Name"),), rows=rows),))
        write_pdf(io.BytesIO(), "Bench", (first, second))
        assert "row 1" in next(page for page in pages.text if "Second" in page)


def test_a_page_is_not_turned_twice_for_what_is_taller_than_it():
    pages = Pages()
    flow = PageFlow(pages, footer="")
    flow.keep(2.0 * (TOP - BOTTOM))
    flow.close()
    assert len(pages.text) == 1


def test_twelve_curves_are_told_apart():
    assert len(set(LINE_LOOKS)) == 12
    names = tuple(col(f"B{number}") for number in range(1, 13))
    rows = tuple((float(hour), *(float(number) for number in range(12))) for hour in range(30))
    chart = CurveChart(title="Shares", across="h", up="%", curves=tuple(range(1, 13)))
    axes = Figure().add_subplot()
    draw_chart(axes, chart, Table(heading="", columns=(col("Time"), *names), rows=rows))
    looks = {(line.get_color(), line.get_linestyle(), line.get_marker()) for line in axes.lines}
    assert len(looks) == 12
    assert legend_rows_count(chart) == 2
    assert legend_rows_count(replace(chart, curves=(1, 2, 3))) == 1


def map_of(low, high, scale=None):
    field = np.linspace(low, high, 6).reshape(2, 3)
    return FieldMap(
        heading="",
        x_m=np.array([0.1, 0.3, 0.5]),
        y_m=np.array([0.1, 0.3]),
        ppfd_umol_m2_s=field,
        boards=(),
        scale=scale,
    )


def test_maps_stand_on_one_scale_of_round_numbers_about_their_light():
    blocks = [map_of(152.0, 190.0), map_of(170.0, 236.0), map_of(-9.0, 9.0, (-9.0, 9.0))]
    scale = light_scale(blocks)
    assert 100.0 <= scale.low <= 152.0
    assert 236.0 <= scale.high <= 260.0
    assert scale.low % 10.0 == scale.high % 10.0 == 0.0
    drawn = [draw_map(Figure().add_subplot(), block, scale=scale).get_clim() for block in blocks]
    assert drawn == [(scale.low, scale.high), (scale.low, scale.high), (-9.0, 9.0)]


def test_a_dark_field_has_a_scale():
    assert light_scale([map_of(0.0, 0.0)]).high > 0.0
    assert light_scale([]).high > 0.0


def test_findings_say_what_to_do_and_where(results):
    from html import escape

    found = replace(results.findings[0], cell="Fixture!B12")
    bare = replace(results.findings[-1], cell="")
    text = html_of("x", report_sections(replace(results, findings=(found, bare))))
    for words in (found.message, found.remedy, "Fixture!B12", bare.remedy, bare.path, "do not energise until"):
        assert f"{escape(words)}" in text
    none = report_sections(replace(results, findings=()))
    assert re.search("No finding", html_of("x", none))
