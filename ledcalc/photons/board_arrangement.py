"""Rows and columns of a count of boards over a crop, how they are spaced, and the light that they give."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ledcalc.errors import ArgumentError
from ledcalc.photons.layout_fields import layout_fields, mirror_symmetric
from ledcalc.photons.layout_grid import CropGrid, FieldOf, board_extent
from ledcalc.photons.layout_search import best_pitch_and_height
from ledcalc.photons.source import LightSource

__all__ = ["BoardArrangement", "CountTask", "arranged", "rows_and_columns"]

# Rows and columns whose cells are longer than this for their breadth are not looked at.
MOST_CELL_RATIO = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardArrangement:
    """Rows and columns and their light; PPFD in umol m-2 s-1 with every board at its full flux.

    ``flux_needed_umol_s`` of all boards, or of each, gives the target's mean from this arrangement;
    ``level_fraction`` is that share of the full flux: above 1 the boards are too weak.
    """

    board_count: int
    rows: int
    columns: int
    row_pitch_m: float
    column_pitch_m: float
    mean: float
    min_over_mean: float
    utilisation_fraction: float
    flux_needed_umol_s: float
    flux_needed_per_board_umol_s: float
    level_fraction: float
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CountTask:
    """What is asked for, checked."""

    board: LightSource
    crop: CropGrid
    height_m: float
    target: float
    least: float
    spacing: str
    step_m: float
    overhang_m: float
    field_of: FieldOf | None


def _fitting(task: CountTask) -> tuple[int, int]:
    """Return how many rows and columns have room over the crop."""
    across, along = board_extent(task.board)
    beyond = 2.0 * task.overhang_m
    sides = ((task.crop.depth_m + beyond, along), (task.crop.width_m + beyond, across))
    rows, columns = (int(min(np.floor(side / extent + 1e-9), 1e6)) if extent else 10**6 for side, extent in sides)
    if not rows or not columns:
        raise ArgumentError(
            "board", (across, along), f"no larger than the crop, {task.crop.width_m:g} x {task.crop.depth_m:g} m"
        )
    return rows, columns


def rows_and_columns(task: CountTask, count: int) -> Iterator[tuple[int, int]]:
    """Yield the rows and columns of a count of boards that have room and whose cells are not too long."""
    most_rows, most_columns = _fitting(task)
    for rows in range(1, min(count, most_rows) + 1):
        if count % rows or count // rows > most_columns:
            continue
        ratio = (task.crop.width_m * rows) / (task.crop.depth_m * (count // rows))
        if count == 1 or 1 / MOST_CELL_RATIO <= ratio <= MOST_CELL_RATIO:
            yield rows, count // rows


def arranged(task: CountTask, rows: int, columns: int) -> BoardArrangement:
    """Return rows and columns, spaced as asked, and their light."""
    row_pitch, column_pitch, mean, evenness = (_even_cells if task.spacing == "even cells" else _best_pitch)(
        task, rows, columns
    )
    count, flux = rows * columns, task.board.photon_flux_umol_s
    utilisation = mean * task.crop.area_m2 / (count * flux)
    needed = task.target * task.crop.area_m2 / utilisation
    return BoardArrangement(
        board_count=count,
        rows=rows,
        columns=columns,
        row_pitch_m=row_pitch,
        column_pitch_m=column_pitch,
        mean=mean,
        min_over_mean=evenness,
        utilisation_fraction=utilisation,
        flux_needed_umol_s=needed,
        flux_needed_per_board_umol_s=needed / count,
        level_fraction=task.target / mean,
        reached=mean >= task.target * (1.0 - 1e-9) and evenness >= task.least,
    )


def _even_cells(task: CountTask, rows: int, columns: int) -> tuple[float, float, float, float]:
    row_pitch = task.crop.depth_m / rows if rows > 1 else 0.0
    column_pitch = task.crop.width_m / columns if columns > 1 else 0.0
    corner = (column_pitch * (columns - 1) / 2, row_pitch * (rows - 1) / 2, task.height_m)
    symmetric = mirror_symmetric(task.board, task.crop, [corner], task.field_of)
    fields = layout_fields(task.board, task.crop, rows, columns, task.field_of, symmetric)
    found = fields.figures(task.height_m, np.array([column_pitch]), np.array([row_pitch]))
    mean, minimum = float(found.mean[0, 0]), float(found.minimum[0, 0])
    return row_pitch, column_pitch, mean * task.board.photon_flux_umol_s, minimum / mean


def _best_pitch(task: CountTask, rows: int, columns: int) -> tuple[float, float, float, float]:
    across, along = board_extent(task.board)
    best = best_pitch_and_height(
        task.board,
        task.crop,
        rows=rows,
        columns=columns,
        row_pitch_range_m=_pitch_range(along, task.crop.depth_m, rows, task),
        column_pitch_range_m=_pitch_range(across, task.crop.width_m, columns, task),
        height_range_m=(task.height_m, task.height_m),
        target_mean=task.target,
        step_m=task.step_m,
        field_of=task.field_of,
    ).layout
    return best.row_pitch_m, best.column_pitch_m, best.mean, best.min_over_mean


def _pitch_range(extent_m: float, side_m: float, count: int, task: CountTask) -> tuple[float, float] | None:
    """Return from boards side by side, at the next whole step, to the outermost as far out as they may."""
    if count == 1:
        return None
    widest = (side_m + 2.0 * task.overhang_m - extent_m) / (count - 1)
    whole = max(float(np.ceil(extent_m / task.step_m - 1e-9)), 1.0) * task.step_m
    # Where no whole step has room, the boards stand as wide as they can.
    return (whole, widest) if whole <= widest else (widest, widest)
