"""Charts and maps of result pages, drawn on axes: ink on paper, readable in grey print."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.picture.scale import Scale, scale_of
from ledcalc.workbook.results.pages import BarChart, Block, Chart, CurveChart, FieldMap, PointChart, Shown, Table

__all__ = ["draw_chart", "draw_map", "legend_rows_count", "light_scale", "map_height_over_width"]

INK, PALE, FILL = "#22313A", "#B9BFB6", "#5B7F8C"
SHADES = ("#fff8e6", "#f6dfae", "#e9bd6c", "#d39638", "#a96a1c")
COLD_SHADES = ("#3f6f83", "#6b96a6", "#9bbcc8", "#cbdde2")
LEVELS_COUNT = 7
# Twelve curves that grey print tells apart: colour and stroke of four, with no, round and open marks.
LINE_LOOKS = tuple(
    (colour, stroke, mark)
    for mark in ("", "o", "s")
    for colour, stroke in ((FILL, "-"), (INK, "--"), (INK, ":"), ("#8A938C", "-."))
)
MARKS_COUNT = 8


def draw_chart(axes: Any, chart: Chart, table: Table) -> None:
    """Draw a page's chart from the table that it belongs to."""
    if isinstance(chart, BarChart):
        _bars(axes, chart, table)
    elif isinstance(chart, PointChart):
        _points(axes, chart, table)
    else:
        _curves(axes, chart, table)
    axes.set_title(chart.title, fontsize=9, color=INK, loc="left", fontweight="bold")
    axes.tick_params(labelsize=7, colors=INK)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.legend(fontsize=7, frameon=False, loc="upper left", bbox_to_anchor=(0.0, -0.22), ncols=_legend_columns(chart))


def legend_rows_count(chart: Chart) -> int:
    """Return how many rows a chart's legend has."""
    return -(-_curves_count(chart) // _legend_columns(chart))


def _legend_columns(chart: Chart) -> int:
    """Return three columns; six for many curves, whose names are short."""
    return 3 if _curves_count(chart) <= 6 else 6


def _curves_count(chart: Chart) -> int:
    if isinstance(chart, BarChart):
        return 1 + (chart.beside is not None) + (chart.line is not None)
    return len(chart.ups if isinstance(chart, PointChart) else chart.curves)


def _bars(axes: Any, chart: BarChart, table: Table) -> None:
    names = [str(row[chart.category]) for row in table.rows]
    places = np.arange(len(names), dtype=float)
    bars = [column for column in (chart.bars, chart.beside) if column is not None]
    width = 0.8 / len(bars)
    for number, column in enumerate(bars):
        axes.bar(
            places + (number - (len(bars) - 1) / 2) * width,
            _figures(table, column),
            width,
            color=(FILL, PALE)[number],
            edgecolor=INK,
            linewidth=0.6,
            hatch=("", "//")[number],
            label=table.columns[column].label,
        )
    if chart.line is not None:
        limits = _figures(table, chart.line)
        axes.hlines(limits, places - 0.45, places + 0.45, color=INK, linestyle="--", linewidth=1.4)
        axes.plot([], [], color=INK, linestyle="--", linewidth=1.4, label=table.columns[chart.line].label)
    axes.set_xticks(places, names, rotation=90 if len(names) > 12 else 0)
    axes.set_xlabel(chart.across, fontsize=8, color=INK)
    axes.set_ylabel(chart.axis, fontsize=8, color=INK)
    axes.set_ylim(bottom=0.0)


def _curves(axes: Any, chart: CurveChart, table: Table) -> None:
    across = _figures(table, 0)
    step = max(1, across.size // MARKS_COUNT)
    for number, column in enumerate(chart.curves):
        colour, stroke, mark = LINE_LOOKS[number % len(LINE_LOOKS)]
        axes.plot(
            across,
            _figures(table, column),
            color=colour,
            linestyle=stroke,
            marker=mark,
            markersize=4.5,
            markerfacecolor="white" if mark == "s" else colour,
            # Marks of neighbouring curves stand beside each other, not on each other.
            markevery=(number % step, step),
            label=table.columns[column].label,
        )
    axes.set_xlabel(chart.across, fontsize=8, color=INK)
    axes.set_ylabel(chart.up, fontsize=8, color=INK)
    axes.grid(color=PALE, linewidth=0.4)


def _points(axes: Any, chart: PointChart, table: Table) -> None:
    across = _figures(table, chart.x)
    for number, column in enumerate(chart.ups):
        style, colour = ("o-" if chart.is_joined else "o", FILL) if number == 0 else ("D", PALE)
        label = table.columns[column].label
        axes.plot(across, _figures(table, column), style, color=colour, markeredgecolor=INK, label=label)
    axes.set_xlim(left=chart.least[0])
    axes.set_ylim(bottom=chart.least[1])
    axes.set_xlabel(chart.across, fontsize=8, color=INK)
    axes.set_ylabel(chart.up, fontsize=8, color=INK)
    axes.grid(color=PALE, linewidth=0.4)


def _figures(table: Table, column: int) -> FloatArray:
    return np.array([_figure(row[column]) for row in table.rows])


def _figure(value: Shown) -> float:
    return np.nan if value is None or isinstance(value, str) else float(value)


def map_height_over_width(block: FieldMap) -> float:
    """Return how tall a map is for its width."""
    return _extent(block.y_m) / _extent(block.x_m)


def light_scale(blocks: Iterable[Block]) -> Scale:
    """Return the one scale of round numbers that all maps of a report stand on; differences have their own."""
    maps = [block for block in blocks if isinstance(block, FieldMap) and not _is_difference(block)]
    low = min((float(np.nanmin(block.ppfd_umol_m2_s)) for block in maps), default=0.0)
    high = max((float(np.nanmax(block.ppfd_umol_m2_s)) for block in maps), default=0.0)
    return scale_of(low, high) if high > 0.0 else Scale(low=0.0, high=1.0, step=0.1)


def draw_map(axes: Any, block: FieldMap, *, scale: Scale) -> Any:
    """Draw a field with isolines and board outlines on a scale, a difference to both sides of 0; return what a
    colour bar needs."""
    from matplotlib.colors import LinearSegmentedColormap

    wide, deep = _extent(block.x_m), _extent(block.y_m)
    field = block.ppfd_umol_m2_s
    is_difference = _is_difference(block)
    low, high = block.scale if block.scale and is_difference else (scale.low, scale.high)
    # Cells reach half way to their neighbours, wherever the readings lie.
    drawn = axes.pcolormesh(
        _cell_edges(block.x_m, wide),
        _cell_edges(block.y_m, deep),
        field,
        cmap=LinearSegmentedColormap.from_list("warmth", COLD_SHADES + SHADES if is_difference else SHADES),
        vmin=low,
        vmax=high,
        rasterized=True,
    )
    axes.set_aspect("equal")
    if min(field.shape) > 1 and float(np.nanmax(field) - np.nanmin(field)) > 1.0:
        lines = axes.contour(block.x_m, block.y_m, field, LEVELS_COUNT, colors=INK, linewidths=0.6)
        axes.clabel(lines, fmt="%.0f", fontsize=6)
    for x0, y0, x1, y1 in block.boards:
        axes.fill([x0, x1, x1, x0], [y0, y0, y1, y1], facecolor="none", edgecolor=INK, linewidth=1.2)
    axes.set_xlim(0.0, wide)
    axes.set_ylim(0.0, deep)
    axes.set_xlabel("x in m", fontsize=8, color=INK)
    axes.set_ylabel("y in m", fontsize=8, color=INK)
    axes.tick_params(labelsize=7, colors=INK)
    return drawn


def _is_difference(block: FieldMap) -> bool:
    return block.scale is not None and block.scale[0] < 0


def _cell_edges(centres_m: FloatArray, end_m: float) -> FloatArray:
    return np.concatenate([[0.0], (centres_m[1:] + centres_m[:-1]) / 2.0, [end_m]])


def _extent(centres_m: FloatArray) -> float:
    """Return how far even cells reach whose centres these are, the first cell starting at 0."""
    return float(centres_m[0] + centres_m[-1])
