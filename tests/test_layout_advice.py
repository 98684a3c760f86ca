"""The layout advice as the library functions give it, called by hand; the best pitch by trying; remedies that hold."""

import dataclasses

import numpy as np
import pytest
from scipy.optimize import linprog

import ledcalc as lc
from ledcalc.evaluation.layout_ranges import search_ranges
from ledcalc.group_shares import group_shares
from ledcalc.layout_views import layout_views
from ledcalc.photons import (
    CropGrid,
    best_pitch_and_height,
    boards_for_target,
    canopy_light,
    evenness_bound,
    moved_rails,
    ppfd_for_dose,
    ppfd_per_flux,
)
from ledcalc.records import placed_boards
from ledcalc.workbook.results.write import pages_of

CROP = CropGrid(width_m=1.2, depth_m=0.6, column_count=24, row_count=12)


def switched_on(fixture, **given):
    return dataclasses.replace(fixture, layout_advice="yes", **given)


@pytest.fixture(scope="module")
def advised(bench):
    return lc.evaluate(switched_on(bench))


@pytest.fixture(scope="module")
def board(bench_results):
    flux = float(bench_results.boards.photon_flux_umol_s.mean())
    return lc.LightSource(x_m=0, y_m=0, z_m=0, width_m=0.25, length_m=0.06, photon_flux_umol_s=flux)


def fields_of(fixture, results):
    """Each board's field at one umol/s, by the library's own point formula."""
    x, y = np.meshgrid(results.light.x_m, results.light.y_m)
    points = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    sources = [
        lc.LightSource(
            x_m=place.x_m, y_m=place.y_m, z_m=place.height_m, width_m=0.25, length_m=0.06, photon_flux_umol_s=1.0
        )
        for place in placed_boards(fixture)
    ]
    return ppfd_per_flux(sources, points)


def test_nothing_is_looked_for_unasked(bench_results):
    assert bench_results.layout is None
    assert layout_views(bench_results) is None
    assert group_shares(bench_results) is None
    assert "Layout advice" not in [page.title for page in pages_of(bench_results)]
    assert not [entry for entry in bench_results.assumptions if "layout advice" in entry.value]


def test_advice_is_what_the_library_finds(advised, board):
    """Pitches from boards side by side to the crop's edges in holes of 10 mm, heights of 3 cm about today's 28 cm."""
    target = ppfd_for_dose(8.0, 16.0)
    by_hand = best_pitch_and_height(
        board,
        CROP,
        rows=2,
        columns=4,
        row_pitch_range_m=(0.06, 0.54),
        column_pitch_range_m=(0.25, 0.31),
        height_range_m=(0.19, 0.43),
        height_step_m=0.03,
        target_mean=target,
    )
    found = advised.layout
    assert found.target_umol_m2_s == pytest.approx(target)
    assert found.layouts_count == by_hand.layout_count == 49 * 7 * 9
    best, hand = found.ranked[0], by_hand.layout
    assert (best.row_pitch_m, best.column_pitch_m, best.height_m) == pytest.approx(
        (hand.row_pitch_m, hand.column_pitch_m, hand.height_m)
    )
    assert best.mean_umol_m2_s == pytest.approx(hand.mean, rel=1e-9)
    assert best.min_over_mean_fraction == pytest.approx(hand.min_over_mean, rel=1e-9)
    assert best.utilisation_fraction == pytest.approx(hand.utilisation_fraction, rel=1e-9)
    ranks = [one.min_over_mean_fraction for one in found.ranked if one.reaches_target]
    assert ranks == sorted(ranks, reverse=True)
    assert sorted(one.height_m for one in found.ranked) == pytest.approx([one.height_m for one in by_hand.by_height])


def test_best_of_a_small_grid_by_trying_each(bench):
    """Six layouts, each evaluated as a fixture of its own with all boards alike."""
    alike = dataclasses.replace(bench.cables[0], one_way_length_m=0.01)
    same = dataclasses.replace(
        bench, cables=tuple(dataclasses.replace(alike, tag=c.tag, to_node=c.to_node) for c in bench.cables)
    )
    tried = []
    for row in (0.3, 0.4, 0.5):
        for height in (0.25, 0.3):
            one = lc.evaluate(dataclasses.replace(same, row_pitch_m=row, column_pitch_m=0.3, height_m=height))
            statistics = one.light.statistics
            tried.append((statistics.min_over_mean, row, height, statistics.mean, one.light.utilisation_fraction))
    ranges = {"row_pitch_from_m": 0.3, "row_pitch_to_m": 0.5, "column_pitch_from_m": 0.3, "column_pitch_to_m": 0.3}
    fixture = switched_on(same, drilling_step_m=0.1, height_from_m=0.25, height_to_m=0.3, height_step_m=0.05, **ranges)
    found = lc.evaluate(fixture).layout
    assert found.layouts_count == 6
    enough = [one for one in tried if one[3] >= found.target_umol_m2_s]
    best = found.ranked[0]
    expected = max(enough)
    assert (best.row_pitch_m, best.height_m) == pytest.approx(expected[1:3])
    assert best.min_over_mean_fraction == pytest.approx(expected[0], rel=1e-4)
    assert best.mean_umol_m2_s == pytest.approx(expected[3], rel=1e-4)
    assert best.utilisation_fraction == pytest.approx(expected[4], rel=1e-4)


def test_what_goes_with_it_is_what_the_library_finds(advised, bench, board):
    views, best = layout_views(advised), advised.layout.ranked[0]
    boards = advised.boards
    own = [
        lc.LightSource(
            x_m=boards.x_m[n],
            y_m=boards.y_m[n],
            z_m=boards.z_m[n],
            width_m=0.25,
            length_m=0.06,
            photon_flux_umol_s=boards.photon_flux_umol_s[n],
        )
        for n in range(8)
    ]
    for rails in views.rails:
        by_hand = moved_rails(own, CROP, move_m=rails.move_m)
        assert rails.after.mean == pytest.approx(by_hand.after.mean, rel=1e-9)
        assert rails.after.min_over_mean == pytest.approx(by_hand.after.min_over_mean, rel=1e-9)
        # And as a fixture of its own: each rail out by so much is a pitch wider by twice that.
        wider = lc.evaluate(dataclasses.replace(bench, row_pitch_m=0.36 + 2 * rails.move_m)).light.statistics
        assert rails.after.mean == pytest.approx(wider.mean, rel=1e-9)
    assert [rails.move_m for rails in views.rails] == pytest.approx([-0.02, -0.01, 0.01, 0.02])
    assert views.today_light.mean == pytest.approx(advised.light.statistics.mean, rel=1e-9)
    bound = evenness_bound(
        board, CROP, height_m=best.height_m, reach_m=(0.93, 0.54), target_mean=ppfd_for_dose(8.0, 16.0), board_count=8
    )
    assert views.bound.min_over_mean == pytest.approx(bound.min_over_mean, rel=1e-9)
    assert views.bound.min_over_mean > best.min_over_mean_fraction
    count = boards_for_target(
        board,
        CROP,
        height_m=best.height_m,
        target_dli_mol_m2_d=8.0,
        photoperiod_h=16.0,
        least_min_over_mean=0.6,
        most_boards=24,
    )
    assert views.count.arrangement == count.arrangement
    arriving = canopy_light(own, (0.0, 1.2), (0.0, 0.6), 0.0)
    assert views.compared.today.utilisation_fraction == pytest.approx(arriving.utilisation_fraction, rel=1e-12)


def test_rings_are_square_and_hold_every_point(advised, bench):
    compared = layout_views(advised).compared
    assert compared.ring_sides_m == pytest.approx([0.15, 0.45, 0.75, 1.05])
    light = advised.light
    x, y = np.meshgrid(light.x_m - 0.6, light.y_m - 0.3)
    ring = np.minimum(np.maximum(np.abs(x), np.abs(y)) // 0.15, 3).astype(int)
    means = [light.ppfd_umol_m2_s[ring == n].mean() for n in range(4)]
    assert compared.today_ring_umol_m2_s == pytest.approx(means, rel=1e-9)
    best = advised.layout.ranked[0]
    there = lc.evaluate(
        dataclasses.replace(
            bench, row_pitch_m=best.row_pitch_m, column_pitch_m=best.column_pitch_m, height_m=best.height_m
        )
    )
    means = [there.light.ppfd_umol_m2_s[ring == n].mean() for n in range(4)]
    # Boards alike there, each with its own current here.
    assert compared.best_ring_umol_m2_s == pytest.approx(means, rel=0.01)


def test_the_course_over_the_pitch_passes_through_the_best(advised):
    course, best = layout_views(advised).course, advised.layout.ranked[0]
    at_row = next(one for one in course if one.pitch_m == pytest.approx(best.row_pitch_m))
    at_column = next(one for one in course if one.pitch_m == pytest.approx(best.column_pitch_m))
    for value in (at_row.by_rows_fraction, at_column.by_columns_fraction):
        assert value == pytest.approx(best.min_over_mean_fraction, rel=1e-9)
    assert at_row.by_rows_umol_m2_s == pytest.approx(best.mean_umol_m2_s, rel=1e-9)
    outside = [one for one in course if one.pitch_m < 0.249]
    assert outside
    assert all(np.isnan(one.by_columns_fraction) for one in outside)


def room_of(bench, **site):
    sizes = {"room_width_m": 1.4, "room_depth_m": 0.8, "room_height_m": 0.75, "wall_reflectance_fraction": 0.8} | site
    fixture = dataclasses.replace(bench, site=dataclasses.replace(bench.site, **sizes))
    return dataclasses.replace(fixture, crop_x_m=0.1, crop_y_m=0.1, canopy_height_m=0.2)


@pytest.mark.parametrize("others", [(), (lc.OtherFixture(tag="F2", shift_y_m=0.7),)], ids=["one fixture", "two"])
@pytest.mark.parametrize("place", ["open bench", "room"])
def test_the_best_is_what_a_fixture_built_so_gives(bench, others, place):
    """Walls and other fixtures count in the search as they do in the light field."""
    base = bench if place == "open bench" else room_of(bench, room_depth_m=1.6)
    results = lc.evaluate(switched_on(base, other_fixtures=others))
    best = results.layout.ranked[0]
    pitches = {"row_pitch_m": best.row_pitch_m, "column_pitch_m": best.column_pitch_m, "height_m": best.height_m}
    built = lc.evaluate(dataclasses.replace(base, other_fixtures=others, **pitches)).light
    # Each board there has its own current, up to 3 % from the mean; the walls are cut at other heights.
    assert best.mean_umol_m2_s == pytest.approx(built.statistics.mean, rel=0.01)
    assert best.min_over_mean_fraction == pytest.approx(built.statistics.min_over_mean, rel=0.02)
    assert best.utilisation_fraction == pytest.approx(built.utilisation_fraction, rel=0.01)
    assert best.min_over_mean_fraction > results.light.statistics.min_over_mean
    views = layout_views(results)
    assert views.compared.best.utilisation_fraction == pytest.approx(built.utilisation_fraction, rel=0.02)
    assert views.bound.min_over_mean >= best.min_over_mean_fraction


def test_ranges_keep_within_walls_ceiling_and_canopy(bench):
    ranges = search_ranges(switched_on(room_of(bench, room_depth_m=0.62, room_width_m=1.22)))
    assert ranges.row_pitch_m[1] <= 0.62 - 0.06 + 1e-9
    crooked = dataclasses.replace(
        room_of(bench), crop_x_m=0.2, other_fixtures=(lc.OtherFixture(tag="F2", shift_y_m=-0.05),)
    )
    ranges = search_ranges(switched_on(crooked, column_pitch_to_m=0.4, row_pitch_to_m=0.6))
    assert 3 * ranges.column_pitch_m[1] + 0.25 <= 2 * 0.6 + 1e-9
    assert ranges.row_pitch_m[1] + 0.06 <= 2 * 0.35 + 1e-9
    assert 0.2 + ranges.height_m[1] <= 0.75
    assert any("walls allow no other" in one.reason for one in ranges.assumed)
    low = dataclasses.replace(bench, other_fixtures=(lc.OtherFixture(tag="F2", shift_x_m=1.3, height_change_m=-0.2),))
    assert search_ranges(switched_on(low)).height_m[0] >= 0.21 - 1e-9
    assert search_ranges(switched_on(low)).reason == ""


def test_blank_ranges_are_said_and_given_ones_hold(bench, advised):
    said = {entry.path for entry in advised.assumptions if entry.value.startswith("layout advice")}
    names = (
        "drilling_step_m",
        "row_pitch_from_m",
        "row_pitch_to_m",
        "column_pitch_from_m",
        "column_pitch_to_m",
        "height_from_m",
        "height_to_m",
        "height_step_m",
    )
    assert said == {f"fixture.{name}" for name in names}
    given = {
        "drilling_step_m": 0.02,
        "row_pitch_from_m": 0.3,
        "row_pitch_to_m": 0.36,
        "column_pitch_from_m": 0.26,
        "column_pitch_to_m": 0.3,
        "height_from_m": 0.2,
        "height_to_m": 0.3,
        "height_step_m": 0.05,
    }
    results = lc.evaluate(switched_on(bench, **given))
    assert results.layout.layouts_count == 4 * 3 * 3
    assert not [entry for entry in results.assumptions if entry.value.startswith("layout advice")]


def test_wide_ranges_are_thinned_and_said(bench):
    wide = switched_on(bench, row_pitch_from_m=0.06, row_pitch_to_m=20.0, drilling_step_m=0.001)
    ranges = search_ranges(wide)
    assert (ranges.row_pitch_m[1] - ranges.row_pitch_m[0]) / ranges.pitch_step_m < 120
    assert any("steps at a time" in one.value for one in ranges.assumed)
    assert ranges.pitch_step_m / 0.001 == pytest.approx(round(ranges.pitch_step_m / 0.001))
    assert lc.evaluate(wide).layout.ranked


def test_ends_the_wrong_way_round_are_refused(bench):
    with pytest.raises(lc.InputErrors, match=r"the high end 0\.2 lies below the low end 0\.3"):
        lc.evaluate(switched_on(bench, row_pitch_from_m=0.3, row_pitch_to_m=0.2))


def test_a_target_out_of_reach_is_said_with_the_brightest(bench):
    site = dataclasses.replace(bench.site, target_ppfd_umol_m2_s=900.0)
    results = lc.evaluate(switched_on(bench, site=site))
    assert "No layout reaches a mean of 900" in results.layout.note
    assert not results.layout.ranked[0].reaches_target
    means = [one.mean_umol_m2_s for one in results.layout.ranked]
    assert means == sorted(means, reverse=True)
    [page] = [page for page in pages_of(results) if page.title == "Layout advice"]
    assert any("No layout reaches" in line for block in page.blocks for line in getattr(block, "lines", ()))


def test_boards_of_two_models_or_without_light_say_why_not(bench):
    two = (bench.boards[0], dataclasses.replace(bench.boards[0], tag="Other bar"))
    points = (*bench.board_points, *(dataclasses.replace(p, board="Other bar") for p in bench.board_points))
    places = [dataclasses.replace(place) for place in placed_boards(bench)]
    places[2] = dataclasses.replace(places[2], board="Other bar")
    mixed = switched_on(bench, boards=two, board_points=points, positions=tuple(places))
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=25.0)
    # What was taken for blanks of a search that there was not is not worth a line.
    assert not [one for one in lc.evaluate(mixed).assumptions if one.value.startswith("layout advice")]
    for fixture, words in ((mixed, "several models"), (switched_on(bench, drivers=(cut,)), "no light")):
        results = lc.evaluate(fixture)
        assert words in results.layout.reason
        assert layout_views(results) is None
        [page] = [page for page in pages_of(results) if page.title == "Layout advice"]
        assert words in page.blocks[0].lines[0]


def test_positions_in_rows_are_taken_as_rows_and_others_as_what_suits_the_crop(bench):
    places = placed_boards(bench)
    ranges = search_ranges(switched_on(bench, positions=places))
    assert (ranges.rows_count, ranges.columns_count) == (2, 4)
    crooked = (dataclasses.replace(places[0], x_m=0.17, rotation_deg=10.0), *places[1:])
    ranges = search_ranges(switched_on(bench, positions=crooked))
    assert (ranges.rows_count, ranges.columns_count) == (2, 4)
    assert any("make no rows and columns" in one.reason for one in ranges.assumed)
    assert any("turned by 0 deg" in one.value for one in ranges.assumed)


def test_one_board_alone_moves_in_height_only(bench):
    alone = dataclasses.replace(bench, rows_count=1, columns_count=1, cables=bench.cables[:1], current_log=())
    results = lc.evaluate(
        switched_on(alone, drivers=(dataclasses.replace(bench.drivers[0], current_low_a=0.1),), current_setting_a=0.55)
    )
    assert results.layout.layouts_count == 9
    assert np.isnan(results.layout.ranked[0].row_pitch_m)
    views = layout_views(results)
    assert views.course == ()
    assert "one rail" in views.rails_reason
    pages_of(results)


def test_rails_that_would_put_boards_over_each_other_say_so(bench):
    near = lc.evaluate(switched_on(bench, row_pitch_m=0.075))
    rails = layout_views(near).rails
    assert [one.after is None for one in rails] == [True, True, False, False]
    assert "overlap" in rails[0].reason
    walls = lc.evaluate(switched_on(room_of(bench, room_depth_m=0.62), crop_y_m=0.01, row_pitch_m=0.54))
    assert [one.after is None for one in layout_views(walls).rails] == [False, False, False, True]


def test_rails_move_by_what_the_user_asks(bench):
    results = lc.evaluate(switched_on(bench, rail_move_m=0.13))
    rails = layout_views(results).rails
    assert [one.move_m for one in rails] == [-0.13, 0.13]
    narrower = lc.evaluate(dataclasses.replace(bench, row_pitch_m=0.36 - 2 * 0.13)).light
    assert rails[0].after.mean == pytest.approx(narrower.statistics.mean, rel=1e-9)
    assert rails[0].after.centre == pytest.approx(narrower.ppfd_umol_m2_s[5:7, 11:13].mean(), rel=1e-9)
    assert rails[0].after.centre > layout_views(results).today_light.centre
    [page] = [page for page in pages_of(results) if page.title == "Layout advice"]
    assert "Today's rails moved in or out by 130 mm" in [getattr(block, "heading", "") for block in page.blocks]
    # 155 mm in, the rails would lie over each other: 0.36 m less twice that is less than a board's 60 mm.
    further = layout_views(lc.evaluate(switched_on(bench, rail_move_m=0.155))).rails
    assert further[0].after is None
    assert "overlap" in further[0].reason
    assert further[1].after is not None


def test_uneven_light_is_remedied_by_the_advice_where_it_is_on(bench):
    site = dataclasses.replace(bench.site, target_min_over_mean_fraction=0.64)
    plain, advised = (
        lc.evaluate(one) for one in (dataclasses.replace(bench, site=site), switched_on(bench, site=site))
    )
    [before], [after] = ([f for f in one.findings if f.code == "light-uneven"] for one in (plain, advised))
    assert "layout advice" not in before.remedy
    assert "by the layout advice: row pitch 0.460 m and column pitch 0.310 m" in after.remedy
    mended = lc.evaluate(lc.with_values(advised.fixture, after.changes))
    assert not {"light-uneven", "light-below-target"} & {found.code for found in mended.findings}
    beyond = dataclasses.replace(site, target_min_over_mean_fraction=0.75)
    [out_of_reach] = [f for f in lc.evaluate(switched_on(bench, site=beyond)).findings if f.code == "light-uneven"]
    assert "layout advice" not in out_of_reach.remedy


@pytest.mark.parametrize("others", [(), (lc.OtherFixture(tag="F2", shift_y_m=0.1),)], ids=["one fixture", "two"])
def test_height_as_a_remedy_counts_walls_and_other_fixtures(bench, others):
    """In a white room the light evens out sooner than on the open bench."""
    site = {"target_min_over_mean_fraction": 0.78, "room_height_m": 1.5}
    uneven = dataclasses.replace(room_of(bench, **site), other_fixtures=others)
    [found] = [f for f in lc.evaluate(uneven).findings if f.code == "light-uneven"]
    assert "hang the boards at" in found.remedy
    mended = lc.evaluate(lc.with_values(uneven, found.changes))
    assert "light-uneven" not in {one.code for one in mended.findings}
    step = dataclasses.replace(uneven, height_m=found.changes["fixture.height_m"] - 0.05 * 0.28)
    assert "light-uneven" in {one.code for one in lc.evaluate(step).findings}


def grouped(bench, **changes):
    outer = ("B1", "B4", "B5", "B8")
    places = tuple(
        dataclasses.replace(place, group="outer" if place.tag in outer else "inner") for place in placed_boards(bench)
    )
    return dataclasses.replace(bench, positions=places, **changes)


@pytest.mark.parametrize("target", [100.0, 190.0, 240.0])
def test_group_shares_against_a_linear_programme_of_its_own(bench, target):
    """Highest s with field >= s at mean ``target``: levels up to the rated current's light, by linprog."""
    site = dataclasses.replace(bench.site, target_ppfd_umol_m2_s=target)
    fixture = grouped(bench, site=site)
    results = lc.evaluate(fixture)
    shares = group_shares(results)
    fields, rated = fields_of(fixture, results), 46.0 * (1 - 0.001 * (results.boards.temperature_c - 25.0))
    outer = np.array([place.group == "outer" for place in fixture.positions])
    groups = np.array([(rated * own) @ fields for own in (outer, ~outer)])
    found = linprog(
        [0.0, 0.0, -1.0],
        A_ub=np.column_stack([-groups.T, np.ones(groups.shape[1])]),
        b_ub=np.zeros(groups.shape[1]),
        A_eq=[[*groups.mean(axis=1), 0.0]],
        b_eq=[target],
        bounds=[(0, 1), (0, 1), (None, None)],
    )
    assert found.status == 0
    assert [share.group for share in shares.groups] == ["outer", "inner"]
    assert [share.level_fraction for share in shares.groups] == pytest.approx(found.x[:2], abs=2e-4)
    assert shares.best.min_over_mean == pytest.approx(found.x[2] / target, rel=1e-4)
    assert shares.best.min_over_mean >= results.light.statistics.min_over_mean
    assert shares.best.mean == pytest.approx(target, rel=1e-6)
    for share in shares.groups:
        assert share.current_a <= 0.8 + 1e-9
        assert share.today_current_a == pytest.approx(0.55, abs=0.01)


def test_a_target_beyond_the_ratings_is_said(bench):
    site = dataclasses.replace(bench.site, target_ppfd_umol_m2_s=400.0)
    shares = group_shares(lc.evaluate(grouped(bench, site=site)))
    assert "At full drive the mean is" in shares.best.note
    assert [share.level_fraction for share in shares.groups] == [1.0, 1.0]
    assert [share.current_a for share in shares.groups] == pytest.approx([0.8, 0.8])


def test_groups_alone_bring_their_page_and_move_no_current(bench, bench_results):
    results = lc.evaluate(grouped(bench))
    assert results.boards.current_a == pytest.approx(bench_results.boards.current_a, rel=1e-12)
    [page] = [page for page in pages_of(results) if page.title == "Layout advice"]
    words = " ".join(line for block in page.blocks for line in getattr(block, "lines", ()))
    assert "a driver channel or dimmer of its own" in words
    one = tuple(dataclasses.replace(place, group="all") for place in placed_boards(bench))
    assert group_shares(lc.evaluate(dataclasses.replace(bench, positions=one))) is None
    some = (one[0], *(dataclasses.replace(place, group=None) for place in one[1:]))
    shares = group_shares(lc.evaluate(dataclasses.replace(bench, positions=some)))
    assert [(share.group, share.boards_count) for share in shares.groups] == [("all", 1), ("(no group)", 7)]


def test_boards_without_a_group_go_together(bench):
    places = list(grouped(bench).positions)
    places[1] = dataclasses.replace(places[1], group=None)
    places[2] = dataclasses.replace(places[2], group=None)
    shares = group_shares(lc.evaluate(dataclasses.replace(bench, positions=tuple(places))))
    assert {share.group: share.boards_count for share in shares.groups} == {"outer": 4, "inner": 2, "(no group)": 2}
