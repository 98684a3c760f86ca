"""Native charts, where people would rather look than read."""

from __future__ import annotations

from typing import Any

from ledcalc.workbook.looks import BAR, FONT, INK, LIMIT_LINE, RULE
from ledcalc.workbook.results.field_map import DrawnField
from ledcalc.workbook.results.pages import BarChart, FieldMap

__all__ = ["add_bar_chart", "add_profile_chart"]

WIDTH, HEIGHT = 860, 380
TEXT = {"name": FONT, "size": 10, "color": INK, "bold": False}


def add_bar_chart(
    book: Any, sheet: Any, block: BarChart, *, first_row: int, count: int, head_row: int, at_row: int
) -> None:
    """Add bars of one table column with another column's limits as a line."""
    name, last_row = sheet.get_name(), first_row + count - 1
    categories = [name, first_row, block.category, last_row, block.category]
    chart = book.add_chart({"type": "column"})
    chart.add_series(
        {
            "name": [name, head_row, block.bars],
            "categories": categories,
            "values": [name, first_row, block.bars, last_row, block.bars],
            "fill": {"color": BAR},
            "border": {"color": INK},
            "gap": 60,
        }
    )
    limit = book.add_chart({"type": "line"})
    limit.add_series(
        {
            "name": [name, head_row, block.line],
            "categories": categories,
            "values": [name, first_row, block.line, last_row, block.line],
            "line": {"color": LIMIT_LINE, "width": 2.0, "dash_type": "dash"},
            "marker": {"type": "long_dash", "size": 9, "border": {"color": LIMIT_LINE}, "fill": {"color": LIMIT_LINE}},
        }
    )
    chart.combine(limit)
    _dress(chart, block.title, "board", block.axis)
    chart.set_y_axis(_axis(block.axis) | {"min": 0})
    sheet.insert_chart(at_row, 0, chart, {"object_position": 1})


def add_profile_chart(book: Any, sheet: Any, block: FieldMap, drawn: DrawnField, *, at_row: int) -> None:
    """Add the field's profiles: along x through the middle row, along y through the middle column."""
    name = sheet.get_name()
    middle_row = (drawn.first_row + drawn.last_row) // 2
    middle_column = (drawn.first_column + drawn.last_column) // 2
    y = float(block.y_m[len(block.y_m) - 1 - (middle_row - drawn.first_row)])
    x = float(block.x_m[middle_column - drawn.first_column])
    chart = book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    chart.add_series(
        {
            "name": f"along x, at y = {y:.2f} m",
            "categories": [name, drawn.x_row, drawn.first_column, drawn.x_row, drawn.last_column],
            "values": [name, middle_row, drawn.first_column, middle_row, drawn.last_column],
            "line": {"color": INK, "width": 1.75},
            "marker": {"type": "circle", "size": 5, "fill": {"color": INK}, "border": {"color": INK}},
        }
    )
    chart.add_series(
        {
            "name": f"along y, at x = {x:.2f} m",
            "categories": [name, drawn.first_row, 0, drawn.last_row, 0],
            "values": [name, drawn.first_row, middle_column, drawn.last_row, middle_column],
            "line": {"color": BAR, "width": 1.75, "dash_type": "dash"},
            "marker": {"type": "square", "size": 5, "fill": {"color": BAR}, "border": {"color": BAR}},
        }
    )
    _dress(chart, "PPFD across the crop", "position in m", "PPFD in umol m-2 s-1")
    chart.set_y_axis(_axis("PPFD in umol m-2 s-1") | {"min": 0})
    sheet.insert_chart(at_row, 0, chart, {"object_position": 1})


def _dress(chart: Any, title: str, across: str, up: str) -> None:
    chart.set_title({"name": title, "name_font": TEXT | {"size": 12, "bold": True}})
    chart.set_x_axis(_axis(across))
    chart.set_y_axis(_axis(up))
    chart.set_legend({"position": "bottom", "font": TEXT})
    chart.set_size({"width": WIDTH, "height": HEIGHT})


def _axis(name: str) -> dict[str, Any]:
    return {
        "name": name,
        "name_font": TEXT,
        "num_font": TEXT,
        "line": {"color": INK},
        "major_gridlines": {"visible": name not in {"board", "position in m"}, "line": {"color": RULE, "width": 0.5}},
    }
