"""Pitch and height against trying every layout by itself, and what must hold however the boards stand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.photons import CropGrid, Room, best_pitch_and_height, layout_fields, ppfd_per_flux, row_sources

BOARD = lc.LightSource(x_m=9.0, y_m=9.0, z_m=9.0, width_m=0.2, length_m=0.15, photon_flux_umol_s=60.0)
CROP = CropGrid(
    width_m=1.3, depth_m=0.8, left_m=0.3, front_m=-0.2, height_m=0.25, column_count=9, row_count=8
)  # odd and even: a middle column that is its own mirror image


def one_sided(sources, points):
    """Direct light and a wall's glow that falls off with x: surroundings without mirror symmetry."""
    return ppfd_per_flux(sources, points) + 0.2 * np.exp(-points[None, :, 0]) * np.array([[s.y_m**2] for s in sources])


def every_layout(board, crop, rows, columns, row_pitches, column_pitches, heights, field_of=ppfd_per_flux):
    """Each layout's own boards, summed one by one: nothing in common with the search but the single field."""
    found = []
    for height in heights:
        for row_pitch in row_pitches:
            for column_pitch in column_pitches:
                middle_x, middle_y = crop.left_m + crop.width_m / 2, crop.front_m + crop.depth_m / 2
                sources = [
                    replace(
                        board,
                        x_m=middle_x + (column - (columns - 1) / 2) * column_pitch,
                        y_m=middle_y + (row - (rows - 1) / 2) * row_pitch,
                        z_m=crop.height_m + height,
                    )
                    for row in range(rows)
                    for column in range(columns)
                ]
                field = board.photon_flux_umol_s * field_of(sources, crop.points_m).sum(axis=0)
                found.append((field.mean(), field.min() / field.mean(), row_pitch, column_pitch, height))
    return np.array(found)


def best_of(table, target_mean, least):
    """Where none meets the limit, the one that comes nearest to it."""
    limited, bettered = (1, 0) if least is not None else (0, 1)
    enough = table[table[:, limited] >= (least or target_mean or 0.0)]
    return max(enough, key=lambda row: row[bettered]) if enough.size else max(table, key=lambda row: row[limited])


@pytest.mark.parametrize(
    "board",
    [BOARD, replace(BOARD, cosine_exponent=2.0), replace(BOARD, rotation_deg=30.0), replace(BOARD, tilt_deg=20.0)],
    ids=["flat", "narrow", "turned", "tilted"],
)
@pytest.mark.parametrize("field_of", [None, ppfd_per_flux, one_sided], ids=["offsets", "places", "one-sided"])
@pytest.mark.parametrize(("target_mean", "least"), [(None, None), (180.0, None), (None, 0.5)])
def test_every_layout_is_what_trying_each_by_itself_finds(board, field_of, target_mean, least):
    row_pitches, column_pitches, heights = (
        np.array(values) for values in ([0.26, 0.29, 0.32, 0.35], [0.3, 0.33, 0.36, 0.39, 0.42], [0.3, 0.35])
    )
    table = every_layout(board, CROP, 2, 3, row_pitches, column_pitches, heights, field_of or ppfd_per_flux)
    best = best_pitch_and_height(
        board,
        CROP,
        rows=2,
        columns=3,
        row_pitch_range_m=(0.26, 0.36),
        column_pitch_range_m=(0.3, 0.42),
        height_range_m=(0.3, 0.35),
        step_m=0.03,
        height_step_m=0.05,
        target_mean=target_mean,
        least_min_over_mean=least,
        field_of=field_of,
        every_layout=True,
    )
    assert best.layout_count == table.shape[0]
    assert best.method == "every layout"
    expected = best_of(table, target_mean, least)
    layout = best.layout
    assert (layout.mean, layout.min_over_mean) == pytest.approx(tuple(expected[:2]), rel=1e-9)
    assert (layout.row_pitch_m, layout.column_pitch_m, layout.height_m) == pytest.approx(tuple(expected[2:]))
    for one, height in zip(best.by_height, heights, strict=True):
        here = best_of(table[table[:, 4] == height], target_mean, least)
        assert (one.mean, one.min_over_mean, one.height_m) == pytest.approx((here[0], here[1], height), rel=1e-9)


def test_symmetry_is_used_where_it_holds_only():
    asked = {"rows": 2, "columns": 2, "row_pitch_range_m": (0.3, 0.4), "column_pitch_range_m": (0.3, 0.4)}
    asked |= {"height_range_m": (0.3, 0.3)}
    assert best_pitch_and_height(BOARD, CROP, **asked).mirror_symmetric
    assert best_pitch_and_height(replace(BOARD, rotation_deg=90.0), CROP, **asked).mirror_symmetric
    assert not best_pitch_and_height(replace(BOARD, rotation_deg=30.0), CROP, **asked).mirror_symmetric
    assert not best_pitch_and_height(replace(BOARD, tilt_deg=10.0), CROP, **asked).mirror_symmetric
    assert not best_pitch_and_height(BOARD, CROP, field_of=one_sided, **asked).mirror_symmetric


@pytest.mark.parametrize("asked", [{}, {"target_mean": 250.0}, {"least_min_over_mean": 0.7}, {"target_mean": 2000.0}])
@pytest.mark.parametrize("size", [(1.2, 0.9), (1.22, 1.1)])
def test_coarse_to_fine_finds_what_trying_all_finds(asked, size):
    crop = CropGrid(width_m=size[0], depth_m=size[1])
    ranges = {"row_pitch_range_m": (0.2, 0.5), "column_pitch_range_m": (0.2, 0.5), "height_range_m": (0.2, 0.35)}
    every, some = (
        best_pitch_and_height(
            BOARD,
            crop,
            rows=3,
            columns=4,
            height_step_m=0.05,
            field_of=field,
            every_layout=all_of_them,
            **ranges,
            **asked,
        )
        for field, all_of_them in ((None, True), (ppfd_per_flux, False))
    )
    assert some.layout_count < every.layout_count / 5
    assert some.layout.mean == pytest.approx(every.layout.mean, rel=1e-9)
    for one, other in zip(some.by_height, every.by_height, strict=True):
        assert one.min_over_mean == pytest.approx(other.min_over_mean, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.25, 0.7), st.integers(1, 3), st.integers(2, 4), st.floats(1.0, 4.0))
def test_wider_pitch_costs_mean_and_light_that_arrives_is_at_most_what_leaves(height, rows, columns, exponent):
    board = replace(BOARD, cosine_exponent=exponent)
    means = []
    for pitch in (0.2, 0.25, 0.3, 0.35):
        found = best_pitch_and_height(
            board,
            CROP,
            rows=rows,
            columns=columns,
            row_pitch_range_m=(0.2, 0.2),
            column_pitch_range_m=(pitch, pitch),
            height_range_m=(height, height),
        )
        means.append(found.layout.mean)
        assert 0.0 < found.layout.utilisation_fraction < 1.0
        arriving = found.layout.mean * CROP.area_m2
        assert found.layout.utilisation_fraction == pytest.approx(arriving / (60.0 * rows * columns), rel=1e-12)
    assert (np.diff(means) < 0).all()


@pytest.mark.parametrize("walls", [0.85, (0.9, 0.3, 0.8, 0.8)], ids=["alike", "unlike"])
@pytest.mark.parametrize("asked", [{"target_mean": 240.0}, {"least_min_over_mean": 0.75}, {"target_mean": 900.0}])
def test_in_a_room_a_fit_finds_what_working_out_each_layout_finds(walls, asked):
    crop = CropGrid(width_m=1.2, depth_m=1.0, left_m=0.1, front_m=0.1, height_m=0.3, column_count=8, row_count=6)
    room = Room(
        width_m=1.4, depth_m=1.2, height_m=1.4, wall_reflectance=walls, ceiling_reflectance=0.7, floor_reflectance=0.2
    ).prepare(crop.points_m, fixture_height_m=0.65)
    ranges = {"row_pitch_range_m": (0.2, 0.45), "column_pitch_range_m": (0.24, 0.56), "height_range_m": (0.3, 0.4)}
    fitted, every = (
        best_pitch_and_height(
            BOARD,
            crop,
            rows=2,
            columns=3,
            step_m=0.04,
            height_step_m=0.05,
            field_of=lambda sources, points: ppfd_per_flux(sources, points, room=room),
            every_layout=each,
            **ranges,
            **asked,
        )
        for each in (None, True)
    )
    assert (fitted.method, every.method) == ("every layout by a fit", "every layout")
    assert fitted.layout_count == every.layout_count == 7 * 9 * 3
    assert fitted.mirror_symmetric == every.mirror_symmetric == (walls == 0.85)
    assert fitted.reached == every.reached == (asked != {"target_mean": 900.0})
    bettered = "mean" if "least_min_over_mean" in asked or not every.reached else "min_over_mean"
    assert getattr(fitted.layout, bettered) == pytest.approx(getattr(every.layout, bettered), rel=2e-3)
    # What is reported is the field itself, not the fit.
    field = 60.0 * ppfd_per_flux(fitted.sources, crop.points_m, room=room).sum(axis=0)
    assert (field.mean(), field.min()) == pytest.approx((fitted.layout.mean, fitted.layout.minimum), rel=1e-9)


@pytest.mark.parametrize("field_of", [None, ppfd_per_flux], ids=["direct", "by a fit"])
def test_large_searches_go_in_parts_with_the_same_result(monkeypatch, field_of):
    asked = {"row_pitch_range_m": (0.2, 0.4), "column_pitch_range_m": (0.24, 0.45), "height_range_m": (0.3, 0.32)}
    asked |= {"rows": 2, "columns": 3, "target_mean": 180.0, "field_of": field_of}
    whole = best_pitch_and_height(BOARD, CROP, **asked)
    monkeypatch.setattr(layout_fields, "LARGEST_TABLE", 3_000)
    parts = best_pitch_and_height(BOARD, CROP, **asked)
    assert parts.layout_count == whole.layout_count
    assert parts.layout.min_over_mean == pytest.approx(whole.layout.min_over_mean, rel=1e-12)
    assert parts.sources == whole.sources


def test_where_what_is_added_is_not_smooth_no_fit_is_used():
    def striped(sources, points):
        stripes = np.array([[float(round(100.0 * s.x_m) % 2)] for s in sources])
        return ppfd_per_flux(sources, points) * (1.0 + 0.1 * stripes)

    ranges = {"row_pitch_range_m": (0.2, 0.4), "column_pitch_range_m": (0.24, 0.4), "height_range_m": (0.3, 0.3)}
    rough = best_pitch_and_height(BOARD, CROP, rows=2, columns=3, field_of=striped, **ranges)
    smooth = best_pitch_and_height(BOARD, CROP, rows=2, columns=3, field_of=ppfd_per_flux, **ranges)
    few = best_pitch_and_height(BOARD, CROP, rows=2, columns=3, field_of=striped, step_m=0.1, **ranges)
    assert [one.method for one in (rough, smooth, few)] == ["coarse to fine", "every layout by a fit", "every layout"]


def test_turning_bench_and_boards_swaps_the_pitches_and_the_crop_may_lie_anywhere():
    asked = {"height_range_m": (0.3, 0.4), "target_mean": 200.0, "step_m": 0.02}
    one = best_pitch_and_height(
        BOARD, CROP, rows=2, columns=3, row_pitch_range_m=(0.2, 0.4), column_pitch_range_m=(0.24, 0.48), **asked
    )
    turned = CropGrid(width_m=0.8, depth_m=1.3, left_m=5.0, front_m=2.0, height_m=1.0, column_count=8, row_count=9)
    other = best_pitch_and_height(
        replace(BOARD, rotation_deg=90.0),
        turned,
        rows=3,
        columns=2,
        row_pitch_range_m=(0.24, 0.48),
        column_pitch_range_m=(0.2, 0.4),
        **asked,
    )
    assert other.layout.row_pitch_m == one.layout.column_pitch_m
    assert other.layout.column_pitch_m == one.layout.row_pitch_m
    assert other.layout.mean == pytest.approx(one.layout.mean, rel=1e-9)


def test_the_sources_given_back_make_the_field_that_is_promised():
    asked = {"row_pitch_range_m": (0.2, 0.4), "column_pitch_range_m": (0.24, 0.48), "height_range_m": (0.3, 0.4)}
    best = best_pitch_and_height(BOARD, CROP, rows=2, columns=3, target_mean=200.0, **asked)
    field = lc.ppfd_map(best.sources, CROP.points_m)
    assert (field.mean(), field.min()) == pytest.approx((best.layout.mean, best.layout.minimum), rel=1e-12)
    assert len(best.sources) == 6


def test_what_cannot_be_reached_is_said_with_the_nearest_layout():
    asked = {"rows": 1, "columns": 2, "column_pitch_range_m": (0.2, 0.6), "height_range_m": (0.2, 0.4)}
    dim = best_pitch_and_height(BOARD, CROP, target_mean=500.0, **asked)
    assert not dim.reached
    assert not dim.layout.reached
    # The brightest: as low and as narrow as may be.
    assert (dim.layout.column_pitch_m, dim.layout.height_m) == (0.2, 0.2)
    assert "500" in dim.note
    assert f"{dim.layout.mean:.1f}" in dim.note
    uneven = best_pitch_and_height(BOARD, CROP, least_min_over_mean=0.99, **asked)
    assert not uneven.reached
    assert "0.99" in uneven.note
    assert uneven.layout.min_over_mean == max(one.min_over_mean for one in uneven.by_height)
    assert best_pitch_and_height(BOARD, CROP, target_mean=50.0, **asked).note == ""


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"rows": 0}, "rows"),
        ({"columns": 1.5}, "columns"),
        ({"row_pitch_range_m": (0.4, 0.3)}, "row_pitch_range_m"),
        ({"row_pitch_range_m": None}, "row_pitch_range_m"),
        ({"column_pitch_range_m": (0.19, 0.3)}, "overlap"),
        ({"column_pitch_range_m": (0.2, 0.3, 0.4)}, "two lengths"),
        ({"height_range_m": (0.0, 0.3)}, "height_range_m"),
        ({"height_range_m": (0.3, 0.2)}, "height_range_m"),
        ({"step_m": 0.0}, "step_m"),
        ({"step_m": 1e-6}, "steps"),
        ({"target_mean": 0.0}, "target_mean"),
        ({"least_min_over_mean": 1.1}, "least_min_over_mean"),
        ({"target_mean": 100.0, "least_min_over_mean": 0.5}, "least_min_over_mean"),
        ({"board": replace(BOARD, photon_flux_umol_s=0.0)}, "photon_flux_umol_s"),
        ({"board": None}, "board"),
        ({"crop": (1.0, 1.0)}, "crop"),
        ({"field_of": lambda sources, _: np.ones(len(sources))}, "field_of"),
        ({"field_of": lambda sources, points: np.full((len(sources), len(points)), np.nan)}, "field_of"),
    ],
)
def test_bad_input_is_named(changes, named):
    asked = {"board": BOARD, "crop": CROP, "rows": 2, "columns": 2, "height_range_m": (0.3, 0.4)}
    asked |= {"row_pitch_range_m": (0.2, 0.3), "column_pitch_range_m": (0.2, 0.3)} | changes
    with pytest.raises(ArgumentError, match=named):
        best_pitch_and_height(asked.pop("board"), asked.pop("crop"), **asked)


def test_rows_of_boards_stand_where_they_should():
    places = [
        (s.x_m, s.y_m, s.z_m)
        for s in row_sources(BOARD, CROP, rows=2, columns=1, row_pitch_m=0.4, column_pitch_m=0.0, height_m=0.5)
    ]
    assert places == [pytest.approx((0.95, 0.0, 0.75)), pytest.approx((0.95, 0.4, 0.75))]
