"""Draws result pages into a workbook."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from ledcalc.workbook.looks import Formats, set_up_page
from ledcalc.workbook.results.charts import ChartPlace, add_bar_chart, add_curve_chart, add_profile_chart
from ledcalc.workbook.results.field_map import draw_field, narrow_columns
from ledcalc.workbook.results.pages import (
    BarChart,
    Block,
    Chart,
    Col,
    CurveChart,
    Facts,
    FieldMap,
    Lines,
    Page,
    Shown,
    Table,
)

__all__ = ["draw_pages"]

LINE_HEIGHT = 14.0
MOST_ROWS_ON_A_PAGE = 30
FIRST_TABLE_ROW = 3
CHART_ROWS = 22
FACT_WIDTHS = (36, 12, 16, 60)
# On a page with a map the columns are narrow, and figures span several of them.
NARROW_SPANS = (6, 2, 3, 9)
NARROW_WIDTH = 6.3
SPARE_WIDTH = 14.0
_CELL = re.compile(r"^(.+)!([A-Z]+\d+)$")


def draw_pages(book: Any, formats: Formats, pages: Sequence[Page], *, footer: str, link_base: str) -> None:
    """Draw every page as a sheet of its own; ``link_base`` leads to the input workbook."""
    for page in pages:
        sheet = book.add_worksheet(page.title)
        drawer = _PageDrawer(book, sheet, formats, page, link_base)
        drawer.draw()
        has_chart = any(isinstance(block, BarChart | CurveChart | FieldMap) for block in page.blocks)
        rows = sum(len(block.rows) for block in page.blocks if isinstance(block, Table))
        # A chart is not torn over two pages unless a long table stands above it.
        pages_high = 1 if page.title.startswith("Verdict") or (has_chart and rows <= MOST_ROWS_ON_A_PAGE) else 0
        set_up_page(sheet, footer=footer, pages_high=pages_high)
        drawer.keep_headers_in_sight()


class _PageDrawer:
    """Draws one page from top to bottom, keeping the row it has come to."""

    def __init__(self, book: Any, sheet: Any, formats: Formats, page: Page, link_base: str) -> None:
        self.book, self.sheet, self.formats, self.page, self.link_base = book, sheet, formats, page, link_base
        self.row = 0
        self.last_table: tuple[Table, int] | None = None
        self.table_heads: list[tuple[int, int]] = []
        self.chart_row: int | None = None
        self.is_narrow = any(isinstance(block, FieldMap) for block in page.blocks)
        self.widths = self._widths()

    def draw(self) -> None:
        """Draw title, lead and blocks."""
        for column, width in enumerate(self.widths):
            self.sheet.set_column(column, column, width)
        self.sheet.write_string(0, 0, self.page.title, self.formats.title)
        self._line(1, self.page.lead, self.formats.get(italic=True, text_wrap=True))
        self.row = 2
        for block, following in zip(self.page.blocks, [*self.page.blocks[1:], None], strict=True):
            if isinstance(following, BarChart | CurveChart):
                self._keep_room_for_chart(block)
            if isinstance(block, Lines):
                self._lines(block)
            elif isinstance(block, Facts):
                self._facts(block)
            elif isinstance(block, Table):
                self._table(block)
            elif isinstance(block, BarChart | CurveChart):
                self._chart(block)
            else:
                self._field(block)

    def keep_headers_in_sight(self) -> None:
        """Freeze title and tags, or the header of a table that starts the page; repeat a lone table's header in print.

        Where several tables stand on a page, none repeats: its header would come out over another's rows.
        """
        if not self.table_heads:
            self.sheet.freeze_panes(2, 0)
            return
        first, last = self.table_heads[0]
        starts_page = first <= FIRST_TABLE_ROW
        self.sheet.freeze_panes(last + 1 if starts_page else 2, 1)
        if len(self.table_heads) == 1:
            self.sheet.repeat_rows(0 if starts_page else first, last)

    def _widths(self) -> list[float]:
        if self.is_narrow:
            columns = max(len(block.x_m) + 1 for block in self.page.blocks if isinstance(block, FieldMap))
            return [NARROW_WIDTH] * max(columns, sum(NARROW_SPANS))
        tables = [block for block in self.page.blocks if isinstance(block, Table)]
        if not tables:
            return [float(width) for width in FACT_WIDTHS]
        widths = [float(column.width) for column in max(tables, key=lambda table: len(table.columns)).columns]
        # Beside a narrow table figures, their remarks and the lead need columns of their own.
        while sum(widths) < 0.85 * sum(FACT_WIDTHS):
            widths.append(SPARE_WIDTH)
        return widths

    def _spans(self) -> list[int]:
        """Return how many columns the four parts of a figure take: enough for each part's usual width."""
        if self.is_narrow:
            return list(NARROW_SPANS)
        spans, column = [], 0
        for wanted in FACT_WIDTHS:
            span, width = 0, 0.0
            while column < len(self.widths) and (span == 0 or width < wanted * 0.85):
                width += self.widths[column]
                column, span = column + 1, span + 1
            spans.append(max(span, 1))
        return spans

    def _line(self, row: int, text: str, look: Any) -> None:
        """Write a line over the page's width, high enough for its text."""
        width = sum(self.widths[: self._span()])
        self.sheet.merge_range(row, 0, row, self._span() - 1, "", look)
        self.sheet.write_string(row, 0, text, look)
        self.sheet.set_row(row, 2.0 + LINE_HEIGHT * math.ceil(max(len(text), 1) * 0.95 / width))

    def _span(self) -> int:
        """Return how many columns make up about a line of 120 characters."""
        total, count = 0.0, 0
        while count < len(self.widths) and total < 120.0:
            total += self.widths[count]
            count += 1
        return max(count, 2)

    def _heading(self, text: str) -> None:
        self.row += 1
        if text:
            for column in range(self._span()):
                self.sheet.write_blank(self.row, column, None, self.formats.heading)
            self.sheet.write_string(self.row, 0, text, self.formats.heading)
            self.row += 1

    def _lines(self, block: Lines) -> None:
        if not block.lines:
            return
        self._heading(block.heading)
        look = self.formats.get(text_wrap=True, bold=block.bold, font_size=12 if block.bold else 10)
        for text in block.lines:
            self._line(self.row, text, look)
            self.row += 1

    def _facts(self, block: Facts) -> None:
        self._heading(block.heading)
        spans = self._spans()
        for fact in block.facts:
            pattern = _pattern(fact.digits)
            value_look = self.formats.text if isinstance(fact.value, str) else self.formats.number(pattern)
            looks = (self.formats.text, value_look, self.formats.text, self.formats.text)
            column = 0
            for value, span, look in zip((fact.label, fact.value, fact.unit, fact.remark), spans, looks, strict=True):
                if span > 1:
                    self.sheet.merge_range(self.row, column, self.row, column + span - 1, "", look)
                self._write(self.row, column, value, look)
                column += span
            self.sheet.set_row(self.row, LINE_HEIGHT * self._fact_lines(fact.remark, spans))
            self.row += 1

    def _fact_lines(self, remark: str, spans: Sequence[int]) -> int:
        first = sum(spans[:3])
        width = sum(self.widths[first : first + spans[3]]) or 20.0
        return max(1, math.ceil(len(remark) / width))

    def _table(self, block: Table) -> None:
        self._heading(block.heading)
        self.last_table = (block, self.row)
        units = any(column.unit for column in block.columns)
        for number, column in enumerate(block.columns):
            self.sheet.write_string(self.row, number, column.label, self.formats.head)
            if units:
                self.sheet.write_string(self.row + 1, number, column.unit, self.formats.unit)
        self.sheet.set_row(self.row, LINE_HEIGHT * self._lines_needed([column.label for column in block.columns]))
        self.row += 2 if units else 1
        self.table_heads.append((self.last_table[1], self.row - 1))
        for values in block.rows:
            for number, (column, value) in enumerate(zip(block.columns, values, strict=True)):
                self._table_cell(number, column, value)
            self.sheet.set_row(
                self.row, LINE_HEIGHT * self._lines_needed([text if isinstance(text, str) else "" for text in values])
            )
            self.row += 1

    def _lines_needed(self, texts: Sequence[str]) -> int:
        return max((_wrapped_lines(text, self.widths[number]) for number, text in enumerate(texts)), default=1)

    def _table_cell(self, number: int, column: Col, value: Shown) -> None:
        look = self.formats.text if isinstance(value, str) else self.formats.number(_pattern(column.digits))
        place = _CELL.match(value) if isinstance(value, str) and column.is_link else None
        if place and self.link_base:
            title = place.group(1).replace("'", "''")
            link = self.formats.get(underline=1, border=1, border_color="#B9BFB6", text_wrap=True)
            target = f"{self.link_base}'{title}'!{place.group(2)}"
            # Refused past a spreadsheet's number of links; the text has to stand there all the same.
            if self.sheet.write_url(self.row, number, target, link, value) < 0:
                self._write(self.row, number, value, look)
        else:
            self._write(self.row, number, value, look)

    def _write(self, row: int, column: int, value: Shown, look: Any) -> None:
        if value is None or (isinstance(value, float) and not math.isfinite(value)):
            self.sheet.write_blank(row, column, None, look)
        elif isinstance(value, str):
            self.sheet.write_string(row, column, value[:32_000], look)
        else:
            self.sheet.write_number(row, column, value, look)

    def _keep_room_for_chart(self, block: Block) -> None:
        """Keep room for the chart above a long table: below it, the end of a page would tear the chart."""
        if isinstance(block, Table) and len(block.rows) > MOST_ROWS_ON_A_PAGE:
            self.chart_row = self.row + 1
            self.row += CHART_ROWS

    def _chart(self, block: Chart) -> None:
        if self.last_table is None or not self.last_table[0].rows:
            return
        table, head_row = self.last_table
        at = self.row + 1 if self.chart_row is None else self.chart_row
        place = ChartPlace(first_row=head_row + 2, count=len(table.rows), head_row=head_row, at_row=at)
        if isinstance(block, BarChart):
            add_bar_chart(self.book, self.sheet, block, place)
        else:
            add_curve_chart(self.book, self.sheet, block, place)
        if self.chart_row is None:
            self.row += CHART_ROWS

    def _field(self, block: FieldMap) -> None:
        self._heading(block.heading)
        narrow_columns(self.sheet, block)
        drawn = draw_field(self.sheet, self.formats, block, self.row)
        self.row = drawn.next_row
        add_profile_chart(self.book, self.sheet, block, drawn, at_row=self.row + 1)
        self.row += CHART_ROWS


def _pattern(digits: int) -> str:
    return "0" if digits == 0 else "0." + "0" * digits


def _wrapped_lines(text: str, width: float) -> int:
    """Return how many lines a text takes in a cell, broken at its spaces."""
    lines, used = 1, 0
    for word in text.split():
        length = len(word) * 1.0
        if used and used + 1 + length > width:
            lines, used = lines + 1, 0
        while length > width:
            lines, length = lines + 1, length - width
        used = int(used + length + (1 if used else 0))
    return lines
