"""Lays text, tables and drawings out on A4 pages, from top to bottom."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

__all__ = ["PageFlow", "column_layout"]

# A4 and its margins, in points of 1/72 in.
WIDTH, HEIGHT = 595.0, 842.0
LEFT, RIGHT, TOP, BOTTOM = 50.0, 545.0, 790.0, 55.0
POINTS_PER_INCH = 72.0
LEADING = 1.35
GAP = 6.0
CELL_PAD = 6.0
# A longer word, such as a checksum, does not decide how wide its column is.
LONGEST_KEPT_COUNT = 24
INK, PALE = "#22313A", "#B9BFB6"


class PageFlow:
    """A pen that goes down the pages of a PDF; ``pdf`` is matplotlib's, ``footer`` stands on every page."""

    def __init__(self, pdf: Any, footer: str) -> None:
        self._pdf, self._footer = pdf, footer
        self._figure: Any = None
        self._number = 0
        self._y = 0.0
        self._turn()

    def close(self) -> None:
        """Put the last page down."""
        self._finish()

    def gap(self, points: float = GAP) -> None:
        """Leave room."""
        self._y -= points

    def keep(self, points: float) -> None:
        """Turn the page unless so much room is left on it, or it is a fresh one."""
        if self._y - points < BOTTOM and self._y < TOP:
            self._turn()

    def text_height(self, words: str, size: float, *, is_bold: bool = False) -> float:
        """Return how high a paragraph comes out."""
        return len(_wrapped(words, RIGHT - LEFT, size, is_bold)) * size * LEADING

    def row_height(self, cells: Sequence[str], widths: Sequence[float], size: float, *, is_bold: bool = False) -> float:
        """Return how high a row of cells comes out, with the line below it."""
        return max(map(len, _wrapped_cells(cells, widths, size, is_bold))) * size * LEADING + 3.0

    def text(self, words: str, size: float = 9.0, *, is_bold: bool = False, rule: bool = False) -> None:
        """Write a paragraph over the page's width, under it a line where ``rule`` asks for one."""
        for line in _wrapped(words, RIGHT - LEFT, size, is_bold):
            self.keep(size * LEADING)
            self._y -= size * LEADING
            self._write(LEFT, line, size, is_bold)
        if rule:
            self._y -= 3.0
            self._rule()

    def row(
        self,
        cells: Sequence[str],
        widths: Sequence[float],
        size: float,
        *,
        numbers: Sequence[bool],
        head: Sequence[str] = (),
        is_bold: bool = False,
        kept: float = 0.0,
    ) -> None:
        """Write a row of cells, each wrapped in its column; ``widths`` in points.

        ``numbers``: which cells stand to the right of their column; ``head``: cells that stand above a row that
        begins a page; ``kept``: how high what follows is and must stay on the row's page.
        """
        wrapped = _wrapped_cells(cells, widths, size, is_bold)
        height = max(map(len, wrapped)) * size * LEADING + 3.0
        if self._y - height - kept < BOTTOM and self._y < TOP:
            self._turn()
            if head:
                self.row(head, widths, size, numbers=numbers, is_bold=True)
        x = LEFT
        for lines, width, to_right in zip(wrapped, widths, numbers, strict=True):
            for down, line in enumerate(lines, start=1):
                at = x + width - CELL_PAD if to_right else x
                self._write(at, line, size, is_bold, y=self._y - down * size * LEADING, to_right=to_right)
            x += width
        self._y -= height
        self._rule()

    def drawing(self, height: float, draw: Callable[[Any, Any], None], *, more_below: float = 0.0) -> None:
        """Give ``draw(figure, axes)`` axes as wide as the page and so high, of it ``more_below`` for a long legend."""
        self.keep(height)
        self._y -= height
        # Labels stand outside the axes and inside the height asked for.
        low, high, left, right = self._y + 46.0 + more_below, self._y + height - 18.0, LEFT + 40.0, RIGHT - 10.0
        rectangle = (left / WIDTH, low / HEIGHT, (right - left) / WIDTH, (high - low) / HEIGHT)
        draw(self._figure, self._figure.add_axes(rectangle))

    def _turn(self) -> None:
        from matplotlib.figure import Figure

        self._finish()
        self._figure = Figure(figsize=(WIDTH / POINTS_PER_INCH, HEIGHT / POINTS_PER_INCH))
        self._number += 1
        self._y = TOP

    def _finish(self) -> None:
        if self._figure is None:
            return
        self._write(LEFT, self._footer, 7.0, False, y=BOTTOM - 20.0)
        self._write(RIGHT, f"page {self._number}", 7.0, False, y=BOTTOM - 20.0, to_right=True)
        self._pdf.savefig(self._figure)
        self._figure = None

    def _write(
        self, x: float, words: str, size: float, is_bold: bool, *, y: float | None = None, to_right: bool = False
    ) -> None:
        self._figure.text(
            x / WIDTH,
            (self._y if y is None else y) / HEIGHT,
            words,
            fontsize=size,
            fontweight="bold" if is_bold else "normal",
            color=INK,
            ha="right" if to_right else "left",
            va="baseline",
            parse_math=False,
        )

    def _rule(self) -> None:
        from matplotlib.lines import Line2D

        ends = [LEFT / WIDTH, RIGHT / WIDTH], [self._y / HEIGHT] * 2
        self._figure.add_artist(Line2D(*ends, color=PALE, linewidth=0.6))


def column_layout(
    rows: Sequence[Sequence[str]], shares: Sequence[float], sizes: Sequence[float], *, is_head_bold: bool = True
) -> tuple[list[float], float]:
    """Return the columns' widths in points and the size of letters at which no word breaks.

    ``rows``: all cells, the head first; ``shares``: how the page's width is divided where words leave the choice;
    ``sizes``: to choose from, the largest that fits. Where none fits, the smallest, and long words do break.
    """
    for size in sizes:
        least: list[float] = []
        # Short cells whole where there is room for them, else single words.
        for is_whole in (True, False):
            parts = [
                [part for number, row in enumerate(rows) for part in _unbroken(row[column], number, is_whole)]
                for column in range(len(shares))
            ]
            least = [
                max((_width(words, size, is_head_bold and number == 0) for words, number in column), default=0.0)
                + CELL_PAD
                + 0.01
                for column in parts
            ]
            if sum(least) <= RIGHT - LEFT:
                return _widened(least, shares), size
    return [width * (RIGHT - LEFT) / sum(least) for width in least], sizes[-1]


def _unbroken(cell: str, number: int, is_whole: bool) -> list[tuple[str, int]]:
    """Return what of a cell in row ``number`` is not to be broken, beside the row's number."""
    if is_whole and number > 0 and len(cell) <= LONGEST_KEPT_COUNT:
        return [(cell, number)]
    return [(word, number) for word in cell.split() if len(word) <= LONGEST_KEPT_COUNT]


def _widened(least: Sequence[float], shares: Sequence[float]) -> list[float]:
    """Return widths over the page, by their shares, none below its least."""
    widths = list(least)
    free = set(range(len(shares)))
    while free:
        room = RIGHT - LEFT - sum(widths[n] for n in range(len(shares)) if n not in free)
        scale = room / sum(shares[n] for n in free)
        narrow = {n for n in free if shares[n] * scale < least[n]}
        if not narrow:
            for n in free:
                widths[n] = shares[n] * scale
            break
        free -= narrow
    return widths


def _wrapped_cells(cells: Sequence[str], widths: Sequence[float], size: float, is_bold: bool) -> list[list[str]]:
    return [_wrapped(cell, width - CELL_PAD, size, is_bold) for cell, width in zip(cells, widths, strict=True)]


def _wrapped(words: str, width: float, size: float, is_bold: bool) -> list[str]:
    """Return lines no wider than ``width`` points, broken at spaces, and inside a word that is wider by itself."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if _width(longer, size, is_bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        while _width(word, size, is_bold) > width and len(word) > 1:
            fits = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or _width(word[:n], size, is_bold) <= width)
            lines[-1] = word[:fits]
            word = word[fits:]
            lines.append("")
        lines[-1] = word
    return lines


@lru_cache(maxsize=4096)
def _width(words: str, size: float, is_bold: bool) -> float:
    """Return how wide words come out, in points."""
    if not words:
        return 0.0
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextToPath

    font = FontProperties(weight="bold" if is_bold else "normal", size=size)
    width, _, _ = TextToPath().get_text_width_height_descent(words, font, ismath=False)
    return float(width)
