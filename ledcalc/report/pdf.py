"""A report as PDF pages, drawn by matplotlib."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, BinaryIO

from ledcalc.report.contents import Section
from ledcalc.report.drawings import draw_chart, draw_map, highest_light, map_height_over_width
from ledcalc.report.flow import PageFlow
from ledcalc.workbook.results.pages import BarChart, Chart, CurveChart, Facts, FieldMap, Lines, PointChart, Shown, Table

__all__ = ["write_pdf"]

FACT_WIDTHS = (30.0, 12.0, 13.0, 45.0)
CHART_HEIGHT = 190.0
MAP_WIDTH, TALLEST_MAP = 400.0, 420.0


def write_pdf(stream: BinaryIO, title: str, sections: Sequence[Section]) -> None:
    """Write the report's pages.

    Parameters
    ----------
    stream : where to
    title : the fixture's name
    sections : from ``report_sections``
    """
    from matplotlib.backends.backend_pdf import PdfPages

    highest = highest_light(block for section in sections for block in section.blocks)
    with PdfPages(stream, metadata={"Title": title, "CreationDate": None}) as pdf:
        flow = PageFlow(pdf, footer=title)
        flow.text(title, 17.0, is_bold=True, rule=True)
        for section in sections:
            _section(flow, section, highest)
        flow.close()


def _section(flow: PageFlow, section: Section, highest: float) -> None:
    flow.gap(14.0)
    flow.keep(90.0)
    flow.text(section.heading, 12.5, is_bold=True, rule=True)
    if section.lead:
        flow.text(section.lead, 8.5)
    table: Table | None = None
    for block in section.blocks:
        if isinstance(block, BarChart | CurveChart | PointChart):
            if table is not None and table.rows:
                _chart(flow, block, table)
        elif isinstance(block, FieldMap):
            _map(flow, block, highest)
        else:
            table = block if isinstance(block, Table) else table
            _words(flow, block)


def _words(flow: PageFlow, block: Lines | Facts | Table) -> None:
    flow.gap()
    if block.heading:
        flow.keep(50.0)
        flow.text(block.heading, 9.5, is_bold=True)
        flow.gap(3.0)
    if isinstance(block, Lines):
        for line in block.lines:
            flow.text(line, 8.5)
    elif isinstance(block, Facts):
        for fact in block.facts:
            is_number = not isinstance(fact.value, str)
            cells = (fact.label, _shown(fact.value, fact.digits), fact.unit, fact.remark)
            flow.row(cells, FACT_WIDTHS, 8.5, numbers=(False, is_number, False, False))
    else:
        _table(flow, block)


def _table(flow: PageFlow, table: Table) -> None:
    """Write a table; its head stands again on every page that it goes on to."""
    widths = [max(float(column.width), 6.0) for column in table.columns]
    size = 8.0 if sum(widths) <= 90.0 else 6.5
    heads = [f"{column.label}, {column.unit}" if column.unit else column.label for column in table.columns]
    numbers = [any(isinstance(row[n], int | float) for row in table.rows) for n in range(len(widths))]
    flow.keep(60.0)
    flow.row(heads, widths, size, numbers=numbers, is_bold=True)
    for row in table.rows:
        cells = [_shown(value, column.digits) for value, column in zip(row, table.columns, strict=True)]
        flow.row(cells, widths, size, numbers=numbers, head=heads)


def _shown(value: Shown, digits: int | None) -> str:
    if isinstance(value, str):
        return value
    if value is None or value != value:
        return ""
    return f"{value:g}" if digits is None else f"{value:.{digits}f}"


def _chart(flow: PageFlow, chart: Chart, table: Table) -> None:
    flow.gap()
    flow.drawing(CHART_HEIGHT, lambda _, axes: draw_chart(axes, chart, table))


def _map(flow: PageFlow, block: FieldMap, highest: float) -> None:
    def draw(figure: Any, axes: Any) -> None:
        bar = figure.colorbar(draw_map(axes, block, highest_umol_m2_s=highest), ax=axes, shrink=0.9)
        bar.set_label("PPFD in umol m-2 s-1", fontsize=8)
        bar.ax.tick_params(labelsize=7)

    flow.gap()
    flow.keep(min(MAP_WIDTH * map_height_over_width(block), TALLEST_MAP) + 90.0)
    flow.text(block.heading, 9.5, is_bold=True)
    flow.drawing(min(MAP_WIDTH * map_height_over_width(block), TALLEST_MAP) + 64.0, draw)
