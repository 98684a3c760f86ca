"""Draws the light field as cells: shade by PPFD, boards as thick outlines, coordinates on both sides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ledcalc.workbook.looks import FIELD_DARK, FIELD_LESS, FIELD_LIGHT, INK, RULE, Formats
from ledcalc.workbook.results.pages import FieldMap

__all__ = ["MAP_ROW_HEIGHT", "DrawnField", "draw_field"]

THICK, THIN = 2, 4
MAP_ROW_HEIGHT = 17.0
# A board that ends at a cell's centre, whichever way its last digits were rounded, covers that cell.
TOUCHING_M = 1e-9
SIDES = ("top", "bottom", "left", "right")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnField:
    """Where the map stands: rows of values, row of x coordinates, columns of values and that of y, the row after."""

    first_row: int
    last_row: int
    x_row: int
    first_column: int
    last_column: int
    next_row: int

    @property
    def y_column(self) -> int:
        """Return the column of the y coordinates."""
        return self.first_column - 1


def draw_field(
    sheet: Any,
    formats: Formats,
    block: FieldMap,
    row: int,
    *,
    column: int = 0,
    scale: tuple[float, float] | None = None,
    row_height: float = MAP_ROW_HEIGHT,
) -> DrawnField:
    """Draw the map from a row down and a column on, the largest y first; return where it stands.

    ``scale``: the PPFD of the palest and the darkest shade; None: the map's own lowest and highest.
    """
    rows, columns = block.ppfd_umol_m2_s.shape
    edges = _edges(block)
    coordinate_look = formats.get(num_format="0.00", italic=True, align="right")
    pattern = f"0.{'0' * block.digits}" if block.digits else "0"
    looks = {
        code: formats.get(num_format=pattern, align="center", **_borders(code)) for code in np.unique(edges).tolist()
    }
    values, codes = block.ppfd_umol_m2_s.tolist(), edges.tolist()
    for number, y in enumerate(range(rows - 1, -1, -1)):
        sheet.write_number(row + number, column, float(block.y_m[y]), coordinate_look)
        sheet.set_row(row + number, row_height)
        for x in range(columns):
            value, look = values[y][x], looks[codes[y][x]]
            if np.isnan(value):
                sheet.write_blank(row + number, column + x + 1, None, look)
            else:
                sheet.write_number(row + number, column + x + 1, value, look)
    last = row + rows - 1
    for x in range(columns):
        sheet.write_number(last + 1, column + x + 1, float(block.x_m[x]), coordinate_look)
    sheet.write_string(last + 1, column, "y \\ x, m", formats.get(italic=True))
    sheet.conditional_format(row, column + 1, last, column + columns, _shades(scale))
    return DrawnField(
        first_row=row,
        last_row=last,
        x_row=last + 1,
        first_column=column + 1,
        last_column=column + columns,
        next_row=last + 2,
    )


def _shades(scale: tuple[float, float] | None) -> dict[str, Any]:
    """Return the shading: by the map's own values, over a given range, or to both sides of 0."""
    shades: dict[str, Any] = {"type": "2_color_scale", "min_color": FIELD_LIGHT, "max_color": FIELD_DARK}
    if scale is None:
        return shades
    ends = {"min_type": "num", "max_type": "num", "min_value": scale[0], "max_value": scale[1]}
    if not scale[0] < 0 < scale[1]:
        return shades | ends
    middle = {"mid_type": "num", "mid_value": 0, "mid_color": FIELD_LIGHT}
    return shades | ends | middle | {"type": "3_color_scale", "min_color": FIELD_LESS}


def _cells_under(block: FieldMap, board: tuple[float, float, float, float]) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """Return which cells lie under a board: those whose centre does, or else the one nearest to its middle."""
    x0, y0, x1, y1 = board
    columns = (block.x_m >= x0 - TOUCHING_M) & (block.x_m <= x1 + TOUCHING_M)
    rows = (block.y_m >= y0 - TOUCHING_M) & (block.y_m <= y1 + TOUCHING_M)
    over_crop = x1 > 0 and y1 > 0 and x0 < block.x_m[-1] + block.x_m[0] and y0 < block.y_m[-1] + block.y_m[0]
    if over_crop and not columns.any():
        columns[np.abs(block.x_m - (x0 + x1) / 2).argmin()] = True
    if over_crop and not rows.any():
        rows[np.abs(block.y_m - (y0 + y1) / 2).argmin()] = True
    under: np.ndarray[Any, np.dtype[np.bool_]] = rows[:, None] & columns[None, :]
    return under


def _edges(block: FieldMap) -> np.ndarray[Any, np.dtype[np.int_]]:
    """Return for each cell on which of its sides a board ends: a bit a side, in the order of ``SIDES``."""
    edges = np.zeros(block.ppfd_umol_m2_s.shape, dtype=int)
    for board in block.boards:
        under = np.pad(_cells_under(block, board), 1)
        here = under[1:-1, 1:-1]
        beyond = (under[2:, 1:-1], under[:-2, 1:-1], under[1:-1, :-2], under[1:-1, 2:])
        for bit, other in enumerate(beyond):
            edges |= (here & ~other).astype(int) << bit
    return edges


def _borders(code: int) -> dict[str, Any]:
    """Return a cell's borders: thick where a board ends, a hairline elsewhere."""
    borders: dict[str, Any] = {}
    for bit, side in enumerate(SIDES):
        ends = bool(code >> bit & 1)
        borders[side] = THICK if ends else THIN
        borders[f"{side}_color"] = INK if ends else RULE
    return borders
