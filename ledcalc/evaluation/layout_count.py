"""How many boards the site's target takes, as the layout advice looks for them."""

from __future__ import annotations

from ledcalc.evaluation.layout import LayoutTask
from ledcalc.evaluation.layout_ranges import half_room
from ledcalc.fixture import Fixture
from ledcalc.photons import BoardCount, boards_for_target
from ledcalc.photons.layout_grid import board_extent
from ledcalc.results import LayoutAdvice

__all__ = ["boards_for_site", "room_for_boards"]

# So many times today's at most; more boards than these, or with lenses, are spaced evenly, not as is best.
MOST_BOARDS_FACTOR, FEW_BOARDS = 3, 24


def room_for_boards(fixture: Fixture, task: LayoutTask) -> tuple[str, float]:
    """Return why no boards are counted, and else how far they may stand out over the crop: as far as were tried."""
    site, ranges = fixture.site, task.ranges
    if site.target_ppfd_umol_m2_s is None and site.target_dli_low_mol_m2_d is None:
        return "the site names no target PPFD and no DLI", 0.0
    across, along = board_extent(task.board)
    spans = (
        (ranges.column_pitch_m, ranges.columns_count, across, fixture.crop_width_m),
        (ranges.row_pitch_m, ranges.rows_count, along, fixture.crop_depth_m),
    )
    beyond = [(span[1] * (count - 1) + extent - side) / 2 for span, count, extent, side in spans if span is not None]
    walls = min(half_room(fixture, is_row=place == 1) - side / 2 for place, (*_, side) in enumerate(spans))
    if walls < 0:
        return "boards all over the crop, or their likes in other fixtures, would hang outside the walls", 0.0
    out = min(max(min(beyond, default=0.0), 0.0), walls)
    if any(extent > side + 2 * out for _, _, extent, side in spans):
        return "a board is larger than the crop", 0.0
    return "", out


def boards_for_site(fixture: Fixture, task: LayoutTask, advice: LayoutAdvice, beyond_m: float) -> BoardCount:
    """Return how many boards at the best's height the site's target takes."""
    site = fixture.site
    boards = advice.rows_count * advice.columns_count
    by_dose = site.target_ppfd_umol_m2_s is None
    return boards_for_target(
        task.board,
        task.crop,
        height_m=advice.ranked[0].height_m,
        target_umol_m2_s=None if by_dose else site.target_ppfd_umol_m2_s,
        target_dli_mol_m2_d=site.target_dli_low_mol_m2_d if by_dose else None,
        photoperiod_h=site.photoperiod_h if by_dose else None,
        least_min_over_mean=site.target_min_over_mean_fraction or 0.0,
        spacing="best pitch" if boards <= FEW_BOARDS and task.board.is_lambertian else "even cells",
        most_boards=MOST_BOARDS_FACTOR * boards,
        step_m=task.ranges.pitch_step_m,
        overhang_m=beyond_m,
        field_of=task.field_of,
    )
