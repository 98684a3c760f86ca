"""Bundles of cables: cases derived by hand, bounds, and the same bundle told in another way."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.fabrication import bundle_diameter
from ledcalc.fabrication.packing_bounds import equal_ratio, least_radius
from ledcalc.fabrication.packing_search import packed

DIAMETERS = st.floats(min_value=1e-3, max_value=2e-2, allow_nan=False)
BUNDLES = st.lists(DIAMETERS, min_size=1, max_size=7)


def assert_attained(bundle, diameters):
    """The centres make the bundle: no two circles overlap, all lie within the diameter, which is no larger."""
    radii = np.asarray(diameters) / 2.0
    centres = np.asarray(bundle.centres_m)
    for i, j in itertools.combinations(range(len(radii)), 2):
        assert math.dist(centres[i], centres[j]) >= (radii[i] + radii[j]) * (1 - 1e-9)
    assert np.max(np.hypot(*centres.T) + radii) == pytest.approx(bundle.diameter_m / 2.0, rel=1e-9)
    assert bundle.lower_bound_m <= bundle.diameter_m


@given(BUNDLES)
@settings(max_examples=40, deadline=None)
def test_every_bundle_is_attained_and_above_its_bound(diameters):
    bundle = bundle_diameter(diameters)
    assert_attained(bundle, diameters)
    areas = math.sqrt(sum(d * d for d in diameters))
    two = sum(sorted(diameters)[-2:])
    assert bundle.lower_bound_m >= max(areas, two) * (1 - 1e-12)


@given(BUNDLES, st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None)
def test_the_order_of_the_cables_does_not_matter(diameters, random):
    shuffled = list(diameters)
    random.shuffle(shuffled)
    again = bundle_diameter(shuffled)
    assert again.diameter_m == pytest.approx(bundle_diameter(diameters).diameter_m, rel=1e-12)
    assert_attained(again, shuffled)


@given(BUNDLES)
@settings(max_examples=15, deadline=None)
def test_a_bundle_grows_with_its_unit(diameters):
    one = bundle_diameter(diameters).diameter_m
    assert bundle_diameter(np.array(diameters) * 0.0254).diameter_m == pytest.approx(0.0254 * one, rel=1e-6)


@given(DIAMETERS, DIAMETERS)
def test_two_cables_are_as_wide_as_both(first, second):
    bundle = bundle_diameter([first, second])
    assert bundle.diameter_m == pytest.approx(first + second, rel=1e-12)
    assert bundle.lower_bound_m == pytest.approx(first + second, rel=1e-12)


@given(st.tuples(*[st.floats(min_value=0.2, max_value=1.0)] * 3))
@settings(max_examples=40, deadline=None)
def test_three_cables_by_descartes(radii):
    """Three circles that touch each other have the outer circle of Descartes' theorem, or the third fits beside two."""
    first, second, third = sorted(radii, reverse=True)
    a, b, c = 1 / first, 1 / second, 1 / third
    outer = 1.0 / (2.0 * math.sqrt(a * b + b * c + c * a) - a - b - c)
    # The circle beside the two in the circle round them: same theorem, the outer circle's curvature minus.
    gap = 1.0 / (a + b - 1.0 / (first + second))
    expected = first + second if third <= gap else outer
    bundle = bundle_diameter([2 * r for r in radii])
    assert bundle.diameter_m == pytest.approx(2.0 * expected, rel=1e-7)
    assert bundle.lower_bound_m == pytest.approx(2.0 * expected, rel=1e-9)


def test_small_cables_in_the_hollows_beside_two_large_ones_cost_nothing():
    """In the circle round two equal circles of radius 1, a circle of radius 2/3 fits on either side."""
    assert bundle_diameter([2.0, 2.0, 4.0 / 3.0, 4.0 / 3.0]).diameter_m == pytest.approx(4.0, rel=1e-7)
    assert bundle_diameter([2.0, 2.0, 1.34, 1.34]).diameter_m > 4.0005


def test_a_thick_cable_ringed_by_thin_ones():
    """Six circles of radius s all round one of radius 1: sin 30 deg = s / (1 + s), so s = 1; nine of them: s = 0.52."""
    for count in (6, 9):
        sine = math.sin(math.pi / count)
        small = sine / (1.0 - sine)
        bundle = bundle_diameter([2.0] + [2.0 * small] * count, tries_count=6)
        assert bundle.diameter_m <= 2.0 * (1.0 + 2.0 * small) * (1 + 1e-6)


def test_the_gap_between_three_equal_cables():
    """Between three touching circles of radius 1 a circle of radius 2/sqrt(3) - 1 lies free."""
    gap = 2.0 / math.sqrt(3.0) - 1.0
    three = bundle_diameter([2.0] * 3).diameter_m
    assert bundle_diameter([2.0] * 3 + [2.0 * gap * 0.999]).diameter_m == pytest.approx(three, rel=1e-7)


@pytest.mark.parametrize("count", range(2, 13))
def test_own_search_finds_the_tables_equal_circles(count):
    """From its own starts alone; the row of circles handed to it besides is far worse than any of them."""
    row = np.column_stack([3.0 * np.arange(count), np.zeros(count)])
    found = packed(np.ones(count), 150 if count == 9 else 30, row)
    assert found.radius == pytest.approx(equal_ratio(count), abs=1e-6)


@pytest.mark.parametrize("count", range(13, 21))
def test_own_search_never_beats_the_tables_equal_circles(count):
    row = np.column_stack([3.0 * np.arange(count), np.zeros(count)])
    found = packed(np.ones(count), 6, row).radius
    assert equal_ratio(count) - 1e-6 <= found <= 1.06 * equal_ratio(count)


@pytest.mark.parametrize("count", [1, 2, 7, 19, 20, 21, 37, 61, 100])
def test_equal_cables_are_attained(count):
    bundle = bundle_diameter([0.004] * count)
    assert_attained(bundle, [0.004] * count)


@pytest.mark.parametrize(("count", "ratio"), [(7, 3.0), (19, 5.0), (37, 7.0), (61, 9.0)])
def test_full_hexagons_by_hand(count, ratio):
    """A hexagon of k rings reaches 2 k + 1 radii; nineteen pack better than that, and 61 may too."""
    assert bundle_diameter([2.0] * count).diameter_m / 2.0 <= ratio + 1e-9


def test_over_twenty_equal_cables_stand_on_a_bound():
    assert "upper bound" in bundle_diameter([0.004] * 21).basis
    assert "proved least" in bundle_diameter([0.004] * 19).basis
    assert "best known" in bundle_diameter([0.004] * 20).basis


def test_a_bundle_never_shrinks_by_one_more_equal_cable():
    sizes = [bundle_diameter([1.0] * count).diameter_m for count in range(1, 60)]
    assert all(later >= earlier - 1e-9 for earlier, later in itertools.pairwise(sizes))


def test_lower_bound_of_one_thick_and_thin_ones():
    """The thick cable's own diameter plus the next one's."""
    assert least_radius(np.array([1.0, 0.1, 0.09])) == pytest.approx(1.1)


def test_more_tries_are_never_worse():
    diameters = np.random.default_rng(3).uniform(0.003, 0.01, 8)
    assert bundle_diameter(diameters, tries_count=30).diameter_m <= bundle_diameter(diameters).diameter_m * (1 + 1e-6)


def test_many_mixed_cables_are_attained():
    diameters = np.random.default_rng(4).uniform(0.003, 0.01, 45)
    bundle = bundle_diameter(diameters)
    assert_attained(bundle, diameters)
    assert bundle.diameter_m < 1.25 * bundle.lower_bound_m


@pytest.mark.parametrize("bad", [[], [0.0], [-1.0], [math.nan], [[0.1, 0.2]], [1.0] * 101, "x"])
def test_impossible_bundles_are_refused(bad):
    with pytest.raises(ArgumentError):
        bundle_diameter(bad)


@pytest.mark.parametrize("diameters_m", [[1e300, 1e-300, 0.01], [1.0, 1e-13, 1e-13, 0.5], [1e-300, 1e-300, 2e-300]])
def test_sizes_that_nothing_is_made_in_are_refused(diameters_m):
    with pytest.raises(ArgumentError, match="diameters_m is"):
        bundle_diameter(diameters_m)
