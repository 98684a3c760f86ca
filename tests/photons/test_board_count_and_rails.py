"""How many boards a target takes, against counting by hand; what moving rails does, against the field itself."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.photons import CropGrid, boards_for_target, moved_rails, ppfd_per_flux, row_sources

BOARD = lc.LightSource(x_m=0.0, y_m=0.0, z_m=0.0, width_m=0.2, length_m=0.15, photon_flux_umol_s=60.0)
CROP = CropGrid(width_m=1.2, depth_m=0.8, left_m=0.1, front_m=0.4, height_m=0.2, column_count=12, row_count=8)


def even_cells(rows, columns, height):
    """Boards in the middle of equal cells, written out."""
    return [
        replace(BOARD, x_m=0.1 + 1.2 * (column + 0.5) / columns, y_m=0.4 + 0.8 * (row + 0.5) / rows, z_m=0.2 + height)
        for row in range(rows)
        for column in range(columns)
    ]


@pytest.mark.parametrize("target", [60.0, 150.0, 260.0])
def test_even_cells_are_counted_as_by_hand(target):
    found = boards_for_target(BOARD, CROP, height_m=0.3, target_umol_m2_s=target, spacing="even cells")
    enough = []
    for rows in range(1, 6):
        for columns in range(1, 7):
            ratio = (1.2 / columns) / (0.8 / rows)
            field = np.asarray(lc.ppfd_map(even_cells(rows, columns, 0.3), CROP.points_m))
            if field.mean() >= target and (rows * columns == 1 or 0.4 <= ratio <= 2.5):
                enough.append((rows * columns, -field.min() / field.mean(), rows, columns, field.mean()))
    count, evenness, rows, columns, mean = min(enough)
    best = found.arrangement
    assert found.reached
    assert (best.board_count, best.rows, best.columns) == (count, rows, columns)
    assert (best.mean, best.min_over_mean) == pytest.approx((mean, -evenness), rel=1e-9)
    places = [(s.x_m, s.y_m, s.z_m) for s in even_cells(rows, columns, 0.3)]
    assert np.array([(s.x_m, s.y_m, s.z_m) for s in found.sources]) == pytest.approx(np.array(places))


@settings(max_examples=15, deadline=None)
@given(st.floats(60.0, 350.0), st.sampled_from(["best pitch", "even cells"]), st.floats(0.2, 0.5))
def test_the_flux_needed_gives_the_target_and_one_board_fewer_does_not_reach_it(target, spacing, height):
    asked = {"height_m": height, "target_umol_m2_s": target, "spacing": spacing, "step_m": 0.05}
    found = boards_for_target(BOARD, CROP, **asked)
    best = found.arrangement
    dimmed = [replace(s, photon_flux_umol_s=best.flux_needed_per_board_umol_s) for s in found.sources]
    field = np.asarray(lc.ppfd_map(dimmed, CROP.points_m))
    assert field.mean() == pytest.approx(target, rel=1e-6)
    assert field.min() / field.mean() == pytest.approx(best.min_over_mean, rel=1e-6)
    assert best.flux_needed_umol_s == pytest.approx(target * 0.96 / best.utilisation_fraction, rel=1e-9)
    assert best.flux_needed_umol_s == pytest.approx(best.level_fraction * best.board_count * 60.0, rel=1e-9)
    assert best.level_fraction <= 1.0 + 1e-9
    assert 0.0 < best.utilisation_fraction < 1.0
    fewer = boards_for_target(BOARD, CROP, most_boards=best.board_count - 1, **asked) if best.board_count > 1 else None
    assert fewer is None or not fewer.reached
    assert all(not one.reached for one in found.tried if one.board_count < best.board_count)


def test_the_best_pitch_is_more_even_than_even_cells_at_the_same_count():
    cells = boards_for_target(BOARD, CROP, height_m=0.3, target_umol_m2_s=260.0, spacing="even cells").arrangement
    asked = {"height_m": 0.3, "target_umol_m2_s": 230.0}
    pitch = next(
        one
        for one in boards_for_target(BOARD, CROP, least_min_over_mean=0.85, **asked).tried
        if (one.rows, one.columns) == (cells.rows, cells.columns)
    )
    assert pitch.min_over_mean > cells.min_over_mean + 0.05
    assert pitch.mean >= 230.0


def test_evenness_asked_for_takes_more_boards_or_overhang_and_a_dose_is_its_ppfd():
    counts = [
        boards_for_target(
            BOARD, CROP, height_m=0.3, target_umol_m2_s=130.0, least_min_over_mean=least
        ).arrangement.board_count
        for least in (0.0, 0.8)
    ]
    assert counts[0] < counts[1]
    asked = {"height_m": 0.3, "target_umol_m2_s": 200.0}
    assert not boards_for_target(BOARD, CROP, least_min_over_mean=0.9, **asked).reached
    beyond = boards_for_target(BOARD, CROP, least_min_over_mean=0.9, overhang_m=0.15, **asked)
    assert beyond.reached
    xs, ys = (np.array([getattr(s, name) for s in beyond.sources]) for name in ("x_m", "y_m"))
    assert 0.1 - 0.15 <= xs.min() - 0.1 < xs.max() + 0.1 <= 1.3 + 0.15 + 1e-9
    assert 0.4 - 0.15 <= ys.min() - 0.075 < ys.max() + 0.075 <= 1.2 + 0.15 + 1e-9
    fewest = boards_for_target(BOARD, CROP, **asked).arrangement.board_count
    # 200 umol m-2 s-1 for 16 h: 200e-6 x 57,600 s.
    dose = boards_for_target(BOARD, CROP, height_m=0.3, target_dli_mol_m2_d=11.52, photoperiod_h=16.0)
    assert dose.target_umol_m2_s == pytest.approx(200.0, rel=1e-12)
    assert dose.arrangement.board_count == fewest


def test_a_field_that_is_given_counts_and_brighter_surroundings_take_fewer_boards():
    asked = {"height_m": 0.3, "target_umol_m2_s": 420.0, "step_m": 0.02}
    open_bench = boards_for_target(BOARD, CROP, **asked)
    same = boards_for_target(BOARD, CROP, field_of=ppfd_per_flux, **asked)
    assert same.arrangement.board_count == open_bench.arrangement.board_count
    assert same.arrangement.min_over_mean == pytest.approx(open_bench.arrangement.min_over_mean, rel=1e-6)
    room = lc.photons.Room(
        width_m=1.4, depth_m=1.6, height_m=1.2, wall_reflectance=0.8, ceiling_reflectance=0.7, floor_reflectance=0.2
    ).prepare(CROP.points_m, fixture_height_m=0.5)
    white = boards_for_target(
        BOARD, CROP, field_of=lambda s, p: ppfd_per_flux(s, p, room=room), spacing="even cells", **asked
    )
    bare = boards_for_target(BOARD, CROP, spacing="even cells", **asked)
    assert white.reached
    assert white.arrangement.board_count < bare.arrangement.board_count
    assert white.arrangement.utilisation_fraction > bare.arrangement.utilisation_fraction


def test_what_no_count_reaches_is_said():
    dim = boards_for_target(BOARD, CROP, height_m=0.3, target_umol_m2_s=200.0, most_boards=2)
    assert not dim.reached
    assert dim.arrangement.level_fraction > 1.0
    assert f"{dim.arrangement.mean:.1f}" in dim.note
    uneven = boards_for_target(
        BOARD, CROP, height_m=0.3, target_umol_m2_s=100.0, least_min_over_mean=0.99, most_boards=6
    )
    assert not uneven.reached
    assert "0.99" in uneven.note
    assert uneven.arrangement.min_over_mean == max(one.min_over_mean for one in uneven.tried if one.level_fraction <= 1)
    # More than have room: 5 rows of 6 is the most.
    full = boards_for_target(BOARD, CROP, height_m=0.3, target_umol_m2_s=5000.0)
    assert full.arrangement.board_count == 30
    assert not full.reached


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"target_umol_m2_s": None}, "target_umol_m2_s"),
        ({"target_dli_mol_m2_d": 10.0, "photoperiod_h": 10.0}, "target_umol_m2_s"),
        ({"photoperiod_h": 10.0}, "photoperiod_h"),
        ({"target_umol_m2_s": None, "target_dli_mol_m2_d": 10.0}, "photoperiod_h"),
        ({"target_umol_m2_s": 0.0}, "target_umol_m2_s"),
        ({"height_m": 0.0}, "height_m"),
        ({"spacing": "tight"}, "spacing"),
        ({"most_boards": 0}, "most_boards"),
        ({"least_min_over_mean": 2.0}, "least_min_over_mean"),
        ({"step_m": 0.0}, "step_m"),
        ({"overhang_m": -0.1}, "overhang_m"),
        ({"board": replace(BOARD, width_m=1.3)}, "board"),
        ({"board": replace(BOARD, photon_flux_umol_s=0.0)}, "photon_flux_umol_s"),
        ({"board": replace(BOARD, tilt_deg=89.0), "field_of": lambda s, p: np.zeros((len(s), len(p)))}, "board"),
    ],
)
def test_bad_input_is_named(changes, named):
    asked = {"board": BOARD, "crop": CROP, "height_m": 0.3, "target_umol_m2_s": 200.0} | changes
    with pytest.raises(ArgumentError, match=named):
        boards_for_target(asked.pop("board"), asked.pop("crop"), **asked)


def rails(rows=3, pitch=0.25, turn=False):
    if turn:
        return row_sources(BOARD, CROP, rows=3, columns=rows, row_pitch_m=0.3, column_pitch_m=pitch, height_m=0.3)
    return row_sources(BOARD, CROP, rows=rows, columns=3, row_pitch_m=pitch, column_pitch_m=0.3, height_m=0.3)


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize(
    ("rows", "which", "after"),
    [
        (2, "all", [-0.175, 0.175]),
        (3, "all", [-0.3, 0.0, 0.3]),
        (4, "all", [-0.425, -0.175, 0.175, 0.425]),
        (4, "outer", [-0.425, -0.125, 0.125, 0.425]),
    ],
)
def test_rails_go_where_they_are_moved_and_the_light_is_the_fields(turn, rows, which, after):
    boards = rails(rows, turn=turn)
    moved = moved_rails(boards, CROP, move_m=0.05, which=which, rails_along="y" if turn else "x")
    middle = CROP.centre_m[0 if turn else 1]
    places = sorted({round((s.x_m if turn else s.y_m) - middle, 9) for s in moved.sources})
    assert places == pytest.approx(after)
    for light, sources in ((moved.before, boards), (moved.after, moved.sources)):
        field = np.asarray(lc.ppfd_map(sources, CROP.points_m)).reshape(8, 12)
        rim = (field[[0, -1]].sum() + field[1:-1, [0, -1]].sum()) / 36
        assert (light.mean, light.minimum, light.edge) == pytest.approx((field.mean(), field.min(), rim), rel=1e-12)
        assert light.centre == pytest.approx(field[3:5, 5:7].mean(), rel=1e-12)
        assert light.min_over_mean == pytest.approx(light.minimum / light.mean, rel=1e-12)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.005, 0.08), st.integers(2, 3))
def test_moving_out_takes_light_from_mean_and_centre_and_moving_in_undoes_it(move, rows):
    out = moved_rails(rails(rows), CROP, move_m=move)
    assert out.after.mean < out.before.mean
    assert out.after.centre < out.before.centre
    back = moved_rails(out.sources, CROP, move_m=-move)
    assert back.after.mean == pytest.approx(out.before.mean, rel=1e-9)
    assert back.after.minimum == pytest.approx(out.before.minimum, rel=1e-9)


def test_boards_that_a_rail_staggers_stay_staggered_and_fluxes_count():
    boards = [replace(s, photon_flux_umol_s=10.0 * (n + 1)) for n, s in enumerate(rails(2))]
    moved = moved_rails(boards, CROP, move_m=0.1, field_of=ppfd_per_flux)
    assert [s.photon_flux_umol_s for s in moved.sources] == [10.0, 20.0, 30.0, 40.0, 50.0, 60.0]
    assert [s.x_m for s in moved.sources] == [s.x_m for s in boards]
    assert moved_rails(boards, CROP, move_m=0.0).after == moved_rails(boards, CROP, move_m=0.0).before


@pytest.mark.parametrize(
    ("sources", "changes", "named"),
    [
        ([], {}, "sources"),
        (rails(1), {}, "two rails"),
        (rails(2), {"move_m": -0.06}, "move_m"),
        (rails(2), {"move_m": -0.6}, "move_m"),
        (rails(3), {"move_m": -0.11}, "move_m"),
        (rails(4, pitch=0.2), {"which": "outer", "move_m": -0.06}, "move_m"),
        (rails(2), {"move_m": float("nan")}, "move_m"),
        (rails(2), {"rails_along": "z"}, "rails_along"),
        (rails(2), {"which": "inner"}, "which"),
        (rails(2), {"crop": None}, "crop"),
    ],
)
def test_bad_rails_are_named(sources, changes, named):
    asked = {"crop": CROP, "move_m": 0.02} | changes
    with pytest.raises(ArgumentError, match=named):
        moved_rails(sources, asked.pop("crop"), **asked)
