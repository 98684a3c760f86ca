"""The layout advice: rows and columns of today's boards, as they should stand and hang for the most even light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.layout_ranges import SearchRanges, search_ranges
from ledcalc.fixture import Fixture
from ledcalc.light_sources import all_sources, kept_room, own_sources, per_flux_of_all, room_about
from ledcalc.photons import (
    BestLayout,
    CropGrid,
    LightSource,
    PitchLayout,
    PreparedRoom,
    best_pitch_and_height,
    ppfd_for_dose,
)
from ledcalc.photons.layout_grid import FieldOf
from ledcalc.results import BoardResults, LayoutAdvice, LayoutFigures, LightResults

__all__ = ["LayoutTask", "crop_grid", "field_of_all", "layout_advice", "layout_task", "target_mean"]

# So many layouts times points are tried one by one; more go coarse to fine.
MOST_TRIED = 1e7
OVER = 1.0 - 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LayoutTask:
    """What the functions of ``photons`` take: the board, the crop's cells, the field with room and other fixtures."""

    board: LightSource
    crop: CropGrid
    ranges: SearchRanges
    target_mean: float
    target_basis: str
    room: PreparedRoom | None
    field_of: FieldOf | None


def layout_task(fixture: Fixture, boards: BoardResults, light: LightResults, ranges: SearchRanges) -> LayoutTask:
    """Return the task; the fixture must have light and ranges without a reason against them."""
    own = own_sources(fixture, boards)
    crop = crop_grid(fixture)
    room = _room(fixture, own, crop, ranges)
    target, basis = target_mean(fixture, light)
    template = own[0]
    board = LightSource(
        x_m=0.0,
        y_m=0.0,
        z_m=0.0,
        width_m=template.width_m,
        length_m=template.length_m,
        photon_flux_umol_s=float(boards.photon_flux_umol_s.mean()),
        rotation_deg=ranges.rotation_deg,
        tilt_deg=ranges.tilt_deg,
        cosine_exponent=template.cosine_exponent,
        beam=template.beam,
    )
    return LayoutTask(
        board=board,
        crop=crop,
        ranges=ranges,
        target_mean=target,
        target_basis=basis,
        room=room,
        field_of=field_of_all(fixture, room),
    )


def crop_grid(fixture: Fixture) -> CropGrid:
    """Return the crop cut into the map's cells."""
    return CropGrid(
        width_m=fixture.crop_width_m,
        depth_m=fixture.crop_depth_m,
        left_m=fixture.crop_x_m,
        front_m=fixture.crop_y_m,
        height_m=fixture.canopy_height_m,
        column_count=fixture.map_columns_count,
        row_count=fixture.map_rows_count,
    )


def field_of_all(fixture: Fixture, room: PreparedRoom | None) -> FieldOf | None:
    """Return the field with walls and other fixtures; None for direct light of this one, which is quicker."""
    if room is None and not fixture.other_fixtures:
        return None
    return lambda sources, points: per_flux_of_all(fixture, sources, points, room)


def target_mean(fixture: Fixture, light: LightResults) -> tuple[float, str]:
    """Return the mean PPFD that a layout must reach, and where it comes from."""
    site = fixture.site
    if site.target_ppfd_umol_m2_s is not None:
        return site.target_ppfd_umol_m2_s, "the site's target PPFD"
    if site.target_dli_low_mol_m2_d is not None:
        return float(ppfd_for_dose(site.target_dli_low_mol_m2_d, site.photoperiod_h)), "the site's lowest DLI"
    return light.statistics.mean, "today's mean, for the site names no target"


def layout_advice(fixture: Fixture, boards: BoardResults, light: LightResults) -> LayoutAdvice:
    """Return the best layouts of today's boards."""
    ranges = search_ranges(fixture)
    target, basis = target_mean(fixture, light)
    reason = ranges.reason
    if not light.statistics.mean > 0:
        reason = "no light reaches the crop"
    best = None if reason else _search(layout_task(fixture, boards, light, ranges))
    ranked = [] if best is None else sorted(best.by_height, key=lambda one: _merit(one, target), reverse=True)
    return LayoutAdvice(
        reason=reason,
        rows_count=ranges.rows_count,
        columns_count=ranges.columns_count,
        board_photon_flux_umol_s=float(boards.photon_flux_umol_s.mean()),
        target_umol_m2_s=target,
        target_basis=basis,
        today=_today(fixture, light, target),
        ranked=tuple(_figures(one, ranges, fixture.in_room_count) for one in ranked),
        layouts_count=0 if best is None else best.layout_count,
        method="" if best is None else best.method,
        note="" if best is None else best.note,
    )


def _search(task: LayoutTask) -> BestLayout:
    ranges, cells = task.ranges, task.crop.row_count * task.crop.column_count
    spans = [(ranges.row_pitch_m, ranges.pitch_step_m), (ranges.column_pitch_m, ranges.pitch_step_m)]
    counts = [
        1.0 + (span[1] - span[0]) / step for span, step in [*spans, (ranges.height_m, ranges.height_step_m)] if span
    ]
    return best_pitch_and_height(
        task.board,
        task.crop,
        rows=ranges.rows_count,
        columns=ranges.columns_count,
        height_range_m=ranges.height_m,
        row_pitch_range_m=ranges.row_pitch_m,
        column_pitch_range_m=ranges.column_pitch_m,
        target_mean=task.target_mean,
        step_m=ranges.pitch_step_m,
        height_step_m=ranges.height_step_m,
        field_of=task.field_of,
        every_layout=None if np.prod(counts) * cells <= MOST_TRIED else False,
    )


def _merit(one: PitchLayout, target: float) -> tuple[bool, float]:
    return one.reached, one.min_over_mean if one.reached else one.mean / target


def _figures(one: PitchLayout, ranges: SearchRanges, fixtures: int) -> LayoutFigures:
    return LayoutFigures(
        row_pitch_m=one.row_pitch_m if ranges.rows_count > 1 else float("nan"),
        column_pitch_m=one.column_pitch_m if ranges.columns_count > 1 else float("nan"),
        height_m=one.height_m,
        mean_umol_m2_s=one.mean,
        minimum_umol_m2_s=one.minimum,
        min_over_mean_fraction=one.min_over_mean,
        # The search counts the flux of this fixture's boards; the field is that of all fixtures.
        utilisation_fraction=one.utilisation_fraction / fixtures,
        reaches_target=one.reached,
    )


def _today(fixture: Fixture, light: LightResults, target: float) -> LayoutFigures:
    in_rows = not fixture.positions
    return LayoutFigures(
        row_pitch_m=fixture.row_pitch_m if in_rows and fixture.rows_count > 1 else float("nan"),
        column_pitch_m=fixture.column_pitch_m if in_rows and fixture.columns_count > 1 else float("nan"),
        height_m=fixture.height_m,
        mean_umol_m2_s=light.statistics.mean,
        minimum_umol_m2_s=light.statistics.minimum,
        min_over_mean_fraction=light.statistics.min_over_mean,
        utilisation_fraction=light.utilisation_fraction,
        reaches_target=light.statistics.mean >= target * OVER,
    )


def _room(fixture: Fixture, own: list[LightSource], crop: CropGrid, ranges: SearchRanges) -> PreparedRoom | None:
    """Return the room worked out for the crop's cells and the heights looked at; None as the light field has none."""
    room = room_about(fixture, all_sources(fixture, own))
    if room is None:
        return None
    points: FloatArray = crop.points_m
    ends = {fixture.canopy_height_m + height for height in ranges.height_m}
    return kept_room(room, points.tobytes(), points.shape, tuple(sorted(ends)))
