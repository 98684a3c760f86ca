"""Sleeves, braid, heat-shrink tube, glands, conduits and boxes: rules of the trade, bounds, refusals."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.fabrication import (
    box_fill,
    braid_for,
    bundle_diameter,
    conduit_count,
    conduit_fill,
    gland_for,
    gland_threads,
    heat_shrink_for,
    sleeve_for,
    wire_diameter,
)
from ledcalc.fabrication.glands import SEVERAL_IN_ONE

INCH = 0.0254
DIAMETERS = st.floats(min_value=1e-3, max_value=2e-2)


# Common practice, no source: three two-core 18 AWG cables of 5.5 mm go through a half-inch sleeve, and do not seal in
# one round half-inch gland.
def test_three_cables_in_a_half_inch_sleeve():
    assert sleeve_for([0.0055] * 3, 0.5 * INCH).status == "fits"
    assert sleeve_for([0.0055] * 4, 0.5 * INCH).status == "does not fit"


def test_three_cables_in_one_round_half_inch_gland():
    fit = gland_for([0.0055] * 3, 0.006, 0.012)
    assert fit.status == SEVERAL_IN_ONE
    assert not fit.seals
    # Not even where each of them would seal alone.
    assert gland_for([0.008] * 3, 0.006, 0.012).status == SEVERAL_IN_ONE


@given(st.lists(DIAMETERS, min_size=1, max_size=4), DIAMETERS)
@settings(max_examples=40, deadline=None)
def test_a_sleeve_that_fits_holds_the_bundle(diameters, inner):
    fit = sleeve_for(diameters, inner)
    bundle = bundle_diameter(diameters)
    assert fit.needed_m == pytest.approx(1.05 * bundle.diameter_m)
    assert fit.fits == (fit.status == "fits")
    if fit.fits:
        assert inner >= 1.05 * bundle.diameter_m * (1 - 1e-6)
    if fit.status == "does not fit":
        assert inner < bundle.lower_bound_m


def test_the_four_words_of_a_sleeve():
    bundle = bundle_diameter([1.0] * 20)
    assert bundle.lower_bound_m < bundle.diameter_m
    middle = 0.5 * (bundle.lower_bound_m + bundle.diameter_m)
    sizes = (1.06 * bundle.diameter_m, 1.02 * bundle.diameter_m, middle, 0.99 * bundle.lower_bound_m)
    words = [sleeve_for([1.0] * 20, size).status for size in sizes]
    assert [word.split(":")[0] for word in words] == ["fits", "tight", "not shown to fit", "does not fit"]
    assert sleeve_for([1.0], 1.0, clearance_fraction=0).fits


def test_braid():
    assert braid_for([0.005], 0.006, 0.012).status.startswith("too thin")
    assert braid_for([0.007, 0.007], 0.006, 0.012).status.startswith("too thick")
    fit = braid_for([0.005, 0.004], 0.006, 0.012)
    assert fit.fits
    assert fit.expansion_fraction == pytest.approx(0.5)
    with pytest.raises(ArgumentError, match="braid_high_m"):
        braid_for([0.005], 0.012, 0.006)


@given(
    st.floats(min_value=0.0006, max_value=0.045), st.sampled_from(["2:1", "3:1"]), st.floats(min_value=0, max_value=0.2)
)
def test_a_heat_shrink_tube_slides_on_and_grips(width, ratio, margin):
    fit = heat_shrink_for(width, ratio=ratio, margin_fraction=margin)
    if fit.fits:
        assert fit.recovered_m < width * (1 - margin) * (1 + 1e-9)
        assert width * (1 + margin) <= fit.supplied_m * (1 + 1e-9)
        assert fit.supplied_m / fit.recovered_m == pytest.approx(float(ratio[0]), rel=0.02)
    else:
        assert math.isnan(fit.supplied_m)


def test_heat_shrink_tube_over_a_connector():
    """A 5 mm cable behind a 9 mm part: 2:1 cannot do it, 3:1 can; behind a 12 mm part 18 mm shrinks to 6 mm only."""
    assert heat_shrink_for(0.005, passed_m=0.009).status == "no tube of this ratio shrinks so far"
    assert heat_shrink_for(0.005, passed_m=0.009, ratio="3:1").supplied_m == 0.012
    assert heat_shrink_for(0.005, passed_m=0.012, ratio="3:1").status == "no tube of this ratio shrinks so far"
    assert heat_shrink_for(0.06).status == "no tube of this ratio is wide enough"
    with pytest.raises(ArgumentError, match="passed_m"):
        heat_shrink_for(0.005, passed_m=0.004)
    with pytest.raises(ArgumentError, match="ratio"):
        heat_shrink_for(0.005, ratio="4:1")


@pytest.mark.parametrize(
    ("diameters", "holes", "status"),
    [
        ([0.008], 1, "seals"),
        ([0.006], 1, "seals"),
        ([0.0059], 1, "too thin"),
        ([0.0121], 1, "too thick"),
        ([0.005, 0.013], 2, "too thick"),
        ([0.008, 0.008], 2, "seals"),
        ([0.008, 0.008], 3, "empty holes: plug them"),
        ([0.008, 0.008, 0.008], 2, "more cables than holes"),
    ],
)
def test_glands(diameters, holes, status):
    fit = gland_for(diameters, 0.006, 0.012, holes_count=holes)
    assert fit.status == status
    assert fit.seals == (status == "seals")
    assert len(fit.cable_status) == len(diameters)


def test_gland_threads():
    assert "NPT 1/2" in gland_threads(0.008)
    assert "NPT 1/2" not in gland_threads(0.0055)
    assert gland_threads(0.002) == ()


@pytest.mark.parametrize(("low", "high"), [(0.012, 0.006), (0.0, 0.006)])
def test_a_clamping_range_upside_down_is_refused(low, high):
    with pytest.raises(ArgumentError):
        gland_for([0.008], low, high)
    with pytest.raises(ArgumentError):
        gland_for([], 0.006, 0.012)


def test_conduit_limits_by_number_of_wires():
    assert [conduit_fill([0.002] * n, 0.02).limit_fraction for n in (1, 2, 3, 9)] == [0.53, 0.31, 0.40, 0.40]
    assert conduit_fill([0.002] * 2, 0.02, length_m=0.5).limit_fraction == 0.60
    assert conduit_fill([0.002] * 2, 0.02, length_m=0.62).limit_fraction == 0.31


def test_fill_is_the_share_of_the_areas():
    found = conduit_fill([0.003, 0.004], 0.010)
    assert found.fill_fraction == pytest.approx(0.25)
    assert found.fits
    assert not conduit_fill([0.004, 0.004], 0.010).fits


@pytest.mark.parametrize(("ratio", "jams"), [(2.79, False), (2.81, True), (3.19, True), (3.21, False)])
def test_three_wires_jam_in_a_conduit_about_three_times_as_wide(ratio, jams):
    found = conduit_fill([0.004] * 3, 0.004 * ratio)
    assert found.may_jam is jams
    assert found.jam_ratio == pytest.approx(ratio)
    assert not conduit_fill([0.004] * 4, 0.012).may_jam


@given(st.floats(min_value=0.002, max_value=0.01), st.floats(min_value=0.012, max_value=0.06))
def test_the_number_allowed_is_within_the_limit_but_for_the_rounding(wire, inner):
    count = conduit_count(wire, inner)
    if count:
        limit = conduit_fill([wire] * count, inner).limit_fraction
        assert (count - 0.2) * wire**2 <= limit * inner**2 * (1 + 1e-9)
    if count > 2:
        assert (count + 1 - 0.2) * wire**2 > 0.40 * inner**2 * (1 - 1e-9)


@pytest.mark.parametrize(("areas", "count"), [(1.5, 0), (1.6, 1), (5.5, 1), (5.9, 2), (6.9, 2), (7.1, 3)])
def test_two_wires_have_less_room_than_three(areas, count):
    """A conduit of so many wires' areas: 0.8 of a wire within 53 % for one, 31 % for two, 40 % for three."""
    wire = 0.003
    assert conduit_count(wire, wire * math.sqrt(areas)) == count


@pytest.mark.parametrize("bad", [[], [-0.001], [[0.1]]])
def test_impossible_wires_in_a_conduit_are_refused(bad):
    with pytest.raises(ArgumentError):
        conduit_fill(bad, 0.02)
    with pytest.raises(ArgumentError, match="size"):
        wire_diameter("19 AWG")


def cubic_inches(found):
    return found.needed_m3 / INCH**3


def test_box_fill_adds_up():
    found = box_fill(
        {"14 AWG": 4, "12 AWG": 2},
        devices=["14 AWG", "12 AWG"],
        grounds={"14 AWG": 4, "12 AWG": 2},
        clamps=True,
        fittings_count=1,
        terminal_blocks=["14 AWG"],
        box_m3=40 * INCH**3,
    )
    # 4 x 2 + 2 x 2.25; 2 x (2 + 2.25); (1 + 2/4) x 2.25; 2.25; 2.25; 2.
    assert cubic_inches(found) == pytest.approx(12.5 + 8.5 + 3.375 + 2.25 + 2.25 + 2.0)
    parts = (found.conductors_m3, found.devices_m3, found.clamps_m3)
    parts += (found.fittings_m3, found.grounds_m3, found.terminals_m3)
    assert sum(parts) == pytest.approx(found.needed_m3)
    assert found.fits
    assert found.spare_m3 / INCH**3 == pytest.approx(40 - cubic_inches(found))


@pytest.mark.parametrize(("count", "shares"), [(0, 0), (1, 1), (4, 1), (5, 1.25), (8, 2)])
def test_grounds_share_one_allowance_up_to_four(count, shares):
    found = box_fill({"12 AWG": 1}, grounds={"12 AWG": count})
    assert found.grounds_m3 / INCH**3 == pytest.approx(2.25 * shares)


def test_a_box_of_just_the_volume_fits():
    assert box_fill({"12 AWG": 8}, box_m3=18.0 * INCH**3).fits
    assert box_fill({"12 AWG": 8}, box_m3=17.9 * INCH**3).status == "over the box's volume"
    assert box_fill({"12 AWG": 8}).status == "no box given"


@pytest.mark.parametrize(
    ("conductors", "more", "words"),
    [
        ({"20 AWG": 1}, {}, "18 AWG"),
        ({}, {}, "at least one wire"),
        ({"12 AWG": -1}, {}, "conductors"),
        ({"12 AWG": 1}, {"devices": ["1.5 mm2"]}, "devices"),
        ({"12 AWG": 1}, {"box_m3": 0.0}, "box_m3"),
    ],
)
def test_impossible_boxes_are_refused(conductors, more, words):
    with pytest.raises(ArgumentError, match=words):
        box_fill(conductors, **more)
