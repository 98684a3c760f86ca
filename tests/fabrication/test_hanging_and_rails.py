"""Hangers by statics, rails by their holes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from ledcalc.errors import ArgumentError
from ledcalc.fabrication import USUAL_SAFETY_FACTOR, four_hanger_loads, hole_positions, two_hanger_loads

PARTS = st.lists(st.tuples(st.floats(0.1, 20), st.floats(0.0, 1.0), st.floats(0.0, 0.6)), min_size=1, max_size=6)


@given(PARTS, st.floats(-0.5, 0.4), st.floats(0.5, 1.5))
def test_two_hangers_are_in_balance(parts, first, second):
    masses, places = [part[0] for part in parts], [part[1] for part in parts]
    found = two_hanger_loads(masses, places, [first, second])
    one, other = found.even_kg
    assert one + other == pytest.approx(sum(masses))
    moment = sum(mass * place for mass, place in zip(masses, places, strict=True))
    assert one * first + other * second == pytest.approx(moment, abs=1e-9 * sum(masses))
    assert found.hangs == (min(one, other) >= -1e-12 * sum(masses))


def test_two_hangers_by_hand():
    """A weight a quarter along: three quarters on the near hanger; safety factor 5 by common practice, no source."""
    found = two_hanger_loads([8.0], [0.25], [0.0, 1.0])
    assert found.even_kg == pytest.approx((6.0, 2.0))
    assert found.worst_kg == found.even_kg
    assert found.rating_kg == pytest.approx((30.0, 10.0))
    assert USUAL_SAFETY_FACTOR == 5.0
    assert two_hanger_loads([8.0], [0.25], [1.0, 0.0]).even_kg == pytest.approx((2.0, 6.0))


def test_a_weight_outside_the_hangers_tips():
    found = two_hanger_loads([8.0], [1.2], [0.0, 1.0])
    assert not found.hangs
    assert found.status.startswith("tips")
    assert found.even_kg[0] < 0
    assert found.rating_kg[0] == 0.0
    assert not four_hanger_loads([8.0], [1.2], [0.3], span_x_m=1.0, span_y_m=0.6).hangs


@given(PARTS)
def test_four_hangers_at_worst_are_the_most_that_equilibrium_allows(parts):
    """Linear programming over all loads without a pushing cord: a second way to the same worst case."""
    masses, x, y = (np.array(column) for column in zip(*parts, strict=True))
    found = four_hanger_loads(masses, x, y, span_x_m=1.0, span_y_m=0.6)
    corners = np.array([[0.0, 1.0, 1.0, 0.0], [0.0, 0.0, 0.6, 0.6]])
    rows = np.vstack([np.ones(4), corners])
    total = masses.sum()
    share = np.array([1.0, masses @ x / total, masses @ y / total])
    assert rows @ np.array(found.even_kg) == pytest.approx(total * share, abs=1e-9 * total)
    for n in range(4):
        most = linprog(-np.eye(4)[n], A_eq=rows, b_eq=share)
        assert found.worst_kg[n] == pytest.approx(-most.fun * total, abs=1e-6 * total)


def test_four_hangers_in_the_middle():
    """Any two of a diagonal carry all: half the weight each, not a quarter."""
    found = four_hanger_loads([4.0, 8.0], [0.5, 0.5], [0.3, 0.3], span_x_m=1.0, span_y_m=0.6, safety_factor=4.0)
    assert found.even_kg == pytest.approx((3.0,) * 4)
    assert found.worst_kg == pytest.approx((6.0,) * 4)
    assert found.rating_kg == pytest.approx((24.0,) * 4)
    assert found.total_kg == 12.0


def test_a_weight_under_one_corner_hangs_on_it_alone():
    found = four_hanger_loads([5.0], [1.0], [0.0], span_x_m=1.0, span_y_m=0.6)
    assert found.worst_kg == pytest.approx((0.0, 5.0, 0.0, 0.0))


@pytest.mark.parametrize(
    ("masses", "places", "hangers", "factor"),
    [
        ([1.0], [0.5, 0.6], [0, 1], 5),
        ([], [], [0, 1], 5),
        ([0.0], [0.5], [0, 1], 5),
        ([1.0], [0.5], [1, 1], 5),
        ([1.0], [0.5], [0, 1, 2], 5),
        ([1.0], [0.5], [0, 1], 0.9),
    ],
)
def test_impossible_hangers_are_refused(masses, places, hangers, factor):
    with pytest.raises(ArgumentError):
        two_hanger_loads(masses, places, hangers, safety_factor=factor)


@given(st.lists(st.floats(0.1, 2.0), min_size=1, max_size=8), st.floats(0.02, 0.3), st.floats(-1.0, 1.0))
def test_holes_move_with_the_boards(centres, spacing, shift):
    found = hole_positions(centres, spacing, 5.0)
    assert list(found.positions_m) == sorted(found.positions_m)
    assert len(found.positions_m) == 2 * len(centres)
    for board, centre in enumerate(centres):
        own = [place for place, one in zip(found.positions_m, found.boards, strict=True) if one == board]
        assert sum(own) / 2 == pytest.approx(centre, abs=1e-8)
        assert own[1] - own[0] == pytest.approx(spacing, abs=1e-8)
    moved = hole_positions(np.array(centres) + shift, spacing, 5.0, rail_start_m=shift)
    assert moved.positions_m == pytest.approx(found.positions_m, abs=1e-8)


def test_holes_off_the_rail_and_too_near():
    found = hole_positions([0.05, 0.5, 0.95], 0.2, 1.0)
    assert found.off_rail_count == 2
    assert all("off the rail" in word for word in found.warnings)
    found = hole_positions([0.11, 0.5], 0.2, 1.0, end_margin_m=0.02)
    assert found.off_rail_count == 1
    assert "board 1" in found.warnings[0]
    assert "too near the end" in found.warnings[0]
    assert hole_positions([0.12, 0.88], 0.2, 1.0, end_margin_m=0.02).warnings == ()
    near = hole_positions([0.2, 0.41], 0.2, 1.0, least_gap_m=0.02)
    assert len(near.warnings) == 1
    assert near.off_rail_count == 0
    assert hole_positions([0.2, 0.42], 0.2, 1.0, least_gap_m=0.02).warnings == ()


@pytest.mark.parametrize(("centres", "spacing", "length"), [([], 0.1, 1.0), ([0.5], 0.0, 1.0), ([0.5], 0.1, 0.0)])
def test_impossible_rails_are_refused(centres, spacing, length):
    with pytest.raises(ArgumentError):
        hole_positions(centres, spacing, length)
