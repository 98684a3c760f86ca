"""Light maps in the forms in which they are written down: a block of a sheet, and rings of squares."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.sensors import QuantumSensor
from ledcalc.bench.survey_map import MeasuredMap, measured_map
from ledcalc.errors import ArgumentError
from ledcalc.ppfd.map_conditions import MapConditions
from ledcalc.units import convert

__all__ = ["RingReadings", "map_from_block", "map_from_rings"]

GAPS = {"", "-", "\N{EN DASH}", "\N{EM DASH}", "nan", "n/a"}
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
# Corners of a square about its middle, counter-clockwise from the far right one, and the middles of its sides from the
# right one, in half sides.
CORNERS = ((1, 1, "far right"), (-1, 1, "far left"), (-1, -1, "near left"), (1, -1, "near right"))
SIDES = ((1, 0, "right"), (0, 1, "far"), (-1, 0, "left"), (0, -1, "near"))


def map_from_block(
    block: str | ArrayLike,
    *,
    has_coordinates: bool = False,
    x_m: ArrayLike | None = None,
    y_m: ArrayLike | None = None,
    pitch_m: float | tuple[float, float] | None = None,
    area_m: tuple[float, float] | None = None,
    centre_m: tuple[float, float] | None = None,
    unit: str = "m",
    far_row_first: bool = False,
    conditions: MapConditions | None = None,
    sensor: QuantumSensor | None = None,
    height_m: float | None = None,
    incidence_deg: ArrayLike | None = None,
) -> MeasuredMap:
    """Return a map from a rectangular block of readings, as copied out of a sheet.

    Parameters
    ----------
    block : text (cells split at tabs; else at semicolons; else at commas; else at blanks), or rows of numbers; empty,
        "-", "n/a" and NaN are gaps
    has_coordinates : the first row holds x, the first column y (what stands in their common corner is not read)
    x_m, y_m : m: of columns and rows, if the block does not hold them
    pitch_m : m, above 0: between readings, one or along x and y, about the middle; with neither pitch nor coordinates,
        each reading lies in the middle of its equal share of ``area_m``
    area_m : m: as ``measured_map``
    centre_m : m: middle of the area; None: as ``measured_map`` where there are coordinates, else (0, 0)
    unit : of the coordinates in the block
    far_row_first : whether the block's first row is the one farthest along y, as one sees it; else the nearest; without
        meaning where y is given
    conditions, sensor, height_m, incidence_deg : as ``measured_map``

    Returns
    -------
    MeasuredMap

    Raises
    ------
    ArgumentError (a ValueError): cells that are no number, all named by row and column; rows of different lengths; no
        way to tell where the readings lie; or as ``measured_map``

    Examples
    --------
    >>> found = map_from_block("800 820\\n810 -", pitch_m=0.3, area_m=(0.6, 0.6))
    >>> found.x_m.tolist(), found.ppfd.tolist(), found.notes[0].place
    ([-0.15, 0.15, -0.15], [800.0, 820.0, 810.0], 'row 2, column 2')
    """
    cells = _cells(block, has_coordinates)
    if has_coordinates:
        if min(cells.shape) < 2:
            raise ArgumentError("block", cells.shape, "a row of x, a column of y, and readings")
        factor = convert(1.0, unit, "m")
        x, y, readings = cells[0, 1:] * factor, cells[1:, 0] * factor, cells[1:, 1:]
        for name, line in (("the first row", x), ("the first column", y)):
            if not np.isfinite(line).all():
                raise ArgumentError("block", line.tolist(), f"a coordinate in each cell of {name}")
    else:
        readings = cells
        x, y = _axes(cells.shape, x_m, y_m, pitch_m, area_m, centre_m or (0.0, 0.0))
        y = y[::-1] if y_m is None and far_row_first else y
        centre_m = centre_m if x_m is not None or centre_m is not None else (0.0, 0.0)
    first = 2 if has_coordinates else 1
    rows, columns = readings.shape
    places = [f"row {row + first}, column {column + first}" for row in range(rows) for column in range(columns)]
    grid_x, grid_y = np.meshgrid(x, y)
    return measured_map(
        grid_x,
        grid_y,
        readings,
        conditions=conditions,
        sensor=sensor,
        height_m=height_m,
        area_m=area_m,
        centre_m=centre_m,
        incidence_deg=incidence_deg,
        places=places,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RingReadings:
    """Readings on one square about the middle, umol m-2 s-1; NaN for none.

    Parameters
    ----------
    side_m : m, above 0: full side of the square
    corners : four: far right, far left, near left, near right; empty: none
    middles : four, of the sides: right, far, left, near; empty: none

    Raises
    ------
    ArgumentError (a ValueError): a side not above 0, or another number of readings
    """

    side_m: float
    corners: tuple[float, ...] = ()
    middles: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        numbers("side_m", self.side_m, above=0)
        for name in ("corners", "middles"):
            if len(getattr(self, name)) not in (0, 4):
                raise ArgumentError(name, getattr(self, name), "four readings, NaN where there is none, or nothing")


def map_from_rings(
    centre_umol_m2_s: float,
    rings: Sequence[RingReadings],
    *,
    area_m: tuple[float, float] | None = None,
    centre_m: tuple[float, float] = (0.0, 0.0),
    conditions: MapConditions | None = None,
    sensor: QuantumSensor | None = None,
    height_m: float | None = None,
    incidence_deg: ArrayLike | None = None,
) -> MeasuredMap:
    """Return a map from a centre reading and nested squares of readings.

    Parameters
    ----------
    centre_umol_m2_s : umol m-2 s-1, at least 0; NaN for none
    rings : from any size to any other
    area_m : m: lit area; None: the outermost ring's square
    centre_m : m: where the centre reading was taken, and the area's middle
    conditions, sensor, height_m, incidence_deg : as ``measured_map``

    Returns
    -------
    MeasuredMap

    Raises
    ------
    ArgumentError (a ValueError): as ``measured_map``

    Examples
    --------
    >>> ring = RingReadings(side_m=0.6, corners=(700, 710, 705, 695), middles=(780, 790, 785, 775))
    >>> found = map_from_rings(850.0, [ring])
    >>> found.places[1], found.x_m[:2].tolist(), found.ppfd[:2].tolist()
    ('0.6 m ring, far right corner', [0.0, 0.3], [850.0, 700.0])
    """
    rows: list[tuple[float, float, float, str]] = [(0.0, 0.0, centre_umol_m2_s, "centre")]
    for ring in rings:
        for values, spots, kind in ((ring.corners, CORNERS, "corner"), (ring.middles, SIDES, "side")):
            rows += [
                (right * ring.side_m / 2, far * ring.side_m / 2, value, f"{ring.side_m:g} m ring, {where} {kind}")
                for value, (right, far, where) in zip(values, spots, strict=False)
            ]
    x, y, readings, places = zip(*rows, strict=True)
    if area_m is None and rings:
        area_m = (max(ring.side_m for ring in rings),) * 2
    return measured_map(
        np.array(x) + centre_m[0],
        np.array(y) + centre_m[1],
        readings,
        conditions=conditions,
        sensor=sensor,
        height_m=height_m,
        area_m=area_m,
        centre_m=centre_m,
        incidence_deg=incidence_deg,
        places=places,
    )


def _cells(block: str | ArrayLike, has_coordinates: bool) -> FloatArray:
    if isinstance(block, str):
        return _typed_cells(block, has_coordinates)
    try:
        cells = np.asarray(block, dtype=float)
    except (TypeError, ValueError):
        raise ArgumentError("block", block, "text, or rows of numbers of one length, NaN for gaps") from None
    if cells.ndim != 2 or cells.size == 0:
        raise ArgumentError("block", cells.shape, "rows and columns of readings")
    return cells


def _typed_cells(text: str, has_coordinates: bool) -> FloatArray:
    lines = [line for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n") if line.strip()]
    divider = next((mark for mark in "\t;," if mark in text), None)
    rows = [[cell.strip() for cell in line.split(divider)] for line in lines]
    widths = {len(row) for row in rows}
    if len(widths) != 1:
        lengths = "; ".join(f"row {number + 1} has {len(row)}" for number, row in enumerate(rows))
        raise ArgumentError("block", lengths or text, "rows of one length, '-' where there is no reading")
    if has_coordinates:
        rows[0][0] = ""
    bad = [
        f"row {row + 1}, column {column + 1}: {cell!r}"
        for row, cells in enumerate(rows)
        for column, cell in enumerate(cells)
        if cell.casefold() not in GAPS and not NUMBER.fullmatch(cell)
    ]
    if bad:
        raise ArgumentError("block", "; ".join(bad), "numbers with a decimal point, '-' where there is no reading")
    return np.array([[np.nan if cell.casefold() in GAPS else float(cell) for cell in row] for row in rows])


def _axes(
    shape: tuple[int, ...],
    x_m: ArrayLike | None,
    y_m: ArrayLike | None,
    pitch_m: float | tuple[float, float] | None,
    area_m: tuple[float, float] | None,
    centre_m: tuple[float, float],
) -> tuple[FloatArray, FloatArray]:
    rows, columns = shape
    if x_m is not None and y_m is not None:
        x, y = np.atleast_1d(numbers("x_m", x_m)), np.atleast_1d(numbers("y_m", y_m))
        if x.shape != (columns,) or y.shape != (rows,):
            raise ArgumentError("x_m", f"{x.size} x, {y.size} y", f"{columns} x and {rows} y, one a column and a row")
        return x, y
    if pitch_m is not None:
        pitch = np.broadcast_to(numbers("pitch_m", pitch_m, above=0), (2,))
    elif area_m is not None:
        pitch = numbers("area_m", area_m, above=0) / [columns, rows]
    else:
        raise ArgumentError(
            "pitch_m", None, "a pitch, coordinates of columns and rows, or the area that the block is of"
        )
    x, y = ((np.arange(count) - (count - 1) / 2) * step for count, step in zip((columns, rows), pitch, strict=True))
    return x + centre_m[0], y + centre_m[1]
