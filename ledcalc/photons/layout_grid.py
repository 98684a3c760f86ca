"""The crop as a grid of equal cells, and rows and columns of one board over it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.field import ppfd_per_flux
from ledcalc.photons.source import LightSource

__all__ = ["CropGrid", "FieldOf", "board_extent", "checked_template", "field_per_flux", "pitch_offsets", "row_sources"]

FieldOf: TypeAlias = Callable[[Sequence[LightSource], FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class CropGrid:
    """A level rectangle of crop cut into equal cells; the PPFD is read at the cells' centres.

    Every cell weighs alike, so that the plain mean is the area's. min/mean depends on the cells: print them with it.

    Parameters
    ----------
    width_m, depth_m : m, above 0: along x and y
    left_m, front_m : m: x and y of the corner with the least of both
    height_m : m: z of the sensors
    column_count, row_count : at least 1: cells along x and y

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> CropGrid(width_m=1.0, depth_m=1.0, column_count=2, row_count=1).points_m.tolist()
    [[0.25, 0.5, 0.0], [0.75, 0.5, 0.0]]
    """

    width_m: float
    depth_m: float
    left_m: float = 0.0
    front_m: float = 0.0
    height_m: float = 0.0
    column_count: int = 20
    row_count: int = 20

    def __post_init__(self) -> None:
        for name in ("width_m", "depth_m"):
            numbers(name, getattr(self, name), above=0)
        for name in ("left_m", "front_m", "height_m"):
            numbers(name, getattr(self, name))
        for name in ("column_count", "row_count"):
            whole_numbers(name, getattr(self, name), at_least=1)

    @property
    def area_m2(self) -> float:
        """Return the crop's area."""
        return self.width_m * self.depth_m

    @property
    def centre_m(self) -> tuple[float, float]:
        """Return x and y of the crop's centre."""
        return self.left_m + self.width_m / 2, self.front_m + self.depth_m / 2

    @property
    def offsets_m(self) -> tuple[FloatArray, FloatArray]:
        """Return the cells' centres along x and along y, from the crop's centre."""
        return _cell_offsets(self.width_m, self.column_count), _cell_offsets(self.depth_m, self.row_count)

    @property
    def points_m(self) -> FloatArray:
        """Return the cells' centres in room axes, shape (cells, 3): row after row, x changing first."""
        (x, y), (centre_x, centre_y) = self.offsets_m, self.centre_m
        across, along = np.meshgrid(centre_x + x, centre_y + y)
        return np.column_stack([across.ravel(), along.ravel(), np.full(across.size, self.height_m)])

    def source_at(self, board: LightSource, x_m: float, y_m: float, height_m: float) -> LightSource:
        """Return a board moved to a place given from the crop's centre and plane."""
        centre_x, centre_y = self.centre_m
        return replace(board, x_m=centre_x + x_m, y_m=centre_y + y_m, z_m=self.height_m + height_m)


def pitch_offsets(count: int, pitch_m: float) -> FloatArray:
    """Return where equally spaced boards stand from their middle, in m."""
    return np.asarray((np.arange(count) - (count - 1) / 2) * pitch_m)


def row_sources(
    board: LightSource,
    crop: CropGrid,
    *,
    rows: int,
    columns: int,
    row_pitch_m: float,
    column_pitch_m: float,
    height_m: float,
) -> list[LightSource]:
    """Return the boards of rows and columns about the crop's centre: row after row, x changing first.

    Parameters
    ----------
    board : what every board is; its own place does not count
    crop : the crop below
    rows, columns : at least 1: boards along y and along x
    row_pitch_m, column_pitch_m : m, at least 0: from row to row (y) and from column to column (x)
    height_m : m, above 0: of the boards above the crop's plane

    Returns
    -------
    a ``LightSource`` a board

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> board = LightSource(x_m=0, y_m=0, z_m=1, width_m=0.1, length_m=0.1, photon_flux_umol_s=50.0)
    >>> pair = row_sources(board, CropGrid(width_m=1.0, depth_m=1.0), rows=1, columns=2, row_pitch_m=0.0,
    ...                    column_pitch_m=0.5, height_m=0.4)
    >>> [source.x_m for source in pair]
    [0.25, 0.75]
    """
    checked_template(board, crop)
    row_count, column_count = (int(whole_numbers(n, v, at_least=1)) for n, v in (("rows", rows), ("columns", columns)))
    row_pitch = float(numbers("row_pitch_m", row_pitch_m, at_least=0))
    column_pitch = float(numbers("column_pitch_m", column_pitch_m, at_least=0))
    height = float(numbers("height_m", height_m, above=0))
    return [
        crop.source_at(board, float(x), float(y), height)
        for y in pitch_offsets(row_count, row_pitch)
        for x in pitch_offsets(column_count, column_pitch)
    ]


def checked_template(board: LightSource, crop: CropGrid) -> None:
    """Say so if the board is none, gives no light, or the crop is none."""
    if not isinstance(board, LightSource):
        raise ArgumentError("board", board, "a LightSource")
    numbers("board.photon_flux_umol_s", board.photon_flux_umol_s, above=0)
    if not isinstance(crop, CropGrid):
        raise ArgumentError("crop", crop, "a CropGrid")


def board_extent(board: LightSource) -> tuple[float, float]:
    """Return the room that a board as it is turned takes along x and along y, in m."""
    sides = np.ptp(board.corners(), axis=0)
    return float(sides[0]), float(sides[1])


def field_per_flux(field_of: FieldOf | None, sources: Sequence[LightSource], points_m: FloatArray) -> FloatArray:
    """Return the PPFD for one umol/s of each board, shape (sources, points), or say that it is of another."""
    if field_of is None:
        return ppfd_per_flux(sources, points_m)
    field = numbers("field_of(...)", field_of(sources, points_m))
    if field.shape != (len(sources), points_m.shape[0]):
        allowed = f"shape ({len(sources)}, {points_m.shape[0]}): a row a source, a column a point"
        raise ArgumentError("field_of(...)", field.shape, allowed)
    return field


def _cell_offsets(side_m: float, count: int) -> FloatArray:
    return np.asarray(((np.arange(count) + 0.5) / count - 0.5) * side_m)
