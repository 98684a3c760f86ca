"""Draws result pages into a workbook."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence
from typing import Any

from ledcalc.workbook.looks import Formats, lock, set_up_page
from ledcalc.workbook.results.charts import (
    ChartPlace,
    add_bar_chart,
    add_curve_chart,
    add_point_chart,
    add_profile_chart,
)
from ledcalc.workbook.results.columns import Taken, lines_needed, maps_across, page_columns
from ledcalc.workbook.results.field_map import MAP_ROW_HEIGHT, draw_field
from ledcalc.workbook.results.pages import (
    BarChart,
    Chart,
    Col,
    CurveChart,
    Facts,
    FieldMap,
    FieldMaps,
    Image,
    Lines,
    Page,
    PointChart,
    SheetBlock,
    Shown,
    Table,
)
from ledcalc.workbook.results.print_plan import (
    MOST_ROWS_ON_A_PAGE,
    ROW_HEIGHT_POINTS,
    is_kept_whole,
    is_one_page,
    page_ends,
    print_plan,
)
from ledcalc.workbook.texts import written_text

__all__ = ["draw_pages"]

LINE_HEIGHT = 14.0
# Of a higher row a spreadsheet says that the file is damaged.
TALLEST_ROW = 409.0
FIRST_TABLE_ROW = 3
CHART_ROWS = 22
POINTS_PER_INCH = 72.0
# What goes on a printed page as wide as a map of 24 points.
TALLEST_IMAGE_IN = 7.8
_CELL = re.compile(r"^(.+)!([A-Z]+\d+)$")


def draw_pages(book: Any, formats: Formats, pages: Sequence[Page], *, footer: str, link_base: str) -> None:
    """Draw every page as a sheet of its own; ``link_base`` leads to the input workbook."""
    for page in pages:
        sheet = book.add_worksheet(page.shown_title)
        drawer = _PageDrawer(book, sheet, formats, page, link_base)
        drawer.draw()
        is_whole = is_kept_whole(page)
        set_up_page(sheet, footer=footer, pages_high=int(is_whole))
        lock(sheet)
        drawer.keep_headers_in_sight()
        if not is_whole:
            drawer.repeat_headers()
        if drawer.columns.is_narrow:
            drawer.keep_maps_whole()
        elif not is_whole:
            sheet.set_h_pagebreaks(page_ends(drawer.headed, drawer.row, drawer.heights, drawer.columns.widths))


class _PageDrawer:
    """Draws one page from top to bottom, keeping the row it has come to."""

    def __init__(self, book: Any, sheet: Any, formats: Formats, page: Page, link_base: str) -> None:
        self.book, self.sheet, self.formats, self.page, self.link_base = book, sheet, formats, page, link_base
        self.row = 0
        self.last_table: tuple[Table, int] | None = None
        self.table_heads: list[tuple[int, int]] = []
        self.chart_row: int | None = None
        self.columns = page_columns(page)
        self.fact_columns = self.columns.of_facts()
        self.starts: list[int] = []
        self.headed: list[int] = []
        self.heights: dict[int, float] = {}

    def draw(self) -> None:
        """Draw title, lead and blocks."""
        for column, width in enumerate(self.columns.widths):
            self.sheet.set_column(column, column, width)
        self.sheet.write_string(0, 0, self.page.shown_title, self.formats.title)
        self._line(1, self.page.lead, self.formats.get(italic=True, text_wrap=True))
        self.row = 2
        for block, following in zip(self.page.blocks, [*self.page.blocks[1:], None], strict=True):
            if isinstance(following, BarChart | CurveChart | PointChart):
                self._keep_room_for_chart(block)
            if isinstance(block, Lines):
                self._lines(block)
            elif isinstance(block, Facts):
                self._facts(block)
            elif isinstance(block, Table):
                self._table(block)
            elif isinstance(block, BarChart | CurveChart | PointChart):
                self._chart(block)
            elif isinstance(block, FieldMap):
                self._field(block)
            elif isinstance(block, FieldMaps):
                self._fields(block)
            else:
                self._image(block)

    def keep_headers_in_sight(self) -> None:
        """Freeze title and tags, or the header of a table that starts the page."""
        if not self.table_heads or self.columns.is_narrow:
            self.sheet.freeze_panes(2, 0)
            return
        first, last = self.table_heads[0]
        self.sheet.freeze_panes(last + 1 if first <= FIRST_TABLE_ROW else 2, 1)

    def repeat_headers(self) -> None:
        """Repeat a lone table's header in print, where it prints on several pages.

        Where several tables stand on a page, none repeats: its header would come out over another's rows. Nor does one
        that needs no second page: LibreOffice takes longer to open repeated rows than a whole sheet.
        """
        lone = len(self.table_heads) == 1 and not self.columns.is_narrow
        if lone and not is_one_page(self.row, self.heights, self.columns.widths):
            first, last = self.table_heads[0]
            self.sheet.repeat_rows(0 if first <= FIRST_TABLE_ROW else first, last)

    def keep_maps_whole(self) -> None:
        """Turn the page in print between parts, as large as the page's width and its tallest part allow."""
        widths = self.columns.widths
        plan = print_plan(self.starts, self.row, self.heights, len(widths), widths[0])
        self.sheet.fit_to_pages(1, 0)
        self.sheet.print_area(0, 0, self.row, plan.columns_count - 1)
        self.sheet.set_h_pagebreaks(plan.breaks)

    def _high(self, row: int, points: float) -> None:
        self.heights[row] = min(points, TALLEST_ROW)
        self.sheet.set_row(row, self.heights[row])

    def _line(self, row: int, text: str, look: Any) -> None:
        """Write a line over the page's width, high enough for its text."""
        span = self.columns.of_line()
        width = sum(self.columns.widths[:span])
        self.sheet.merge_range(row, 0, row, span - 1, "", look)
        self.sheet.write_string(row, 0, written_text(text), look)
        self._high(row, 2.0 + LINE_HEIGHT * math.ceil(max(len(text), 1) * 0.95 / width))

    def _heading(self, text: str) -> None:
        self.starts.append(self.row)
        self.row += 1
        if text:
            self.headed.append(self.row - 1)
            for column in range(self.columns.of_line()):
                self.sheet.write_blank(self.row, column, None, self.formats.heading)
            self.sheet.write_string(self.row, 0, written_text(text), self.formats.heading)
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
        for fact in block.facts:
            pattern = _pattern(fact.digits)
            value_look = self.formats.text if isinstance(fact.value, str) else self.formats.number(pattern)
            looks = (self.formats.text, value_look, self.formats.text, self.formats.text)
            parts = (fact.label, fact.value, fact.unit, fact.remark)
            for value, taken, look in zip(parts, self.fact_columns, looks, strict=True):
                self._spread(self.row, taken, value, look)
            lines = math.ceil(len(fact.remark) / (self.fact_columns[3].width or 20.0))
            self._high(self.row, LINE_HEIGHT * max(1, lines))
            self.row += 1

    def _table(self, block: Table) -> None:
        self._heading(block.heading)
        self.last_table = (block, self.row)
        places = self.columns.of_table(block)
        units = any(column.unit for column in block.columns)
        for taken, column in zip(places, block.columns, strict=True):
            self._spread(self.row, taken, column.label, self.formats.head)
            if units:
                self._spread(self.row + 1, taken, column.unit, self.formats.unit)
        self._high(self.row, LINE_HEIGHT * lines_needed(places, [column.label for column in block.columns]))
        self.row += 2 if units else 1
        self.table_heads.append((self.last_table[1], self.row - 1))
        if block.has_filters:
            self.sheet.autofilter(self.row - 1, 0, self.row - 1 + len(block.rows), places[-1].first)
        for values in block.rows:
            for taken, column, value in zip(places, block.columns, values, strict=True):
                self._table_cell(taken, column, value)
            texts = [text if isinstance(text, str) else "" for text in values]
            self._high(self.row, LINE_HEIGHT * lines_needed(places, texts))
            self.row += 1

    def _table_cell(self, taken: Taken, column: Col, value: Shown) -> None:
        look = self.formats.text if isinstance(value, str) else self.formats.number(_pattern(column.digits))
        place = _CELL.match(value) if isinstance(value, str) and column.is_link else None
        if place and self.link_base:
            title = place.group(1).replace("'", "''")
            link = self.formats.get(underline=1, border=1, border_color="#B9BFB6", text_wrap=True)
            target = f"{self.link_base}'{title}'!{place.group(2)}"
            # Refused past a spreadsheet's number of links; the text has to stand there all the same.
            if self.sheet.write_url(self.row, taken.first, target, link, value) < 0:
                self._write(self.row, taken.first, value, look)
        else:
            self._spread(self.row, taken, value, look)

    def _spread(self, row: int, taken: Taken, value: Shown, look: Any) -> None:
        """Write a value over the columns that it takes."""
        if taken.span > 1:
            self.sheet.merge_range(row, taken.first, row, taken.first + taken.span - 1, "", look)
        self._write(row, taken.first, value, look)

    def _write(self, row: int, column: int, value: Shown, look: Any) -> None:
        if value is None or (isinstance(value, float) and not math.isfinite(value)):
            self.sheet.write_blank(row, column, None, look)
        elif isinstance(value, str):
            self.sheet.write_string(row, column, written_text(value), look)
        else:
            self.sheet.write_number(row, column, value, look)

    def _keep_room_for_chart(self, block: SheetBlock) -> None:
        """Keep room for the chart above a long table: below it, the end of a page would tear the chart."""
        if isinstance(block, Table) and len(block.rows) > MOST_ROWS_ON_A_PAGE:
            self.chart_row = self.row + 1
            self.row += CHART_ROWS

    def _chart(self, block: Chart) -> None:
        if self.last_table is None or not self.last_table[0].rows:
            return
        table, head_row = self.last_table
        at = self.row + 1 if self.chart_row is None else self.chart_row
        columns = tuple(taken.first for taken in self.columns.of_table(table))
        place = ChartPlace(first_row=head_row + 2, count=len(table.rows), head_row=head_row, at_row=at, columns=columns)
        if isinstance(block, BarChart):
            add_bar_chart(self.book, self.sheet, block, place)
        elif isinstance(block, PointChart):
            add_point_chart(self.book, self.sheet, block, place)
        else:
            add_curve_chart(self.book, self.sheet, block, place)
        if self.chart_row is None:
            self.row += CHART_ROWS

    def _field(self, block: FieldMap) -> None:
        self._heading(block.heading)
        drawn = draw_field(self.sheet, self.formats, block, self.row, scale=block.scale)
        self._map_rows(self.row, len(block.y_m), MAP_ROW_HEIGHT)
        self.row = drawn.next_row
        if block.scale is not None:
            return
        add_profile_chart(self.book, self.sheet, block, drawn, at_row=self.row + 1)
        self.row += CHART_ROWS

    def _fields(self, block: FieldMaps) -> None:
        """Draw several maps on one scale: in a row, or one under another."""
        self._heading(block.heading)
        scale, below, head = (block.lowest_umol_m2_s, block.highest_umol_m2_s), self.row, self.row
        for first, one in zip(maps_across(block), block.maps, strict=True):
            head = below if first == 0 else head
            self.sheet.write_string(head, first, one.heading, self.formats.get(bold=True))
            drawn = draw_field(
                self.sheet, self.formats, one, head + 1, column=first, scale=scale, row_height=LINE_HEIGHT
            )
            self._map_rows(head + 1, len(one.y_m), LINE_HEIGHT)
            below = max(below, drawn.next_row + 1)
        self.row = below

    def _map_rows(self, first: int, count: int, points: float) -> None:
        self.heights |= dict.fromkeys(range(first, first + count), points)

    def _image(self, block: Image) -> None:
        self._heading(block.heading)
        scale = min(1.0, TALLEST_IMAGE_IN / block.height_in)
        options = {"image_data": io.BytesIO(block.png), "description": block.description, "object_position": 3}
        options |= {"x_scale": scale, "y_scale": scale}
        self.sheet.insert_image(self.row, 0, "light-field.png", options)
        self.row += math.ceil(scale * block.height_in * POINTS_PER_INCH / ROW_HEIGHT_POINTS) + 1


def _pattern(digits: int | None) -> str:
    if digits is None:
        return "General"
    return "0" if digits == 0 else "0." + "0" * digits
