"""The dimming programmes against a search by gradients and against changes by hand; the bound against layouts."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, minimize

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.photons import (
    CropGrid,
    Room,
    best_dimming,
    best_pitch_and_height,
    evenness_bound,
    ppfd_per_flux,
    row_sources,
)

BOARD = lc.LightSource(x_m=0.0, y_m=0.0, z_m=0.0, width_m=0.2, length_m=0.15, photon_flux_umol_s=60.0)
CROP = CropGrid(width_m=1.2, depth_m=0.8, column_count=12, row_count=8)


def fields_of(seed, boards=6):
    """Boards strewn over the crop: nothing symmetric."""
    rng = np.random.default_rng(seed)
    places = rng.uniform([0.0, 0.0, 0.2], [1.2, 0.8, 0.5], (boards, 3))
    sources = [replace(BOARD, x_m=x, y_m=y, z_m=z) for x, y, z in places]
    return 60.0 * ppfd_per_flux(sources, CROP.points_m)


def evenness(levels, fields):
    field = levels @ fields
    return field.min() / field.mean()


def by_gradients(fields, target, least_level):
    """The epigraph form: greatest s with field >= s x mean, mean >= target; SLSQP from several starts."""
    boards, points = fields.shape
    means = fields.mean(axis=1)
    best = 0.0
    for seed in range(4):
        start = np.append(np.random.default_rng(seed).uniform(0.8, 1.0, boards), 0.0)
        found = minimize(
            lambda u: -u[-1],
            start,
            jac=lambda _: np.append(np.zeros(boards), -1.0),
            method="SLSQP",
            bounds=[(least_level, 1.0)] * boards + [(0.0, 1.0)],
            constraints=[
                {
                    "type": "ineq",
                    "fun": lambda u: (u[:-1] @ fields - u[-1] * (u[:-1] @ means)) / means.sum(),
                    "jac": lambda u: (
                        np.hstack([fields.T - u[-1] * means, np.full((points, 1), -(u[:-1] @ means))]) / means.sum()
                    ),
                },
                LinearConstraint(np.append(means, 0.0) / means.sum(), lb=target / means.sum()),
            ],
            options={"maxiter": 300, "ftol": 1e-12},
        )
        if found.success:
            best = max(best, evenness(found.x[:-1], fields))
    return best


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(("share", "least_level"), [(0.0, 0.0), (0.6, 0.0), (0.9, 0.0), (0.6, 0.3)])
def test_the_best_dimming_is_what_a_search_by_gradients_finds(seed, share, least_level):
    fields = fields_of(seed)
    target = share * fields.mean(axis=1).sum()
    found = best_dimming(fields, target_mean=target or None, least_level=least_level)
    searched = by_gradients(fields, target or 0.05 * fields.mean(axis=1).sum(), least_level)
    assert found.reached
    assert found.min_over_mean == pytest.approx(searched, abs=2e-6)
    assert found.min_over_mean > searched - 1e-8
    assert found.mean >= target * (1 - 1e-7)
    assert found.min_over_mean == pytest.approx(evenness(found.levels, fields), rel=1e-12)
    assert (found.levels >= least_level).all()
    assert (found.levels <= 1.0).all()


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.3, 0.95), st.floats(0.0, 0.25))
def test_no_change_of_levels_by_hand_betters_the_optimum(seed, share, least_level):
    fields = fields_of(seed, boards=5)
    target = share * fields.mean(axis=1).sum()
    found = best_dimming(fields, target_mean=target, least_level=least_level)
    rng = np.random.default_rng(seed)
    for size in (1e-3, 1e-2, 1e-1, 1.0):
        others = np.clip(found.levels + size * rng.normal(size=(300, 5)), least_level, 1.0)
        field = others @ fields
        enough = field.mean(axis=1) >= target
        ratios = field[enough].min(axis=1) / field[enough].mean(axis=1)
        assert ratios.max(initial=0.0) <= found.min_over_mean + 1e-7


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.2, 0.8), st.floats(0.1, 0.9))
def test_least_power_meets_both_limits_and_no_change_by_hand_is_cheaper(seed, share, part):
    fields = fields_of(seed, boards=5)
    power = np.random.default_rng(seed).uniform(20.0, 60.0, 5)
    target = share * fields.mean(axis=1).sum()
    most = best_dimming(fields, target_mean=target).min_over_mean
    found = best_dimming(fields, target_mean=target, least_min_over_mean=part * most, power_per_board=power)
    assert found.reached
    assert found.mean >= target * (1 - 1e-7)
    assert found.min_over_mean >= part * most - 1e-7
    assert found.power_fraction == pytest.approx(found.levels @ power / power.sum(), rel=1e-12)
    rng = np.random.default_rng(seed)
    for size in (1e-3, 1e-2, 1e-1):
        others = np.clip(found.levels + size * rng.normal(size=(300, 5)), 0.0, 1.0)
        field = others @ fields
        good = (field.mean(axis=1) >= target) & (field.min(axis=1) >= part * most * field.mean(axis=1))
        assert (others @ power / power.sum())[good].min(initial=1.0) >= found.power_fraction - 1e-7


def test_a_looser_limit_never_costs_evenness_or_power():
    fields = fields_of(3)
    full = fields.mean(axis=1).sum()
    even = [best_dimming(fields, target_mean=share * full).min_over_mean for share in (0.3, 0.6, 0.8, 0.95, 1.0)]
    assert (np.diff(even) <= 1e-9).all()
    assert even[0] > even[-1] + 0.01
    assert even[-1] == pytest.approx(evenness(np.ones(6), fields), abs=1e-6)
    floors = [best_dimming(fields, least_level=level).min_over_mean for level in (0.0, 0.3, 0.7, 1.0)]
    assert (np.diff(floors) <= 1e-9).all()
    powers = [
        best_dimming(fields, target_mean=0.5 * full, least_min_over_mean=part * even[1]).power_fraction
        for part in (0.0, 0.5, 0.9, 1.0)
    ]
    assert (np.diff(powers) >= -1e-9).all()


def test_groups_dim_alike_and_cost_evenness_and_mirror_images_are_dimmed_alike():
    sources = row_sources(BOARD, CROP, rows=2, columns=4, row_pitch_m=0.35, column_pitch_m=0.3, height_m=0.3)
    fields = 60.0 * ppfd_per_flux(sources, CROP.points_m)
    each = best_dimming(fields)
    ends = best_dimming(fields, groups=["end", "middle", "middle", "end"] * 2)
    rows = best_dimming(fields, groups=[1] * 4 + [2] * 4)
    # The field is symmetric, so that two groups do as well as eight boards by themselves.
    assert ends.min_over_mean == pytest.approx(each.min_over_mean, abs=1e-7)
    assert ends.group_names == ("end", "middle")
    assert ends.levels == pytest.approx(ends.group_levels[[0, 1, 1, 0] * 2], rel=1e-12)
    assert ends.group_levels[0] == pytest.approx(1.0, abs=1e-9)
    assert ends.group_levels[1] < 0.9
    assert rows.min_over_mean == pytest.approx(evenness(np.ones(8), fields), abs=1e-7)
    assert ends.min_over_mean > rows.min_over_mean + 0.01


def test_weights_count_points_and_a_target_is_met_not_overshot():
    fields = fields_of(1)
    weights = np.linspace(1.0, 3.0, fields.shape[1])
    doubled = np.concatenate([fields, fields[:, :5]], axis=1)
    counted = np.ones(fields.shape[1])
    counted[:5] = 2.0
    one, other = best_dimming(doubled), best_dimming(fields, point_weights=counted)
    assert one.min_over_mean == pytest.approx(other.min_over_mean, abs=1e-7)
    target = 0.5 * float(fields.sum(axis=0) @ weights / weights.sum())
    found = best_dimming(fields, target_mean=target, point_weights=weights)
    assert found.mean == pytest.approx(target, rel=1e-6)
    assert found.mean == pytest.approx(float(found.levels @ fields @ weights / weights.sum()), rel=1e-12)


def test_what_no_dimming_reaches_is_said():
    fields = fields_of(2)
    full = float(fields.mean(axis=1).sum())
    dim = best_dimming(fields, target_mean=2.0 * full)
    assert not dim.reached
    assert (dim.levels == 1.0).all()
    assert f"{full:.1f}" in dim.note
    uneven = best_dimming(fields, target_mean=0.5 * full, least_min_over_mean=0.999)
    assert not uneven.reached
    assert uneven.min_over_mean == pytest.approx(best_dimming(fields, target_mean=0.5 * full).min_over_mean, abs=1e-7)
    assert f"{uneven.min_over_mean:.3f}" in uneven.note


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"field_per_board": np.zeros((0, 3))}, "field_per_board"),
        ({"field_per_board": [1.0, 2.0]}, "field_per_board"),
        ({"field_per_board": [[1.0, 2.0], [0.0, 0.0]]}, r"field_per_board\[1\]"),
        ({"field_per_board": [[-1.0, 2.0], [0.0, 1.0]]}, "field_per_board"),
        ({"groups": ["a"]}, "groups"),
        ({"target_mean": -1.0}, "target_mean"),
        ({"least_min_over_mean": 0.5}, "target_mean"),
        ({"least_min_over_mean": 1.5, "target_mean": 1.0}, "least_min_over_mean"),
        ({"least_level": 1.2}, "least_level"),
        ({"power_per_board": [1.0, 2.0, 3.0]}, "power_per_board"),
        ({"power_per_board": 0.0}, "power_per_board"),
        ({"point_weights": [1.0]}, "point_weights"),
        ({"point_weights": [0.0, 0.0]}, "point_weights"),
    ],
)
def test_bad_dimming_input_is_named(changes, named):
    asked = {"field_per_board": [[1.0, 2.0], [2.0, 1.0]]} | changes
    with pytest.raises(ArgumentError, match=named):
        best_dimming(asked.pop("field_per_board"), **asked)


@pytest.mark.parametrize("board", [BOARD, replace(BOARD, tilt_deg=12.0), replace(BOARD, cosine_exponent=2.0)])
def test_no_layout_and_no_dimming_is_more_even_than_the_bound(board):
    bound = evenness_bound(board, CROP, height_m=0.3, place_count=13)
    assert bound.lattice_min_over_mean <= bound.min_over_mean <= bound.lattice_min_over_mean + 0.02
    best = best_pitch_and_height(
        board,
        CROP,
        rows=3,
        columns=4,
        row_pitch_range_m=(0.2, 0.4),
        column_pitch_range_m=(0.24, 0.4),
        height_range_m=(0.3, 0.3),
    )
    assert 0.7 < best.layout.min_over_mean < bound.min_over_mean
    dimmed = best_dimming(60.0 * ppfd_per_flux(best.sources, CROP.points_m))
    assert best.layout.min_over_mean < dimmed.min_over_mean < bound.min_over_mean


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_the_bound_holds_for_boards_strewn_anywhere_within_reach(seed):
    """Off the lattice, on purpose: every place is asked for what the dual prices say, not only the lattice's."""
    rng = np.random.default_rng(seed)
    bound = evenness_bound(BOARD, CROP, height_m=0.35, place_count=5)
    places = rng.uniform([0.0, 0.0], [1.2, 0.8], (40, 2))
    sources = [replace(BOARD, x_m=x, y_m=y, z_m=0.35) for x, y in places]
    assert best_dimming(ppfd_per_flux(sources, CROP.points_m)).min_over_mean <= bound.min_over_mean
    # Near the places that are best, where the bound is tight.
    middle = np.array(CROP.centre_m)
    near = [
        middle + np.array(turn) * place for place in bound.places_m for turn in ((1, 1), (-1, 1), (1, -1), (-1, -1))
    ]
    moved = np.repeat(near, 4, axis=0) + rng.uniform(-0.1, 0.1, (4 * len(near), 2))
    moved = np.clip(moved, 0.0, [1.2, 0.8])
    sources = [replace(BOARD, x_m=x, y_m=y, z_m=0.35) for x, y in moved]
    close = best_dimming(ppfd_per_flux(sources, CROP.points_m)).min_over_mean
    assert bound.lattice_min_over_mean - 0.1 < close <= bound.min_over_mean


def test_the_bound_in_a_room_is_above_the_rooms_layouts_and_dimmings():
    room = Room(
        width_m=1.4, depth_m=1.0, height_m=1.2, wall_reflectance=0.8, ceiling_reflectance=0.7, floor_reflectance=0.2
    )
    crop = CropGrid(width_m=1.4, depth_m=1.0, height_m=0.2, column_count=8, row_count=6)
    prepared = room.prepare(crop.points_m, fixture_height_m=0.5)

    def field_of(sources, points):
        return ppfd_per_flux(sources, points, room=prepared)

    bound = evenness_bound(BOARD, crop, height_m=0.3, reach_m=(1.1, 0.8), place_count=7, field_of=field_of)
    best = best_pitch_and_height(
        BOARD,
        crop,
        rows=3,
        columns=4,
        row_pitch_range_m=(0.2, 0.4),
        column_pitch_range_m=(0.24, 0.36),
        height_range_m=(0.3, 0.3),
        field_of=field_of,
    )
    dimmed = best_dimming(field_of(best.sources, crop.points_m))
    assert best.layout.min_over_mean < dimmed.min_over_mean < bound.min_over_mean < 1.0
    assert bound.min_over_mean < bound.lattice_min_over_mean + 0.05


def test_the_bound_of_a_lattice_is_what_its_boards_dimmed_reach():
    bound = evenness_bound(BOARD, CROP, height_m=0.3, place_count=7)
    places = [(x, y) for x in np.linspace(0.0, 1.2, 7) for y in np.linspace(0.0, 0.8, 5)]
    sources = [replace(BOARD, x_m=x, y_m=y, z_m=0.3) for x, y in places]
    dimmed = best_dimming(ppfd_per_flux(sources, CROP.points_m))
    assert bound.lattice_min_over_mean == pytest.approx(dimmed.min_over_mean, abs=1e-7)
    assert bound.flux_fractions.sum() == pytest.approx(1.0)


def test_a_finer_lattice_tightens_the_bound_and_a_target_lowers_it():
    coarse, fine = (evenness_bound(BOARD, CROP, height_m=0.3, place_count=count) for count in (7, 25))
    assert fine.lattice_min_over_mean >= coarse.lattice_min_over_mean - 1e-9
    assert fine.min_over_mean - fine.lattice_min_over_mean < coarse.min_over_mean - coarse.lattice_min_over_mean
    limited = [
        evenness_bound(BOARD, CROP, height_m=0.3, target_mean=target, board_count=12)
        for target in (100.0, 400.0, 460.0)
    ]
    assert limited[0].min_over_mean == pytest.approx(fine.min_over_mean, abs=1e-6)
    assert limited[0].min_over_mean > limited[1].min_over_mean > limited[2].min_over_mean
    for one, target in zip(limited[1:], (400.0, 460.0), strict=True):
        best = best_pitch_and_height(
            BOARD,
            CROP,
            rows=3,
            columns=4,
            row_pitch_range_m=(0.16, 0.4),
            column_pitch_range_m=(0.2, 0.4),
            height_range_m=(0.3, 0.3),
            target_mean=target,
        )
        assert best.reached
        assert best.layout.min_over_mean < one.min_over_mean < 1.0


def test_more_reach_never_lowers_the_bound_and_a_single_place_is_its_own_field():
    near, far = (
        evenness_bound(BOARD, CROP, height_m=0.3, reach_m=reach, place_count=count).lattice_min_over_mean
        for reach, count in (((1.2, 0.8), 13), ((1.4, 1.0), 15))
    )
    assert far > near
    alone = evenness_bound(BOARD, CROP, height_m=0.3, reach_m=(0.0, 0.0))
    field = np.asarray(lc.ppfd_map(replace(BOARD, x_m=0.6, y_m=0.4, z_m=0.3), CROP.points_m))
    assert alone.min_over_mean == pytest.approx(field.min() / field.mean(), rel=1e-7)


def test_a_mean_out_of_reach_is_said_and_bad_bound_input_is_named():
    bound = evenness_bound(BOARD, CROP, height_m=0.3, target_mean=5000.0, board_count=4, place_count=7)
    assert not bound.reached
    assert "5000" in bound.note
    for changes, named in (
        ({"height_m": 0.0}, "height_m"),
        ({"reach_m": (1.0,)}, "reach_m"),
        ({"reach_m": (-1.0, 1.0)}, "reach_m"),
        ({"place_count": 1}, "place_count"),
        ({"target_mean": 100.0}, "board_count"),
        ({"board_count": 3}, "board_count"),
        ({"board_count": 0, "target_mean": 100.0}, "board_count"),
    ):
        with pytest.raises(ArgumentError, match=named):
            evenness_bound(BOARD, CROP, **({"height_m": 0.3} | changes))
