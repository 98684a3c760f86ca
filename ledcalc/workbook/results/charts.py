"""Native charts, where people would rather look than read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ledcalc.workbook.looks import BAR, FIELD_DARK, FONT, INK, LIMIT_LINE, RULE
from ledcalc.workbook.results.field_map import DrawnField
from ledcalc.workbook.results.pages import BarChart, CurveChart, FieldMap, PointChart

__all__ = ["ChartPlace", "add_bar_chart", "add_curve_chart", "add_point_chart", "add_profile_chart"]

WIDTH, HEIGHT = 860, 380
# Axes without gridlines of their own: those of bars, and those along the crop.
CATEGORIES = ("board", "week", "position in m", "highest board current in A")
# Curves past the third, told apart in grey print by their dashes.
MORE_LOOKS = (
    (FIELD_DARK, "solid"),
    (RULE, "solid"),
    (BAR, "dash_dot"),
    (FIELD_DARK, "square_dot"),
    (RULE, "long_dash_dot"),
)
TEXT = {"name": FONT, "size": 10, "color": INK, "bold": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPlace:
    """Where a chart's table stands, the sheet's column of each of its columns, the row that the chart goes to."""

    first_row: int
    count: int
    head_row: int
    at_row: int
    columns: tuple[int, ...]

    def column(self, sheet: Any, column: int) -> list[Any]:
        """Return the cells of one of the table's columns, as a chart names them."""
        at = self.columns[column]
        return [sheet.get_name(), self.first_row, at, self.first_row + self.count - 1, at]

    def head(self, sheet: Any, column: int) -> list[Any]:
        """Return the header of one of the table's columns, as a chart names it."""
        return [sheet.get_name(), self.head_row, self.columns[column]]


def add_bar_chart(book: Any, sheet: Any, block: BarChart, place: ChartPlace) -> None:
    """Add bars of one or two table columns, with another column's limits as a line."""
    categories = place.column(sheet, block.category)
    chart = book.add_chart({"type": "column"})
    for bars, colour in ((block.bars, BAR), (block.beside, RULE)):
        if bars is not None:
            chart.add_series(
                {
                    "name": place.head(sheet, bars),
                    "categories": categories,
                    "values": place.column(sheet, bars),
                    "fill": {"color": colour},
                    "border": {"color": INK},
                    "gap": 60,
                }
            )
    if block.line is not None:
        mark = {"color": LIMIT_LINE}
        limit = book.add_chart({"type": "line"})
        limit.add_series(
            {
                "name": place.head(sheet, block.line),
                "categories": categories,
                "values": place.column(sheet, block.line),
                "line": {"color": LIMIT_LINE, "width": 2.0, "dash_type": "dash"},
                "marker": {"type": "long_dash", "size": 9, "border": mark, "fill": mark},
            }
        )
        chart.combine(limit)
    _dress(chart, block.title, block.across, block.axis)
    chart.set_y_axis(_axis(block.axis) | {"min": 0})
    sheet.insert_chart(place.at_row, 0, chart, {"object_position": 1})


def add_curve_chart(book: Any, sheet: Any, block: CurveChart, place: ChartPlace) -> None:
    """Add table columns as curves over the table's first column."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    looks = ((BAR, "solid"), (LIMIT_LINE, "dash"), (INK, "round_dot"), *MORE_LOOKS)
    for number, column in enumerate(block.curves):
        colour, dash = looks[number % len(looks)]
        chart.add_series(
            {
                "name": place.head(sheet, column),
                "categories": place.column(sheet, 0),
                "values": place.column(sheet, column),
                "line": {"color": colour, "width": 2.0, "dash_type": dash},
                "marker": {"type": "none"},
            }
        )
    _dress(chart, block.title, block.across, block.up)
    sheet.insert_chart(place.at_row, 0, chart, {"object_position": 1})


def add_point_chart(book: Any, sheet: Any, block: PointChart, place: ChartPlace) -> None:
    """Add table columns as points over another column; the first is told apart by its darker, rounder marks."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    for number, column in enumerate(block.ups):
        is_first = number == 0
        chart.add_series(
            {
                "name": [sheet.get_name(), place.head_row, column],
                "categories": place.column(sheet, block.x),
                "values": place.column(sheet, column),
                "line": {"color": INK, "width": 1.5} if is_first and block.is_joined else {"none": True},
                "marker": {
                    "type": "circle" if is_first else "diamond",
                    "size": 8 if is_first else 6,
                    "fill": {"color": BAR if is_first else RULE},
                    "border": {"color": INK},
                },
            }
        )
    _dress(chart, block.title, block.across, block.up)
    chart.set_x_axis(_axis(block.across) | {"min": block.least[0]})
    chart.set_y_axis(_axis(block.up) | {"min": block.least[1]})
    sheet.insert_chart(place.at_row, 0, chart, {"object_position": 1})


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
            "categories": [name, drawn.first_row, drawn.y_column, drawn.last_row, drawn.y_column],
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
        "major_gridlines": {
            "visible": name not in CATEGORIES,
            "line": {"color": RULE, "width": 0.5},
        },
    }
