"""How many boards the site's target takes: held against fixtures built so, and why it is left out."""

import dataclasses

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.evaluation.layout import layout_task
from ledcalc.evaluation.layout_count import room_for_boards
from ledcalc.evaluation.layout_ranges import search_ranges
from ledcalc.layout_views import layout_views
from ledcalc.photons import ppfd_for_dose, ppfd_map
from ledcalc.workbook.results.write import pages_of

# Narrow lenses: intensity falls as cos^8 of the angle.
LENSES = tuple(
    lc.BeamPoint(tag="narrow", angle_deg=float(angle), intensity=float(np.cos(np.radians(angle)) ** 8))
    for angle in range(0, 91, 5)
)


def advised(fixture, *, room=None, target_ppfd=None, **given):
    site = dataclasses.replace(fixture.site, **(room or {}))
    if target_ppfd is not None:
        site = dataclasses.replace(site, target_ppfd_umol_m2_s=target_ppfd)
    return dataclasses.replace(fixture, layout_advice="yes", site=site, **given)


def room_left(fixture):
    """Why no boards are counted, and how far they may stand out, of a fixture that is evaluated."""
    results = lc.evaluate(fixture)
    return room_for_boards(fixture, layout_task(fixture, results.boards, results.light, search_ranges(fixture)))


def page_of(results):
    [page] = [page for page in pages_of(results) if page.title == "Layout advice"]
    return " ".join(
        f"{block.heading} {' '.join(getattr(block, 'lines', ()))}" for block in page.blocks if hasattr(block, "heading")
    )


@pytest.mark.parametrize("target", [60.0, 150.0, 300.0])
def test_boards_counted_reach_the_target_and_one_row_or_column_fewer_does_not(bench, target):
    """The mean of the map over the boards that were found, and of every smaller count that was tried."""
    count = layout_views(lc.evaluate(advised(bench, target_ppfd=target))).count
    assert count.target_umol_m2_s == target
    assert count.reached
    field = ppfd_map(count.sources, count.crop.points_m)
    assert field.mean() == pytest.approx(count.arrangement.mean, rel=1e-9)
    assert field.min() / field.mean() >= bench.site.target_min_over_mean_fraction
    assert field.mean() >= target * (1 - 1e-9)
    found = count.arrangement
    fewer = [one for one in count.tried if one.board_count < found.board_count]
    assert all(not one.reached for one in fewer)
    # PPF that the target takes: mean over what one umol/s gives.
    total = sum(source.photon_flux_umol_s for source in count.sources)
    assert found.flux_needed_umol_s == pytest.approx(total * target / field.mean(), rel=1e-9)
    assert found.utilisation_fraction == pytest.approx(field.mean() * 1.2 * 0.6 / total, rel=1e-9)


def test_a_dose_is_turned_into_a_mean_by_the_photoperiod(bench):
    count = layout_views(lc.evaluate(advised(bench))).count
    assert count.target_umol_m2_s == pytest.approx(ppfd_for_dose(8.0, 16.0))


def test_a_site_without_a_target_says_so(bench):
    none = {"target_ppfd_umol_m2_s": None, "target_dli_low_mol_m2_d": None}
    results = lc.evaluate(advised(bench, room=none))
    views = layout_views(results)
    assert views.count is None
    assert "the site names no target PPFD and no DLI" in page_of(results)


def test_boards_stand_out_as_far_as_was_tried_and_no_further_than_the_walls(bench):
    """Rows up to 0.80 m and columns up to 0.40 m apart: 0.13 m out across the rows, 0.125 m along them."""
    wide = {"row_pitch_to_m": 0.8, "column_pitch_to_m": 0.4}
    reason, out = room_left(advised(bench, **wide))
    assert (reason, out) == ("", pytest.approx(min((0.8 + 0.06 - 0.6) / 2, (3 * 0.4 + 0.25 - 1.2) / 2)))
    sizes = {"room_width_m": 1.3, "room_depth_m": 0.7, "room_height_m": 1.0}
    reason, out = room_left(advised(bench, room=sizes, crop_x_m=0.05, crop_y_m=0.02, **wide))
    assert (reason, out) == ("", pytest.approx(0.02))


def test_likes_that_would_hang_outside_the_walls_leave_it_out(bench):
    """A second fixture 0.7 m behind: over the whole crop its boards would reach to 1.3 m, and the wall is at 1.28 m."""
    sizes = {"room_width_m": 1.4, "room_height_m": 1.0}
    other = (lc.OtherFixture(tag="second", shift_y_m=0.7),)
    for depth, said in ((1.28, "hang outside the walls"), (1.31, "")):
        fixture = advised(bench, room={**sizes, "room_depth_m": depth}, other_fixtures=other)
        reason, _ = room_left(fixture)
        assert (said in reason) if said else reason == ""


def test_a_board_larger_than_the_crop_is_not_counted(bench):
    """Boards of 250 mm over a crop 240 mm wide, where they may stand out over it, and where they may not."""
    small = {"crop_width_m": 0.24, "map_columns_count": 5}
    reason, _ = room_left(advised(bench, **small, column_pitch_to_m=0.25, row_pitch_to_m=0.8))
    assert reason == ""
    one = {
        "rows_count": 1,
        "columns_count": 1,
        "cables": bench.cables[:1],
        "current_log": (),
        "current_setting_a": 0.55,
    }
    driver = dataclasses.replace(bench.drivers[0], current_low_a=0.1)
    results = lc.evaluate(advised(bench, **small, **one, drivers=(driver,)))
    assert layout_views(results).count is None
    assert "Not worked out: a board is larger than the crop." in page_of(results)


def test_boards_with_lenses_are_advised_as_a_fixture_built_so(bench):
    """Lenses are summed over Gauss points: fewer places for the bound, boards in even cells for the count."""
    boards = (dataclasses.replace(bench.boards[0], beam="narrow"),)
    ranges = {"row_pitch_from_m": 0.3, "row_pitch_to_m": 0.4, "height_from_m": 0.3, "height_to_m": 0.4}
    fixture = advised(bench, boards=boards, beams=LENSES, drilling_step_m=0.02, height_step_m=0.05, **ranges)
    results = lc.evaluate(fixture)
    best = results.layout.ranked[0]
    pitches = {"row_pitch_m": best.row_pitch_m, "column_pitch_m": best.column_pitch_m, "height_m": best.height_m}
    built = lc.evaluate(dataclasses.replace(fixture, layout_advice="no", **pitches)).light.statistics
    # Each board there has its own current, up to 3 % from the mean.
    assert best.mean_umol_m2_s == pytest.approx(built.mean, rel=0.01)
    assert best.min_over_mean_fraction == pytest.approx(built.min_over_mean, rel=0.02)
    views = layout_views(results)
    assert views.bound.min_over_mean >= best.min_over_mean_fraction
    found = views.count.arrangement
    assert (found.row_pitch_m * found.rows, found.column_pitch_m * found.columns) == pytest.approx((0.6, 1.2))
