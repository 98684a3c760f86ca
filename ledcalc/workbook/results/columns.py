"""How wide the columns of a result page are, and which of them a line, a figure, a table's column, a map take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledcalc.workbook.results.pages import FieldMap, FieldMaps, Page, Table

__all__ = ["PageColumns", "Taken", "lines_needed", "maps_across", "page_columns", "wrapped_lines"]

FACT_WIDTHS = (36, 12, 16, 60)
# On a page with a map the columns are narrow: figures, and the columns of tables, span several of them.
NARROW_SPANS = (6, 2, 3, 9)
NARROW_WIDTH = 6.3
SPARE_WIDTH = 14.0
LONGEST_LINE = 120.0
# Maps stand side by side as long as they stay readable in print.
MOST_COLUMNS_ACROSS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """The columns that something takes: the first, how many, how wide they are together."""

    first: int
    span: int
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PageColumns:
    """A page's column widths in characters; ``is_narrow``: as a map needs them."""

    widths: tuple[float, ...]
    is_narrow: bool

    def of_line(self) -> int:
        """Return how many columns make up about a line of 120 characters."""
        total, count = 0.0, 0
        while count < len(self.widths) and total < LONGEST_LINE:
            total += self.widths[count]
            count += 1
        return max(count, 2)

    def of_facts(self) -> list[Taken]:
        """Return the columns of the four parts of a figure: enough for each part's usual width."""
        if self.is_narrow:
            return self._taken(NARROW_SPANS)
        spans, column = [], 0
        for wanted in FACT_WIDTHS:
            span, width = 0, 0.0
            while column < len(self.widths) and (span == 0 or width < wanted * 0.85):
                width += self.widths[column]
                column, span = column + 1, span + 1
            spans.append(max(span, 1))
        return self._taken(spans)

    def of_table(self, table: Table) -> list[Taken]:
        """Return the columns of each of a table's columns."""
        if not self.is_narrow:
            return self._taken([1] * len(table.columns))
        return self._taken(_spans(table))

    def _taken(self, spans: Sequence[int]) -> list[Taken]:
        found, first = [], 0
        for span in spans:
            found.append(Taken(first=first, span=span, width=sum(self.widths[first : first + span])))
            first += span
        return found


def page_columns(page: Page) -> PageColumns:
    """Return the columns that a page's blocks ask for."""
    maps = [block for block in page.blocks if isinstance(block, FieldMap | FieldMaps)]
    tables = [block for block in page.blocks if isinstance(block, Table)]
    if maps:
        count = max(sum(NARROW_SPANS), *(_across(block) for block in maps), *(sum(_spans(table)) for table in tables))
        return PageColumns(widths=(NARROW_WIDTH,) * count, is_narrow=True)
    if not tables:
        return PageColumns(widths=tuple(float(width) for width in FACT_WIDTHS), is_narrow=False)
    widths = [float(column.width) for column in max(tables, key=lambda table: len(table.columns)).columns]
    # Beside a narrow table figures, their remarks and the lead need columns of their own.
    while sum(widths) < 0.85 * sum(FACT_WIDTHS):
        widths.append(SPARE_WIDTH)
    return PageColumns(widths=tuple(widths), is_narrow=False)


def maps_across(block: FieldMaps) -> list[int]:
    """Return the first column of each map: side by side where they have room, else all in the first."""
    firsts, column = [], 0
    for one in block.maps:
        firsts.append(column)
        column += len(one.x_m) + 2
    return firsts if column - 1 <= MOST_COLUMNS_ACROSS else [0] * len(firsts)


def _spans(table: Table) -> list[int]:
    return [max(1, round(column.width / NARROW_WIDTH)) for column in table.columns]


def _across(block: FieldMap | FieldMaps) -> int:
    if isinstance(block, FieldMap):
        return len(block.x_m) + 1
    return max(first + len(one.x_m) + 1 for first, one in zip(maps_across(block), block.maps, strict=True))


def wrapped_lines(text: str, width: float) -> int:
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


def lines_needed(places: Sequence[Taken], texts: Sequence[str]) -> int:
    """Return how many lines the longest of some texts side by side takes."""
    return max((wrapped_lines(text, taken.width) for taken, text in zip(places, texts, strict=True)), default=1)
