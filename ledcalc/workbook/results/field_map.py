"""Draws the light field as cells: shade by PPFD, boards as thick outlines, coordinates on both sides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ledcalc.workbook.looks import FIELD_DARK, FIELD_LIGHT, INK, RULE, Formats
from ledcalc.workbook.results.pages import FieldMap

__all__ = ["DrawnField", "draw_field", "narrow_columns"]

THICK, THIN = 2, 4
MAP_ROW_HEIGHT = 17.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnField:
    """Where the map stands: first and last row of values, row of x coordinates, first and last column of values."""

    first_row: int
    last_row: int
    x_row: int
    first_column: int
    last_column: int
    next_row: int


def narrow_columns(sheet: Any, block: FieldMap) -> None:
    """Make the map's columns as wide as a PPFD of four digits needs."""
    sheet.set_column(0, max(len(block.x_m), 20), 6.3)


def draw_field(sheet: Any, formats: Formats, block: FieldMap, row: int) -> DrawnField:
    """Draw the map from ``row`` down, the largest y first; return where it stands."""
    rows, columns = block.ppfd_umol_m2_s.shape
    inside = [_cells_under(block, board) for board in block.boards]
    coordinate_look = formats.get(num_format="0.00", italic=True, align="right")
    for number in range(rows):
        y = rows - 1 - number
        sheet.write_number(row + number, 0, float(block.y_m[y]), coordinate_look)
        sheet.set_row(row + number, MAP_ROW_HEIGHT)
        for x in range(columns):
            look = formats.get(num_format="0", align="center", **_borders(inside, y, x))
            sheet.write_number(row + number, x + 1, float(block.ppfd_umol_m2_s[y, x]), look)
    last = row + rows - 1
    for x in range(columns):
        sheet.write_number(last + 1, x + 1, float(block.x_m[x]), coordinate_look)
    sheet.write_string(last + 1, 0, "y \\ x, m", formats.get(italic=True))
    sheet.conditional_format(
        row, 1, last, columns, {"type": "2_color_scale", "min_color": FIELD_LIGHT, "max_color": FIELD_DARK}
    )
    return DrawnField(
        first_row=row, last_row=last, x_row=last + 1, first_column=1, last_column=columns, next_row=last + 2
    )


def _cells_under(block: FieldMap, board: tuple[float, float, float, float]) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """Return which cells lie under a board: those whose centre does, or else the one nearest to its middle."""
    x0, y0, x1, y1 = board
    under = ((block.y_m >= y0) & (block.y_m <= y1))[:, None] & ((block.x_m >= x0) & (block.x_m <= x1))[None, :]
    over_crop = x1 > 0 and y1 > 0 and x0 < block.x_m[-1] + block.x_m[0] and y0 < block.y_m[-1] + block.y_m[0]
    if not under.any() and over_crop:
        columns = (block.x_m >= x0) & (block.x_m <= x1)
        rows = (block.y_m >= y0) & (block.y_m <= y1)
        if not columns.any():
            columns[np.abs(block.x_m - (x0 + x1) / 2).argmin()] = True
        if not rows.any():
            rows[np.abs(block.y_m - (y0 + y1) / 2).argmin()] = True
        under = rows[:, None] & columns[None, :]
    return under


def _borders(inside: list[np.ndarray[Any, np.dtype[np.bool_]]], y: int, x: int) -> dict[str, Any]:
    """Return the cell's borders: thick where a board ends, a hairline elsewhere."""
    borders: dict[str, Any] = {}
    for under in inside:
        if not under[y, x]:
            continue
        rows, columns = under.shape
        edges = {
            "top": y + 1 >= rows or not under[y + 1, x],
            "bottom": y == 0 or not under[y - 1, x],
            "left": x == 0 or not under[y, x - 1],
            "right": x + 1 >= columns or not under[y, x + 1],
        }
        for side, is_edge in edges.items():
            if is_edge:
                borders[side] = THICK
                borders[f"{side}_color"] = INK
    for side in ("top", "bottom", "left", "right"):
        borders.setdefault(side, THIN)
        borders.setdefault(f"{side}_color", RULE)
    return borders
