"""Overlapping boards against other ways to tell: clipped polygons in the plane, a linear programme in space."""

import numpy as np
import pytest
from scipy.optimize import linprog

from ledcalc.errors import ArgumentError
from ledcalc.fabrication import overlapping_boards

LEVEL = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]])
THICK = 0.01


def axes_of(turn_deg, tilt_deg=0.0):
    """The board's axes by two rotation matrices: tilted about its length, then turned about the vertical."""
    turn, tilt = np.deg2rad(turn_deg), np.deg2rad(tilt_deg)
    about_z = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    about_y = np.array([[np.cos(tilt), 0, -np.sin(tilt)], [0, 1, 0], [np.sin(tilt), 0, np.cos(tilt)]])
    return (about_z @ about_y @ LEVEL.T).T


def corners_of(centre, turn_deg, size):
    half = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array(size) / 2
    return np.array(centre[:2]) + half @ axes_of(turn_deg)[:2, :2]


def shared_area(one, other):
    """Area of the intersection of two convex polygons that go round counter-clockwise, clipped side by side."""
    polygon = one
    for start, end in zip(other, np.roll(other, -1, axis=0), strict=True):
        side, clipped = end - start, []
        inside = [side[0] * (p[1] - start[1]) - side[1] * (p[0] - start[0]) for p in polygon]
        for n in range(len(polygon)):
            here, there, a, b = polygon[n - 1], polygon[n], inside[n - 1], inside[n]
            if a * b < 0:
                clipped.append(here + (there - here) * a / (a - b))
            if b >= 0:
                clipped.append(there)
        if len(clipped) < 3:
            return 0.0
        polygon = np.array(clipped)
    x, y = polygon.T
    return 0.5 * abs(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def test_turned_boards_of_one_height_overlap_where_their_outlines_share_area():
    random = np.random.default_rng(5)
    hits = 0
    for _ in range(300):
        turns, sizes = random.uniform(-180, 180, 2), random.uniform(0.05, 0.4, (2, 2))
        centres = np.column_stack([random.uniform(-0.2, 0.2, (2, 2)), [0.3, 0.3]])
        outlines = [corners_of(*board) for board in zip(centres, turns, sizes, strict=True)]
        area = shared_area(*outlines)
        if 0 < area < 1e-7:
            continue
        found = overlapping_boards(centres, [axes_of(turn) for turn in turns], sizes, thickness_m=THICK)
        assert bool(found) == (area > 0)
        if not found:
            continue
        hits += 1
        way = np.array([found[0].along_x_m, found[0].along_y_m])
        assert np.hypot(*way) == pytest.approx(found[0].depth_m)
        assert shared_area(outlines[0], outlines[1] + way * 1.0001) == pytest.approx(0.0, abs=1e-12)
        # No shorter way out: in none of 72 directions is nine tenths of it enough.
        for angle in np.deg2rad(np.arange(0, 360, 5)):
            step = 0.9 * found[0].depth_m * np.array([np.cos(angle), np.sin(angle)])
            assert shared_area(outlines[0], outlines[1] + step) > 0
    assert hits > 100


def bodies_meet(boards):
    """Whether a point lies in both boxes, by a linear programme: its unknowns are the point and a slack that must stay
    below 0."""
    rows, limits = [], []
    for centre, axes, size in boards:
        middle, halves = centre - axes[2] * THICK / 2, np.array([*size, THICK]) / 2
        for axis, half in zip(axes, halves, strict=True):
            rows += [[*axis, 1.0], [*-axis, 1.0]]
            limits += [half + axis @ middle, half - axis @ middle]
    found = linprog([0, 0, 0, -1], A_ub=rows, b_ub=limits, bounds=[(None, None)] * 3 + [(None, 1.0)], method="highs")
    return -found.fun


def test_tilted_boards_overlap_where_a_point_lies_in_both():
    random = np.random.default_rng(7)
    hits = 0
    for _ in range(200):
        turns, tilts = random.uniform(-180, 180, 2), random.uniform(-85, 85, 2)
        sizes = random.uniform(0.05, 0.4, (2, 2))
        centres = random.uniform(-0.15, 0.15, (2, 3))
        axes = np.array([axes_of(turn, tilt) for turn, tilt in zip(turns, tilts, strict=True)])
        depth = bodies_meet(list(zip(centres, axes, sizes, strict=True)))
        if abs(depth) < 1e-5:
            continue
        found = overlapping_boards(centres, axes, sizes, thickness_m=THICK)
        assert bool(found) == (depth > 0)
        if found:
            hits += 1
            moved = centres.copy()
            moved[1, :2] += 1.001 * np.array([found[0].along_x_m, found[0].along_y_m])
            assert bodies_meet(list(zip(moved, axes, sizes, strict=True))) < 1e-6
    assert hits > 40


def test_height_decides_by_the_thickness_and_touching_is_apart():
    for up, meets in ((0.0099, True), (0.01, False), (-0.0099, True), (-0.01, False)):
        found = overlapping_boards([[0, 0, 0.3], [0, 0, 0.3 + up]], [LEVEL, LEVEL], [[0.1, 0.2]] * 2, thickness_m=THICK)
        assert bool(found) == meets
    assert not overlapping_boards([[0, 0, 0.3], [0.1, 0, 0.3]], [LEVEL, LEVEL], [[0.1, 0.2]] * 2, thickness_m=THICK)


def test_all_pairs_of_a_tight_grid_are_found_and_the_deepest_comes_first():
    x, y = np.meshgrid(np.arange(5) * 0.09, np.arange(4) * 0.3)
    centres = np.column_stack([x.ravel(), y.ravel(), np.full(20, 0.3)])
    centres[7, 0] += 0.02
    found = overlapping_boards(centres, [LEVEL] * 20, [[0.1, 0.2]] * 20, thickness_m=THICK)
    pairs = {(one.first, one.second) for one in found}
    assert pairs == {(n, n + 1) for n in range(20) if n % 5 < 4} - {(6, 7)}
    assert (found[0].first, found[0].second) == (7, 8)
    assert found[0].depth_m == pytest.approx(0.03)
    assert [one.depth_m for one in found] == sorted((one.depth_m for one in found), reverse=True)


def test_a_heap_of_boards_is_not_looked_at_for_ever():
    found = overlapping_boards(np.zeros((400, 3)), [LEVEL] * 400, [[0.1, 0.2]] * 400, thickness_m=THICK)
    assert len(found) == 20_000


@pytest.mark.parametrize(
    "wrong", [{"sizes_m": [[0.1, -0.2]]}, {"axes": [[1, 0, 0]]}, {"thickness_m": 0.0}, {"centres_m": [[0, 0]]}]
)
def test_refusals(wrong):
    given = {"centres_m": [[0, 0, 1]], "axes": [LEVEL], "sizes_m": [[0.1, 0.2]], "thickness_m": THICK}
    with pytest.raises(ArgumentError):
        overlapping_boards(**{**given, **wrong})
