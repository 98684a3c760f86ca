"""A report as PDF pages, drawn by matplotlib."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO

from ledcalc.picture.scale import Scale
from ledcalc.report.contents import Section
from ledcalc.report.drawings import draw_chart, draw_map, legend_rows_count, light_scale, map_height_over_width
from ledcalc.report.flow import GAP, PageFlow, column_layout
from ledcalc.workbook.results.pages import BarChart, Chart, CurveChart, Facts, FieldMap, Lines, PointChart, Shown, Table

__all__ = ["write_pdf"]

FACT_WIDTHS = (30.0, 12.0, 13.0, 45.0)
FACT_SIZES = (8.5, 8.0, 7.5)
TABLE_SIZES = (8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0)
WIDE_TABLE_SIZES = (6.5, 6.0, 5.5, 5.0)
# Blocks up to this height, in points, are not parted by a page's end; of longer ones so many rows begin a page.
KEPT_WHOLE = 250.0
ROWS_TOGETHER = 2
CHART_HEIGHT = 190.0
LEGEND_ROW = 11.0
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

    scale = light_scale(block for section in sections for block in section.blocks)
    with PdfPages(stream, metadata={"Title": title, "CreationDate": None}) as pdf:
        flow = PageFlow(pdf, footer=title)
        flow.text(title, 17.0, is_bold=True, rule=True)
        for section in sections:
            _section(flow, section, scale)
        flow.close()


def _section(flow: PageFlow, section: Section, scale: Scale) -> None:
    flow.gap(14.0)
    first = section.blocks[0]
    start = _start(flow, first) if isinstance(first, Lines | Facts | Table) else CHART_HEIGHT
    lead = flow.text_height(section.lead, 8.5) if section.lead else 0.0
    flow.keep(flow.text_height(section.heading, 12.5, is_bold=True) + 3.0 + lead + start)
    flow.text(section.heading, 12.5, is_bold=True, rule=True)
    if section.lead:
        flow.text(section.lead, 8.5)
    table: Table | None = None
    for block in section.blocks:
        if isinstance(block, BarChart | CurveChart | PointChart):
            if table is not None and table.rows:
                _chart(flow, block, table)
        elif isinstance(block, FieldMap):
            _map(flow, block, scale)
        else:
            table = block if isinstance(block, Table) else table
            _words(flow, block)


def _words(flow: PageFlow, block: Lines | Facts | Table) -> None:
    flow.keep(_start(flow, block))
    flow.gap()
    if block.heading:
        flow.text(block.heading, 9.5, is_bold=True)
        flow.gap(3.0)
    if isinstance(block, Lines):
        for line in block.lines:
            flow.text(line, 8.5)
    else:
        _grid_of(block).write(flow)


def _start(flow: PageFlow, block: Lines | Facts | Table) -> float:
    """Return how much of a block stands on one page: all of a short one, else its heading and its first rows."""
    heading = GAP + (flow.text_height(block.heading, 9.5, is_bold=True) + 3.0 if block.heading else 0.0)
    if isinstance(block, Lines):
        return heading + sum(flow.text_height(line, 8.5) for line in block.lines[:ROWS_TOGETHER])
    grid = _grid_of(block)
    heights = grid.heights(flow)
    whole = sum(heights)
    return heading + (whole if whole <= KEPT_WHOLE else sum(heights[: ROWS_TOGETHER + bool(grid.head)]))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """Rows of cells with the widths of their columns in points; ``head`` is empty for figures one below the other."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    to_right: tuple[tuple[bool, ...], ...]
    widths: tuple[float, ...]
    size: float

    def heights(self, flow: PageFlow) -> list[float]:
        """Return how high the head, where there is one, and each row come out."""
        head = [flow.row_height(self.head, self.widths, self.size, is_bold=True)] if self.head else []
        return head + [flow.row_height(row, self.widths, self.size) for row in self.rows]

    def write(self, flow: PageFlow) -> None:
        """Write it; the head stands again on every page that it goes on to, and no last row alone on a page."""
        if self.head:
            columns = [any(row[n] for row in self.to_right) for n in range(len(self.head))]
            flow.row(self.head, self.widths, self.size, numbers=columns, is_bold=True)
        for number, (row, to_right) in enumerate(zip(self.rows, self.to_right, strict=True)):
            is_last_but_one = number == len(self.rows) - 2
            kept = flow.row_height(self.rows[-1], self.widths, self.size) if is_last_but_one else 0.0
            flow.row(row, self.widths, self.size, numbers=to_right, head=self.head, kept=kept)


def _grid_of(block: Facts | Table) -> _Grid:
    rows: tuple[tuple[str, ...], ...]
    if isinstance(block, Facts):
        rows = tuple((fact.label, _shown(fact.value, fact.digits), fact.unit, fact.remark) for fact in block.facts)
        widths, size = column_layout(rows, FACT_WIDTHS, FACT_SIZES, is_head_bold=False)
        by_row = tuple((False, not isinstance(fact.value, str), False, False) for fact in block.facts)
        return _Grid(head=(), rows=rows, to_right=by_row, widths=tuple(widths), size=size)
    shares = [max(float(column.width), 6.0) for column in block.columns]
    head = tuple(f"{column.label}, {column.unit}" if column.unit else column.label for column in block.columns)
    rows = tuple(
        tuple(_shown(value, column.digits) for value, column in zip(row, block.columns, strict=True))
        for row in block.rows
    )
    widths, size = column_layout((head, *rows), shares, TABLE_SIZES if sum(shares) <= 90.0 else WIDE_TABLE_SIZES)
    sides = tuple(any(isinstance(row[n], int | float) for row in block.rows) for n in range(len(head)))
    return _Grid(head=head, rows=rows, to_right=(sides,) * len(rows), widths=tuple(widths), size=size)


def _shown(value: Shown, digits: int | None) -> str:
    if isinstance(value, str):
        return value
    if value is None or value != value:
        return ""
    return f"{value:g}" if digits is None else f"{value:.{digits}f}"


def _chart(flow: PageFlow, chart: Chart, table: Table) -> None:
    flow.gap()
    more = (legend_rows_count(chart) - 1) * LEGEND_ROW
    flow.drawing(CHART_HEIGHT + more, lambda _, axes: draw_chart(axes, chart, table), more_below=more)


def _map(flow: PageFlow, block: FieldMap, scale: Scale) -> None:
    def draw(figure: Any, axes: Any) -> None:
        bar = figure.colorbar(draw_map(axes, block, scale=scale), ax=axes, shrink=0.9)
        bar.set_label("PPFD in umol m-2 s-1", fontsize=8)
        bar.ax.tick_params(labelsize=7)

    flow.gap()
    flow.keep(min(MAP_WIDTH * map_height_over_width(block), TALLEST_MAP) + 90.0)
    flow.text(block.heading, 9.5, is_bold=True)
    flow.drawing(min(MAP_WIDTH * map_height_over_width(block), TALLEST_MAP) + 64.0, draw)
