"""What the layout advice shows beside its search: rings, rails moved, the bound of evenness, how many boards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.evaluation.layout import LayoutTask, layout_task
from ledcalc.evaluation.layout_count import boards_for_site, room_for_boards
from ledcalc.evaluation.layout_ranges import search_ranges
from ledcalc.fixture import Fixture
from ledcalc.light_sources import all_sources, crop_points, off_the_walls, own_sources, room_about
from ledcalc.photons import (
    BoardCount,
    CanopyLight,
    CropLight,
    EvennessBound,
    LightSource,
    canopy_light,
    evenness_bound,
    moved_rails,
    ppfd_grid_statistics,
    ppfd_map,
    row_sources,
)
from ledcalc.photons.layout_fields import layout_fields
from ledcalc.photons.layout_steps import ratio
from ledcalc.results import Evaluation, LayoutAdvice

__all__ = ["Compared", "LayoutViews", "MovedRails", "PitchCourse", "layout_views"]

RINGS = 4
MOVES = (-2, -1, 1, 2)
MOST_COURSE_POINTS = 12
DUST_M = 1e-6
# Places of the bound's lattice along the longer side: plain boards in direct light, in a room, boards with lenses.
PLACES, PLACES_IN_ROOM, PLACES_OF_LENSES = 25, 17, 9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Compared:
    """Today's layout and the best found: means of square rings about the crop's middle, and the light that arrives.

    ``ring_sides_m``: of the square in the middle of each ring's band; PPFD in umol m-2 s-1. ``today`` and ``best`` are
    integrated over the crop, not taken from the map's points.
    """

    ring_sides_m: FloatArray
    today_ring_umol_m2_s: FloatArray
    best_ring_umol_m2_s: FloatArray
    today: CanopyLight
    best: CanopyLight


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedRails:
    """The crop's light with each rail moved out, or in where below 0; None where ``reason`` says why it cannot be."""

    move_m: float
    after: CropLight | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PitchCourse:
    """min/mean and mean PPFD at one pitch of rows and of columns; NaN: not tried.

    The other pitch, and the height, are the best layout's.
    """

    pitch_m: float
    by_rows_fraction: float
    by_rows_umol_m2_s: float
    by_columns_fraction: float
    by_columns_umol_m2_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutViews:
    """All of it; ``bound`` holds at the best layout's height; ``count`` is None where ``count_reason`` says why."""

    today_light: CropLight | None
    compared: Compared
    course: tuple[PitchCourse, ...]
    rails: tuple[MovedRails, ...]
    rails_reason: str
    bound: EvennessBound
    count: BoardCount | None
    count_reason: str


def layout_views(results: Evaluation) -> LayoutViews | None:
    """Return what goes with the advice; None where there is none.

    Parameters
    ----------
    results : from ``evaluate``

    Examples
    --------
    >>> from dataclasses import replace
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> views = layout_views(evaluate(replace(seedling_bench(), layout_advice="yes")))
    >>> [round(1000 * rails.move_m) for rails in views.rails], views.count.reached
    ([-20, -10, 10, 20], True)
    """
    fixture, advice = results.fixture, results.layout
    if advice is None or not advice.ranked:
        return None
    task = layout_task(fixture, results.boards, results.light, search_ranges(fixture))
    own = own_sources(fixture, results.boards)
    today, rails, reason = _rails(fixture, task, own)
    count_reason, beyond_m = room_for_boards(fixture, task)
    return LayoutViews(
        today_light=today,
        compared=_compared(results, task, own, advice),
        course=_course(task, advice),
        rails=rails,
        rails_reason=reason,
        bound=_bound(task, advice),
        count=None if count_reason else boards_for_site(fixture, task, advice, beyond_m),
        count_reason=count_reason,
    )


def best_sources(task: LayoutTask, advice: LayoutAdvice) -> list[LightSource]:
    """Return the boards as the best layout has them."""
    best = advice.ranked[0]
    return row_sources(
        task.board,
        task.crop,
        rows=advice.rows_count,
        columns=advice.columns_count,
        row_pitch_m=float(np.nan_to_num(best.row_pitch_m)),
        column_pitch_m=float(np.nan_to_num(best.column_pitch_m)),
        height_m=best.height_m,
    )


def _compared(results: Evaluation, task: LayoutTask, own: Sequence[LightSource], advice: LayoutAdvice) -> Compared:
    fixture, light = results.fixture, results.light
    best = all_sources(fixture, best_sources(task, advice))
    x, y = np.meshgrid(light.x_m, light.y_m)
    points = off_the_walls(crop_points(fixture, x, y), task.room)
    field = np.asarray(ppfd_map(best, points, room=task.room), dtype=float)
    sides = max(fixture.crop_width_m, fixture.crop_depth_m) * (np.arange(RINGS) + 0.5) / RINGS
    today_rings, best_rings = (_rings(fixture, x, y, one, sides) for one in (light.ppfd_umol_m2_s, field))
    lit = [_arriving(fixture, task, sources) for sources in (all_sources(fixture, own), best)]
    return Compared(
        ring_sides_m=sides, today_ring_umol_m2_s=today_rings, best_ring_umol_m2_s=best_rings, today=lit[0], best=lit[1]
    )


def _rings(fixture: Fixture, x: FloatArray, y: FloatArray, ppfd: FloatArray, sides_m: FloatArray) -> FloatArray:
    """Return the ring means of the map; every point is in the ring nearest to it."""
    found = ppfd_grid_statistics(
        x.ravel(),
        y.ravel(),
        ppfd.ravel(),
        area_m=(fixture.crop_width_m, fixture.crop_depth_m),
        centre_m=(fixture.crop_width_m / 2, fixture.crop_depth_m / 2),
        ring_sides_m=sides_m,
        ring_tolerance_m=float(sides_m[0]) / 2,
    )
    return found.ring_means


def _arriving(fixture: Fixture, task: LayoutTask, sources: Sequence[LightSource]) -> CanopyLight:
    left, front = fixture.crop_x_m, fixture.crop_y_m
    across, along = (left, left + fixture.crop_width_m), (front, front + fixture.crop_depth_m)
    return canopy_light(sources, across, along, fixture.canopy_height_m, room=task.room)


def _course(task: LayoutTask, advice: LayoutAdvice) -> tuple[PitchCourse, ...]:
    """Return min/mean and mean over each pitch, through the best layout."""
    best, ranges = advice.ranked[0], task.ranges
    own = [float(np.nan_to_num(pitch)) for pitch in (best.row_pitch_m, best.column_pitch_m)]
    spans = (ranges.row_pitch_m, ranges.column_pitch_m)
    fields = layout_fields(
        task.board, task.crop, ranges.rows_count, ranges.columns_count, task.field_of, symmetric=False
    )
    pitches = _some_pitches([span for span in spans if span is not None], ranges.pitch_step_m, own)
    found = np.full((4, pitches.size), np.nan)
    for place, span in enumerate(spans):
        if span is None:
            continue
        tried = (pitches >= span[0] - DUST_M) & (pitches <= span[1] + DUST_M)
        other = np.array([own[1 - place]])
        columns, rows = (other, pitches[tried]) if place == 0 else (pitches[tried], other)
        figures = fields.figures(best.height_m, columns, rows)
        found[2 * place, tried] = ratio(figures.minimum, figures.mean).ravel()
        found[2 * place + 1, tried] = figures.mean.ravel() * task.board.photon_flux_umol_s
    return tuple(
        PitchCourse(
            pitch_m=pitch,
            by_rows_fraction=values[0],
            by_rows_umol_m2_s=values[1],
            by_columns_fraction=values[2],
            by_columns_umol_m2_s=values[3],
        )
        for pitch, values in zip(pitches.tolist(), found.T.tolist(), strict=True)
    )


def _some_pitches(spans_m: Sequence[tuple[float, float]], step_m: float, best_m: Sequence[float]) -> FloatArray:
    """Return pitches over all spans, every so many steps, with the spans' ends and the best's among them."""
    if not spans_m:
        return np.zeros(0)
    low, high = min(span[0] for span in spans_m), max(span[1] for span in spans_m)
    stride = step_m * max(1, int(np.ceil((high - low) / step_m / MOST_COURSE_POINTS)))
    even = low + stride * np.arange(int((high - low) / stride + DUST_M) + 1)
    ends = [end for span in spans_m for end in span]
    return np.unique(np.round([*even, *ends, *(pitch for pitch in best_m if pitch > 0)], 6))


def _rails(
    fixture: Fixture, task: LayoutTask, own: Sequence[LightSource]
) -> tuple[CropLight | None, tuple[MovedRails, ...], str]:
    """Return the light as the rails are and as they would be moved; rails run along x and carry rows."""
    before, moved = None, []
    lit = [source for source in own if source.photon_flux_umol_s > 0]
    if len({round(source.y_m, 3) for source in lit}) < 2:
        return None, (), "all boards are on one rail: it has nowhere to move"
    for move_m in _moves(fixture, task):
        after, reason = None, ""
        try:
            move = moved_rails(lit, task.crop, move_m=move_m, field_of=task.field_of)
        except ArgumentError:
            reason = "boards would overlap, or hang outside the room"
        else:
            before, after = move.before, move.after
            if task.room is not None and room_about(fixture, all_sources(fixture, move.sources)) is None:
                after, reason = None, "boards would hang outside the room"
        moved.append(MovedRails(move_m=move_m, after=after, reason=reason))
    return before, tuple(moved), ""


def _moves(fixture: Fixture, task: LayoutTask) -> tuple[float, ...]:
    by = fixture.rail_move_m
    return tuple(number * task.ranges.drilling_step_m for number in MOVES) if by is None else (-by, by)


def _bound(task: LayoutTask, advice: LayoutAdvice) -> EvennessBound:
    """Return how even boards at the best's height can be, wherever they stand between those that were tried."""
    ranges = task.ranges
    spans = ((ranges.column_pitch_m, ranges.columns_count), (ranges.row_pitch_m, ranges.rows_count))
    reach = [0.0 if span is None else span[1] * (count - 1) for span, count in spans]
    return evenness_bound(
        task.board,
        task.crop,
        height_m=advice.ranked[0].height_m,
        reach_m=(reach[0], reach[1]),
        target_mean=task.target_mean,
        board_count=advice.rows_count * advice.columns_count,
        place_count=_places(task),
        field_of=task.field_of,
    )


def _places(task: LayoutTask) -> int:
    if not task.board.is_lambertian:
        return PLACES_OF_LENSES
    return PLACES if task.field_of is None else PLACES_IN_ROOM
