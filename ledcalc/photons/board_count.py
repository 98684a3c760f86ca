"""How many boards a target takes, with the share of their light that reaches the crop worked out, not assumed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.board_arrangement import BoardArrangement, CountTask, arranged, rows_and_columns
from ledcalc.photons.layout_grid import CropGrid, FieldOf, checked_template, field_per_flux, row_sources
from ledcalc.photons.source import LightSource
from ledcalc.ppfd.dose import ppfd_for_dose

__all__ = ["BoardCount", "boards_for_target"]

# No board sends much more of its light to the crop than one over its centre; so much more is allowed for.
START_SHARE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCount:
    """The fewest boards that reach the target, or those that come nearest, and all that were looked at on the way."""

    arrangement: BoardArrangement
    tried: tuple[BoardArrangement, ...]
    sources: tuple[LightSource, ...]
    target_umol_m2_s: float
    reached: bool
    note: str
    crop: CropGrid


def boards_for_target(
    board: LightSource,
    crop: CropGrid,
    *,
    height_m: float,
    target_umol_m2_s: float | None = None,
    target_dli_mol_m2_d: float | None = None,
    photoperiod_h: float | None = None,
    least_min_over_mean: float = 0.0,
    spacing: str = "best pitch",
    most_boards: int = 64,
    step_m: float = 0.01,
    overhang_m: float = 0.0,
    field_of: FieldOf | None = None,
) -> BoardCount:
    """Return how many boards, in which rows and columns, and how much flux a target mean over the crop takes.

    Parameters
    ----------
    board : what every board is, with the flux that it gives; its own place does not count
    crop : the crop, about whose centre the boards stand
    height_m : m, above 0: of the boards above the crop's plane
    target_umol_m2_s : umol m-2 s-1, above 0: the mean wanted; or
    target_dli_mol_m2_d, photoperiod_h : mol m-2 d-1, above 0, and h, above 0, at most 24
    least_min_over_mean : from 0 to 1: the evenness that must be reached as well
    spacing : "best pitch": the most even pitches in steps of ``step_m`` that reach the target; "even cells": each board
        in the middle of its share of the crop
    most_boards : at least 1: where to stop
    step_m : m, above 0
    overhang_m : m, at least 0: how far boards may stand out over the crop's edges; a room's walls must leave so much
    field_of : as ``best_pitch_and_height``

    Returns
    -------
    BoardCount

    Raises
    ------
    ArgumentError (a ValueError): no target or two, a board that is larger than the crop, or a number out of its range

    Validity
    --------
    As exact as the field. The rim wants boards beyond it: without overhang evenness has its limit. Rows and columns
    whose cells are more than 2.5 times as long as broad are left out. Counts are tried upwards from what even the best
    place's light could not do without.

    References
    ----------
    Mean = flux x utilisation / area. ANSI/ASABE S640 (public summaries) for the daily light integral.

    Examples
    --------
    >>> board = LightSource(x_m=0, y_m=0, z_m=1, width_m=0.2, length_m=0.2, photon_flux_umol_s=70.0)
    >>> found = boards_for_target(board, CropGrid(width_m=1.2, depth_m=0.8), height_m=0.3, target_umol_m2_s=200.0)
    >>> found.arrangement.board_count, round(found.arrangement.utilisation_fraction, 2)
    (4, 0.69)
    """
    checked_template(board, crop)
    least = numbers("least_min_over_mean", least_min_over_mean, at_least=0, at_most=1)
    task = CountTask(
        board=board,
        crop=crop,
        height_m=float(numbers("height_m", height_m, above=0)),
        target=_target(target_umol_m2_s, target_dli_mol_m2_d, photoperiod_h),
        least=float(least),
        spacing=choice("spacing", spacing, ("best pitch", "even cells")),
        step_m=float(numbers("step_m", step_m, above=0)),
        overhang_m=float(numbers("overhang_m", overhang_m, at_least=0)),
        field_of=field_of,
    )
    most = int(whole_numbers("most_boards", most_boards, at_least=1))
    tried: list[BoardArrangement] = []
    for count in range(min(_least_count(task), most), most + 1):
        some = [arranged(task, rows, columns) for rows, columns in rows_and_columns(task, count)]
        tried += some
        if any(one.reached for one in some):
            break
    if not tried:
        tried = [arranged(task, *pair) for pair in _fullest(task, most)]
    best = max(tried, key=lambda one: _merit(task, one))
    return BoardCount(
        arrangement=best,
        tried=tuple(tried),
        sources=tuple(_sources(task, best)),
        target_umol_m2_s=task.target,
        reached=best.reached,
        note=_note(task, best, most),
        crop=crop,
    )


def _target(target: float | None, dose: float | None, photoperiod_h: float | None) -> float:
    if (target is None) == (dose is None):
        raise ArgumentError("target_umol_m2_s", target, "a mean, or else target_dli_mol_m2_d: one of the two")
    if target is not None:
        if photoperiod_h is not None:
            raise ArgumentError("photoperiod_h", photoperiod_h, "None beside target_umol_m2_s")
        return float(numbers("target_umol_m2_s", target, above=0))
    if dose is None or photoperiod_h is None:
        raise ArgumentError("photoperiod_h", photoperiod_h, "hours, beside target_dli_mol_m2_d")
    return float(ppfd_for_dose(float(numbers("target_dli_mol_m2_d", dose, above=0)), photoperiod_h))


def _least_count(task: CountTask) -> int:
    """Return a count that surely is not too many: had all boards the light of one over the crop's centre, and more."""
    middle = task.crop.source_at(task.board, 0.0, 0.0, task.height_m)
    mean = float(field_per_flux(task.field_of, [middle], task.crop.points_m).mean()) * task.board.photon_flux_umol_s
    if mean <= 0:
        raise ArgumentError("board", task.board, "a board that lights the crop")
    return max(1, int(np.ceil(min(START_SHARE * task.target / mean, 1e9))))


def _fullest(task: CountTask, most: int) -> list[tuple[int, int]]:
    """Return the rows and columns of the highest count that may be, where the target asks for more than have room."""
    for count in range(most, 0, -1):
        if pairs := list(rows_and_columns(task, count)):
            return pairs
    return []


def _merit(task: CountTask, one: BoardArrangement) -> tuple[bool, float, float]:
    return one.reached, min(one.mean / task.target, 1.0), one.min_over_mean


def _sources(task: CountTask, one: BoardArrangement) -> list[LightSource]:
    return row_sources(
        task.board,
        task.crop,
        rows=one.rows,
        columns=one.columns,
        row_pitch_m=one.row_pitch_m,
        column_pitch_m=one.column_pitch_m,
        height_m=task.height_m,
    )


def _note(task: CountTask, best: BoardArrangement, most: int) -> str:
    if best.reached:
        return ""
    if best.level_fraction > 1.0:
        return (
            f"{best.board_count} boards (at most {most} were allowed) give a mean of {best.mean:.1f} umol m-2 s-1, "
            f"below the {task.target:.1f} asked for"
        )
    return f"No count up to {most} has a min/mean of {task.least:g}; the best, {best.min_over_mean:.3f}"
