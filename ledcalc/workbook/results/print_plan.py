"""Where a long result page turns in print, and how wide it is printed: no map and no picture is torn."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledcalc.workbook.results.pages import BarChart, CurveChart, Page, PointChart, Table

__all__ = ["PrintPlan", "is_kept_whole", "is_one_page", "page_ends", "print_plan"]

# A4 landscape less the margins of ``looks.set_up_page``.
PAGE_WIDTH_IN, PAGE_HEIGHT_IN = 10.69, 6.97
PIXELS_PER_INCH, POINTS_PER_INCH = 96.0, 72.0
ROW_HEIGHT_POINTS = 15.0
MOST_ROWS_ON_A_PAGE = 30
# Pages that are read at a glance, and print small rather than on two sheets of paper.
ON_ONE_PAGE, MOST_ROWS_SMALL = ("Side by side",), 40
# Spreadsheets make rows a little higher than they are told.
SURELY_FILLED = 0.85
# Smaller than this nothing can be read: then a map is torn after all.
LEAST_SCALE = 0.45


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPlan:
    """How many columns are to fill a page's width, and the rows (from 0) that begin a page.

    A page is printed as small as its width asks for, and by more columns than are filled it becomes smaller still:
    that holds whatever the font makes of a column's width, which no scale in per cent does.
    """

    columns_count: int
    breaks: tuple[int, ...]


def print_plan(
    starts: Sequence[int], last_row: int, heights_points: Mapping[int, float], columns_count: int, width: float
) -> PrintPlan:
    """Return width and page ends for a page whose parts begin at certain rows.

    Parameters
    ----------
    starts : rows at which a part begins that is to stay whole, rising
    last_row : the row after all parts
    heights_points : heights of rows that have their own
    columns_count, width : how many columns there are, and how wide each is in characters
    """
    # A column of so many characters, in pixels of the usual font.
    column_in = int(width * 7 + 5) / PIXELS_PER_INCH
    wide = PAGE_WIDTH_IN / (columns_count * column_in)
    rows = [0, *starts[1:], last_row]
    parts = [
        sum(heights_points.get(row, ROW_HEIGHT_POINTS) for row in range(first, last))
        for first, last in itertools.pairwise(rows)
    ]
    page = PAGE_HEIGHT_IN * POINTS_PER_INCH
    scale = min(1.0, wide, max(LEAST_SCALE, page / max(parts)))
    breaks, used = [], 0.0
    for row, height in zip(rows, parts, strict=False):
        if used and (used + height) * scale > page:
            breaks.append(row)
            used = 0.0
        used += height
    count = max(columns_count, math.ceil(PAGE_WIDTH_IN / scale / column_in))
    return PrintPlan(columns_count=count, breaks=tuple(breaks))


def page_ends(
    starts: Sequence[int], last_row: int, heights_points: Mapping[int, float], widths: Sequence[float]
) -> list[int]:
    """Return the rows (from 0) that are to begin a printed page, so that no heading is left behind by what it heads.

    Parameters
    ----------
    starts : rows at which a part under a heading begins, rising
    last_row, heights_points : as ``print_plan``
    widths : of the columns, in characters

    Returns
    -------
    rows; a part that is longer than half a page begins where it comes, if half a page is left for it
    """
    page = _page_points(widths)
    rows = [0, *starts[1:], last_row]
    ends, used = [], 0.0
    for first, last in itertools.pairwise(rows):
        height = sum(heights_points.get(row, ROW_HEIGHT_POINTS) for row in range(first, last))
        left = page - used
        if height > left and min(height, left) < page / 2:
            ends.append(first)
            used = 0.0
        used = (used + height) % page
    return [row for row in ends if row]


def is_kept_whole(page: Page) -> bool:
    """Return whether a page is made as small as it takes to print on one sheet of paper.

    A chart is not torn over two unless a long table stands above it.
    """
    has_chart = any(isinstance(block, BarChart | CurveChart | PointChart) for block in page.blocks)
    rows = sum(len(block.rows) for block in page.blocks if isinstance(block, Table))
    is_short = rows <= (MOST_ROWS_SMALL if page.title in ON_ONE_PAGE else MOST_ROWS_ON_A_PAGE)
    return page.title.startswith("Verdict") or (is_short and (has_chart or page.title in ON_ONE_PAGE))


def is_one_page(last_row: int, heights_points: Mapping[int, float], widths: Sequence[float]) -> bool:
    """Return whether all rows surely come out on one printed page; arguments as ``page_ends``."""
    height = sum(heights_points.get(row, ROW_HEIGHT_POINTS) for row in range(last_row))
    return height <= SURELY_FILLED * _page_points(widths)


def _page_points(widths: Sequence[float]) -> float:
    """Return how high a page is in points of a sheet that is made as small as its columns ask for."""
    width_in = sum(int(width * 7 + 5) for width in widths) / PIXELS_PER_INCH
    return PAGE_HEIGHT_IN * POINTS_PER_INCH / min(1.0, PAGE_WIDTH_IN / width_in)
