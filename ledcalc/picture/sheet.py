"""Puts a picture together, in inches from the top: title, maps, colour scale, figures beside conditions, basis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ledcalc.picture.lettering import wrapped
from ledcalc.picture.panels import INK, PAPER, Ground, Panel, draw_panel, shades
from ledcalc.picture.scale import Scale
from ledcalc.picture.words import PPFD_UNIT, Words

__all__ = ["DOTS_PER_INCH", "Arrangement", "arranged", "figure_of"]

DOTS_PER_INCH = 150
WIDTH_IN, MARGIN_IN = 9.0, 0.3
# All maps together are no higher; a map no narrower and no lower: then the crop is drawn out of its shape.
MAPS_HEIGHT_IN, LEAST_SIDE_IN = 7.0, 0.7
# Round each map: tick labels and axis names to its left and below, its heading above.
LEFT_IN, RIGHT_IN, ABOVE_IN, BELOW_IN = 0.62, 0.16, 0.42, 0.46
LEAST_CELL_IN = 2.05
BAR_IN, BAR_BLOCK_IN, WIDEST_BAR_IN = 0.14, 0.66, 5.0
TITLE_POINTS, HEADING_POINTS, WORDS_POINTS, SMALL_POINTS = 13.0, 8.5, 7.8, 6.8
LEADING = 1.4
POINTS_PER_INCH = 72.0
NAME_IN, BETWEEN_IN = 0.85, 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Maps in rows and columns, each so large, in cells so wide and high."""

    rows: int
    columns: int
    width_in: float
    height_in: float
    cell_width_in: float
    cell_height_in: float


def arranged(count: int, width_over_depth: float) -> Arrangement:
    """Return the rows and columns that make maps of a shape largest."""
    best: Arrangement | None = None
    for columns in range(1, count + 1):
        rows = -(-count // columns)
        cell = (WIDTH_IN - 2 * MARGIN_IN) / columns
        if columns > 1 and cell < LEAST_CELL_IN:
            break
        most_wide = cell - LEFT_IN - RIGHT_IN
        most_high = MAPS_HEIGHT_IN / rows - ABOVE_IN - BELOW_IN
        wide = min(most_wide, most_high * width_over_depth)
        high = max(min(wide / width_over_depth, most_high), LEAST_SIDE_IN)
        found = Arrangement(
            rows=rows,
            columns=columns,
            width_in=max(wide, LEAST_SIDE_IN),
            height_in=high,
            cell_width_in=cell,
            cell_height_in=high + ABOVE_IN + BELOW_IN,
        )
        if best is None or found.width_in * found.height_in > best.width_in * best.height_in * (1.0 + 1e-9):
            best = found
    assert best is not None
    return best


class _Pen:
    """Writes on a figure in inches, from its top left corner."""

    def __init__(self, figure: Any, width_in: float, height_in: float) -> None:
        self.figure, self.width_in, self.height_in = figure, width_in, height_in

    def axes(self, left: float, top: float, width: float, height: float) -> Any:
        low = self.height_in - top - height
        place = (left / self.width_in, low / self.height_in, width / self.width_in, height / self.height_in)
        return self.figure.add_axes(place)

    def write(self, left: float, top: float, lines: Sequence[str], size: float, **looks: Any) -> None:
        for number, line in enumerate(lines):
            down = top + (number + 0.5) * _line_in(size)
            place = left / self.width_in, 1.0 - down / self.height_in
            look = {"color": INK, "fontsize": size, "va": "center", "parse_math": False} | looks
            self.figure.text(*place, line, **look)


def figure_of(
    title: str, panels: Sequence[Panel], ground: Ground, scale: Scale, words: tuple[Words, Words], basis: str
) -> Any:
    """Return the figure: as wide as a page, as high as its content asks for."""
    from matplotlib.figure import Figure

    shape = ground.width_m / ground.depth_m
    plan = arranged(len(panels), shape)
    if abs(plan.width_in / plan.height_in / shape - 1.0) > 0.01:
        basis = f"{basis}. The crop is drawn out of its true shape"
    inner = WIDTH_IN - 2 * MARGIN_IN
    head = wrapped(title, inner, TITLE_POINTS, is_bold=True, most_lines=2)
    maps_top = MARGIN_IN + len(head) * _line_in(TITLE_POINTS)
    bar_top = maps_top + plan.rows * plan.cell_height_in
    words_top = bar_top + BAR_BLOCK_IN
    columns = [_rows_of(rows, (inner - BETWEEN_IN) / 2 - NAME_IN) for rows in words]
    basis_top = (
        words_top + max(sum(len(lines) for _, lines in rows) for rows in columns) * _line_in(WORDS_POINTS) + 0.08
    )
    foot = wrapped(basis, inner, SMALL_POINTS)
    height = basis_top + len(foot) * _line_in(SMALL_POINTS) + MARGIN_IN / 2
    figure = Figure(figsize=(WIDTH_IN, height), dpi=DOTS_PER_INCH, facecolor=PAPER)
    pen = _Pen(figure, WIDTH_IN, height)
    pen.write(WIDTH_IN / 2, MARGIN_IN * 0.8, head, TITLE_POINTS, ha="center", fontweight="bold")
    for number, panel in enumerate(panels):
        _place_panel(pen, panel, ground, scale, plan, number, len(panels), maps_top)
    _bar(pen, scale, bar_top, plan, has_rings=bool(ground.ring_sides_m))
    for rows, left in zip(columns, (MARGIN_IN, MARGIN_IN + (inner + BETWEEN_IN) / 2), strict=True):
        _write_rows(pen, rows, left, words_top)
    pen.write(MARGIN_IN, basis_top, foot, SMALL_POINTS, style="italic")
    return figure


def _place_panel(
    pen: _Pen, panel: Panel, ground: Ground, scale: Scale, plan: Arrangement, number: int, count: int, top: float
) -> None:
    row, column = divmod(number, plan.columns)
    in_row = min(plan.columns, count - row * plan.columns)
    first = (WIDTH_IN - in_row * plan.cell_width_in) / 2
    cell_left = first + column * plan.cell_width_in
    # The map with its labels stands in the middle of its cell.
    left = cell_left + (plan.cell_width_in - LEFT_IN - RIGHT_IN - plan.width_in) / 2 + LEFT_IN
    cell_top = top + row * plan.cell_height_in
    heading = wrapped(panel.heading, plan.cell_width_in - 0.1, HEADING_POINTS, is_bold=True, most_lines=2)
    heading_top = cell_top + ABOVE_IN - len(heading) * _line_in(HEADING_POINTS) - 0.05
    middle = cell_left + plan.cell_width_in / 2
    pen.write(middle, heading_top, heading, HEADING_POINTS, ha="center", fontweight="bold")
    size = plan.width_in, plan.height_in
    draw_panel(pen.axes(left, cell_top + ABOVE_IN, *size), panel, ground, scale, size)


def _bar(pen: _Pen, scale: Scale, top: float, plan: Arrangement, *, has_rings: bool) -> None:
    """Draw the colour scale that all maps share, with the isolines' levels."""
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import Normalize

    wide = min(WIDEST_BAR_IN, max(plan.width_in * plan.columns, 3.0))
    axes = pen.axes((WIDTH_IN - wide) / 2, top + 0.04, wide, BAR_IN)
    levels = [scale.low, *scale.levels(scale.low, scale.high), scale.high]
    colours = ScalarMappable(Normalize(scale.low, scale.high), shades())
    bar = pen.figure.colorbar(colours, cax=axes, orientation="horizontal", ticks=levels)
    bar.ax.set_xticklabels([scale.shown(level) for level in levels])
    bar.ax.tick_params(colors=INK, labelsize=7.5, length=2.5)
    bar.outline.set_edgecolor(INK)
    rings = ", dashed ones rings" if has_rings else ""
    legend = f"PPFD in {PPFD_UNIT}; lines at these levels; outlines are the boards{rings}"
    bar.set_label(legend, color=INK, fontsize=7.5, labelpad=2.0)


def _rows_of(rows: Words, width_in: float) -> list[tuple[str, list[str]]]:
    return [(name, wrapped(text, width_in, WORDS_POINTS)) for name, text in rows]


def _write_rows(pen: _Pen, rows: Sequence[tuple[str, list[str]]], left: float, top: float) -> None:
    for name, lines in rows:
        pen.write(left, top, [name], WORDS_POINTS, fontweight="bold")
        pen.write(left + NAME_IN, top, lines, WORDS_POINTS)
        top += len(lines) * _line_in(WORDS_POINTS)


def _line_in(size: float) -> float:
    return size * LEADING / POINTS_PER_INCH
