"""The best pitches and height for rows and columns of one board over a crop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.layout_fields import DirectFields, GivenFields, LayoutFields, layout_fields, mirror_symmetric
from ledcalc.photons.layout_grid import CropGrid, FieldOf, board_extent, checked_template, row_sources
from ledcalc.photons.layout_smooth import SmoothFields, smooth_fields
from ledcalc.photons.layout_steps import BY_FIT, COARSE_TO_FINE, EVERY_LAYOUT, Goal, HeightSearch, ratio
from ledcalc.photons.source import LightSource

__all__ = ["BestLayout", "PitchLayout", "best_pitch_and_height"]

Range: TypeAlias = tuple[float, float]
MOST_STEPS = 2_000
# A fit takes some hundred places of a board: not worth it for fewer layouts.
FEW_LAYOUTS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class PitchLayout:
    """One layout and its light; pitches and height in m, PPFD in umol m-2 s-1 with every board at its full flux.

    ``utilisation_fraction`` is the share of the boards' flux that arrives on the crop; above 1 it can be where a bright
    floor and walls send light past the sensors more than once. ``reached`` says whether what was asked for is met.
    """

    row_pitch_m: float
    column_pitch_m: float
    height_m: float
    mean: float
    minimum: float
    min_over_mean: float
    utilisation_fraction: float
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BestLayout:
    """The best layout, the best at each height, and how they were looked for.

    ``reached`` is False where no layout meets what was asked for: ``layout`` is then the one that comes nearest and
    ``note`` says by how much it falls short. ``method`` says how it was looked for: "every
    layout" is certain among the steps; "every layout by a fit" worked out those that a fit of the reflected light found
    best; "coarse to fine" looked about those that were best of a few.
    """

    layout: PitchLayout
    by_height: tuple[PitchLayout, ...]
    sources: tuple[LightSource, ...]
    reached: bool
    note: str
    layout_count: int
    method: str
    mirror_symmetric: bool
    crop: CropGrid


def best_pitch_and_height(
    board: LightSource,
    crop: CropGrid,
    *,
    rows: int,
    columns: int,
    height_range_m: Range,
    row_pitch_range_m: Range | None = None,
    column_pitch_range_m: Range | None = None,
    target_mean: float | None = None,
    least_min_over_mean: float | None = None,
    step_m: float = 0.01,
    height_step_m: float | None = None,
    field_of: FieldOf | None = None,
    every_layout: bool | None = None,
) -> BestLayout:
    """Return the row pitch, column pitch and height of the most even light, or of the most light that is even enough.

    Parameters
    ----------
    board : what every board is, with the flux that it gives; its own place does not count
    crop : the crop, about whose centre the boards stand
    rows, columns : at least 1: boards along y and along x
    height_range_m : m, above 0: lowest and highest place of the boards above the crop's plane
    row_pitch_range_m, column_pitch_range_m : m: least and greatest pitch along y and along x, the least at least the
        board's extent as it is turned; not needed for a single row or column
    target_mean : umol m-2 s-1, above 0: the mean that must be reached with every board at its full flux; the layout of
        the best min/mean among those that reach it is looked for. Also where neither this nor the next is given
    least_min_over_mean : from 0 to 1: the evenness that must be reached; the layout of the highest mean is looked for
    step_m : m, above 0: pitches go in such steps from their least, as rails can be drilled
    height_step_m : m, above 0; None: as ``step_m``
    field_of : (sources, points of shape (n, 3)) -> PPFD for one umol/s of each, shape (sources, n), as
        ``ppfd_per_flux``; None: direct light. A room: ``lambda s, p: ppfd_per_flux(s, p, room=prepared)``
    every_layout : True: each layout is worked out by itself; False: coarse steps first and finer ones about the best;
        None: each in direct light (for wide ranges False is quicker); by a fit of what ``field_of`` adds to direct
        light where that is smooth enough, else coarse to fine

    Returns
    -------
    BestLayout

    Raises
    ------
    ArgumentError (a ValueError): no boards, a range upside down, boards that overlap, both goals at once, or a number
        out of its range; what ``field_of`` raises, such as a board outside the room

    Validity
    --------
    As exact as the field. min/mean is that of the crop's cells. Mirror symmetry is tried with an outermost board at the
    lowest and the highest place, and used where it holds. By a fit, the best may be missed
    by a few thousandths; coarse to fine may miss a best that lies apart from all that look good. Figures
    reported are exact either way.

    References
    ----------
    Linearity of light in its sources; search by trying.

    Examples
    --------
    >>> board = LightSource(x_m=0, y_m=0, z_m=1, width_m=0.1, length_m=0.1, photon_flux_umol_s=100.0)
    >>> best = best_pitch_and_height(board, CropGrid(width_m=1.0, depth_m=0.5), rows=1, columns=2,
    ...                              column_pitch_range_m=(0.2, 0.9), height_range_m=(0.3, 0.5), target_mean=200.0)
    >>> round(best.layout.column_pitch_m, 3), round(best.layout.height_m, 3), round(best.layout.mean)
    (0.62, 0.3, 202)
    """
    checked_template(board, crop)
    row_count, column_count = (int(whole_numbers(n, v, at_least=1)) for n, v in (("rows", rows), ("columns", columns)))
    step = float(numbers("step_m", step_m, above=0))
    extent_x, extent_y = board_extent(board)
    row_pitches = _pitches("row_pitch_range_m", row_pitch_range_m, row_count, extent_y, step)
    column_pitches = _pitches("column_pitch_range_m", column_pitch_range_m, column_count, extent_x, step)
    height_step = step if height_step_m is None else float(numbers("height_step_m", height_step_m, above=0))
    heights = _steps("height_range_m", height_range_m, height_step)
    goal = _goal(board, target_mean, least_min_over_mean)
    ends = (float(column_pitches[0]) * (column_count - 1) / 2, float(row_pitches[0]) * (row_count - 1) / 2)
    symmetric = mirror_symmetric(board, crop, [(*ends, float(h)) for h in {heights[0], heights[-1]}], field_of)
    fields = layout_fields(board, crop, row_count, column_count, field_of, symmetric)
    fit = _fit(fields, column_pitches, row_pitches, heights) if every_layout is None else None
    method = _method(fields, fit, every_layout, column_pitches.size * row_pitches.size * heights.size)
    by_height, tried = [], 0
    for height in heights.tolist():
        found = HeightSearch(fields=fit or fields, goal=goal, height_m=height, columns=column_pitches, rows=row_pitches)
        place = found.best(method, fields)
        by_height.append(_layout(found, place, board.photon_flux_umol_s, row_count * column_count, crop))
        tried += found.count
    best = max(by_height, key=lambda one: float(_score_of(goal, one, board.photon_flux_umol_s)))
    return BestLayout(
        layout=best,
        by_height=tuple(by_height),
        sources=tuple(_sources(best, board, crop, row_count, column_count)),
        reached=best.reached,
        note=_note(best, target_mean, least_min_over_mean),
        layout_count=tried,
        method=method,
        mirror_symmetric=symmetric,
        crop=crop,
    )


def _fit(fields: LayoutFields, columns: FloatArray, rows: FloatArray, heights: FloatArray) -> SmoothFields | None:
    """Return a fit of what a given field adds to direct light, if there is one, it is smooth, and it saves work."""
    if not isinstance(fields, GivenFields) or columns.size * rows.size * heights.size <= FEW_LAYOUTS:
        return None
    direct = DirectFields(
        board=fields.board, crop=fields.crop, rows=fields.rows, columns=fields.columns, symmetric=fields.symmetric
    )
    ends = (float(columns[-1]) * (fields.columns - 1) / 2, float(rows[-1]) * (fields.rows - 1) / 2)
    return smooth_fields(direct, fields.field_of, ends, heights)


def _method(fields: LayoutFields, fit: SmoothFields | None, every_layout: bool | None, layout_count: int) -> str:
    if fit is not None:
        return BY_FIT
    if every_layout is None:
        every_layout = isinstance(fields, DirectFields) or layout_count <= FEW_LAYOUTS
    return EVERY_LAYOUT if every_layout else COARSE_TO_FINE


def _layout(found: HeightSearch, place: tuple[int, int], flux: float, boards: int, crop: CropGrid) -> PitchLayout:
    mean, minimum = float(found.mean[place]), float(found.minimum[place])
    return PitchLayout(
        row_pitch_m=float(found.rows[place[1]]),
        column_pitch_m=float(found.columns[place[0]]),
        height_m=found.height_m,
        mean=mean * flux,
        minimum=minimum * flux,
        min_over_mean=float(ratio(np.array(minimum), np.array(mean))),
        utilisation_fraction=mean * crop.area_m2 / boards,
        reached=bool(found.scores[place] >= 0.0),
    )


def _sources(best: PitchLayout, board: LightSource, crop: CropGrid, rows: int, columns: int) -> list[LightSource]:
    pitches = {"row_pitch_m": best.row_pitch_m, "column_pitch_m": best.column_pitch_m, "height_m": best.height_m}
    return row_sources(board, crop, rows=rows, columns=columns, **pitches)


def _score_of(goal: Goal, one: PitchLayout, flux: float) -> FloatArray:
    return goal.score(np.array(one.mean / flux), np.array(one.min_over_mean))


def _goal(board: LightSource, target_mean: float | None, least: float | None) -> Goal:
    if target_mean is not None and least is not None:
        raise ArgumentError(
            "least_min_over_mean", least, "None where target_mean is given: one is met, the other bettered"
        )
    mean = 0.0 if target_mean is None else float(numbers("target_mean", target_mean, above=0))
    evenness = None if least is None else float(numbers("least_min_over_mean", least, at_least=0, at_most=1))
    return Goal(least_mean=mean / board.photon_flux_umol_s, least_min_over_mean=evenness)


def _pitches(name: str, given: Range | None, count: int, extent_m: float, step_m: float) -> FloatArray:
    if count == 1:
        return np.zeros(1)
    if given is None:
        raise ArgumentError(name, None, f"two lengths, for {count} boards in line")
    pitches = _steps(name, given, step_m)
    if pitches[0] < extent_m * (1.0 - 1e-9):
        raise ArgumentError(
            name, given, f"a least pitch of at least the board's extent, {extent_m:g} m: boards overlap"
        )
    return pitches


def _steps(name: str, given: Range, step_m: float) -> FloatArray:
    ends = numbers(name, given, above=0)
    if ends.shape != (2,) or ends[1] < ends[0]:
        raise ArgumentError(name, given, "two lengths, the least first")
    count = int(np.floor((ends[1] - ends[0]) / step_m + 1e-9)) + 1
    if count > MOST_STEPS:
        raise ArgumentError(name, given, f"at most {MOST_STEPS} steps of {step_m:g} m")
    return np.asarray(np.round(ends[0] + step_m * np.arange(count), 12))


def _note(best: PitchLayout, target_mean: float | None, least: float | None) -> str:
    if best.reached:
        return ""
    if least is not None:
        return f"No layout reaches a min/mean of {least:g}; the most even has {best.min_over_mean:.3f}"
    return f"No layout reaches a mean of {target_mean:g} umol m-2 s-1; the brightest has {best.mean:.1f}"
