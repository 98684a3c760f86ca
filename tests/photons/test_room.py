"""Rooms: conservation, limits, symmetries, bad input; isolines, canopy light, heights, maps with their conditions."""

from dataclasses import replace

import contourpy
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.photons import (
    Beam,
    LightMap,
    MapConditions,
    Opening,
    canopy_light,
    compared_maps,
    isolines,
    normalised,
    ppfd_per_flux,
    share_above,
    spread_by_height,
)
from ledcalc.photons.mesh import room_surfaces

TENT = {"width_m": 1.2, "depth_m": 1.0, "height_m": 1.8}
GREY = lc.Room(**TENT, wall_reflectance=(0.9, 0.3, 0.6, 0.8), ceiling_reflectance=0.7, floor_reflectance=0.2)
BOARD = lc.LightSource(x_m=0.4, y_m=0.6, z_m=0.7, width_m=0.3, length_m=0.2, photon_flux_umol_s=100.0)
LOPSIDED = Beam.tabulated(
    [0, 30, 60, 90, 120],
    [0, 90, 180, 270, 360],
    [[9, 8, 4, 1, 0], [9, 5, 2, 1, 0.5], [9, 7, 6, 2, 0], [9, 9, 1, 0, 0], [9, 8, 4, 1, 0]],
)
KINDS = {
    "level": {},
    "turned": {"rotation_deg": 35.0},
    "tilted": {"tilt_deg": 40.0},
    "narrow": {"cosine_exponent": 8.0},
    "point": {"width_m": 0.0, "length_m": 0.0},
    "tabulated": {"beam": LOPSIDED},
}
CENTRES = [0.1, 0.35, 0.6, 0.85, 1.1], [0.1, 0.3, 0.5, 0.7, 0.9]
POINTS = np.stack([*np.meshgrid(*CENTRES), np.full((5, 5), 0.05)], axis=-1)


@pytest.mark.parametrize("kind", KINDS)
def test_no_light_is_lost_in_a_closed_box(kind):
    """What surfaces absorb is what the boards send out, to 1e-6."""
    sources = [replace(BOARD, **KINDS[kind]), BOARD]
    balance = GREY.prepare(fixture_height_m=0.7).balance(sources)
    assert sum(balance.absorbed_umol_s.values()) == pytest.approx(200.0, rel=1e-6)
    assert balance.photon_flux_umol_s == 200.0
    assert balance.absorbed_umol_s["floor"] == pytest.approx(0.8 * balance.incident_umol_s["floor"])


@pytest.mark.parametrize("kind", ["level", "turned"])
def test_map_over_the_floor_holds_what_the_balance_says(kind):
    sources = [replace(BOARD, **KINDS[kind])]
    room = GREY.prepare(fixture_height_m=0.7)
    got = canopy_light(sources, (0, 1.2), (0, 1.0), 0.0, room=room).canopy_flux_umol_s
    # What patches send towards the floor's edge varies sharply there, hence no closer.
    assert got == pytest.approx(room.balance(sources).incident_umol_s["floor"], rel=2e-3)


@pytest.mark.parametrize("rho", [0.0, 0.5, 0.95])
def test_mean_over_an_even_enclosure(rho):
    """Where all sides reflect alike, the mean of what arrives on them is flux / (A (1 - rho)), wherever boards are."""
    room = lc.Room(**TENT, wall_reflectance=rho, ceiling_reflectance=rho, floor_reflectance=rho)
    balance = room.prepare(fixture_height_m=0.7).balance([BOARD, replace(BOARD, x_m=0.9, tilt_deg=10.0)])
    area = 2 * (1.2 * 1.0 + 1.2 * 1.8 + 1.0 * 1.8)
    assert sum(balance.incident_umol_s.values()) / area == pytest.approx(200.0 / (area * (1 - rho)), rel=1e-9)


def test_very_white_enclosure_is_even_everywhere():
    """As rho goes to 1 the field goes to flux / (A (1 - rho)) at every point."""
    area = 2 * (1.2 * 1.0 + 1.2 * 1.8 + 1.0 * 1.8)
    for rho, tolerance in ((0.999, 0.03), (0.9999, 0.003)):
        room = lc.Room(**TENT, wall_reflectance=rho, ceiling_reflectance=rho, floor_reflectance=rho)
        got = np.asarray(lc.ppfd_map(BOARD, POINTS, room=room))
        assert got == pytest.approx(100.0 / (area * (1 - rho)), rel=tolerance)


def test_evenly_lit_box_is_even_to_rounding():
    room = lc.Room(**TENT, wall_reflectance=0.8, ceiling_reflectance=0.8, floor_reflectance=0.8).prepare(
        POINTS, fixture_height_m=0.7
    )
    assert room.inverse.sum(axis=1) == pytest.approx(5.0, rel=1e-12)
    assert room.transfer.sum(axis=1) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("mirror_share", [0.0, 0.4])
def test_black_room_is_an_open_bench(mirror_share):
    room = lc.Room(**TENT, wall_reflectance=0, ceiling_reflectance=0, floor_reflectance=0, mirror_share=mirror_share)
    sources = [replace(BOARD, **changes) for changes in KINDS.values()]
    direct = ppfd_per_flux(sources, POINTS)
    assert ppfd_per_flux(sources, POINTS, room=room) == pytest.approx(direct, rel=1e-12)


@pytest.mark.parametrize("mirror_share", [0.0, 0.5, 1.0])
def test_turning_the_room_turns_the_map(mirror_share):
    """A quarter turn: x to y, y to depth - x; walls left, right, front, back become back, front, left, right... ."""
    room = replace(GREY, mirror_share=mirror_share)
    left, right, front, back = GREY.wall_reflectance
    turned = replace(room, width_m=1.0, depth_m=1.2, wall_reflectance=(front, back, right, left))
    source = replace(BOARD, tilt_deg=15.0, beam=LOPSIDED)
    moved = replace(source, x_m=source.y_m, y_m=1.2 - source.x_m, rotation_deg=-90.0)
    places = np.stack([POINTS[..., 1], 1.2 - POINTS[..., 0], POINTS[..., 2]], axis=-1)
    assert np.asarray(lc.ppfd_map(moved, places, room=turned)) == pytest.approx(
        np.asarray(lc.ppfd_map(source, POINTS, room=room)), rel=1e-6
    )


@pytest.mark.parametrize("wall", [0, 1, 2, 3])
def test_one_mirror_shows_the_mirrored_point(wall):
    """With one mirror alone, a point gets what comes straight and the mirror's share of what its mirror image would."""
    reflectances = np.zeros(4)
    reflectances[wall] = 0.8
    room = lc.Room(**TENT, wall_reflectance=reflectances, ceiling_reflectance=0, floor_reflectance=0, mirror_share=1.0)
    source = replace(BOARD, beam=LOPSIDED, rotation_deg=20.0, tilt_deg=10.0)
    image = POINTS.copy()
    axis = wall // 2
    image[..., axis] = 2 * (wall % 2) * (1.2, 1.0)[axis] - image[..., axis]
    expected = np.asarray(lc.ppfd_map(source, POINTS)) + 0.8 * np.asarray(lc.ppfd_map(source, image))
    assert np.asarray(lc.ppfd_map(source, POINTS, room=room)) == pytest.approx(expected, rel=1e-9)


def test_perfect_mirrors_lead_all_light_to_the_floor():
    room = lc.Room(**TENT, wall_reflectance=1 - 1e-9, ceiling_reflectance=0, floor_reflectance=0, mirror_share=1.0)
    got = canopy_light(BOARD, (0, 1.2), (0, 1.0), 0.0, room=room)
    assert got.utilisation_fraction == pytest.approx(1.0, rel=5e-3)


def test_mirror_share_blends():
    fields = [np.asarray(lc.ppfd_map(BOARD, POINTS, room=replace(GREY, mirror_share=s))) for s in (0.0, 0.25, 1.0)]
    assert fields[1] == pytest.approx(0.75 * fields[0] + 0.25 * fields[2], rel=1e-12)


def test_field_is_linear_in_each_flux_and_prepared_rooms_give_the_same():
    sources = [BOARD, replace(BOARD, x_m=0.8, y_m=0.3, photon_flux_umol_s=40.0), replace(BOARD, tilt_deg=20.0)]
    prepared = GREY.prepare(POINTS, fixture_height_m=0.7)
    field = np.asarray(lc.ppfd_map(sources, POINTS, room=GREY))
    matrix = ppfd_per_flux(sources, POINTS, room=prepared)
    assert matrix.shape == (3, 5, 5)
    assert np.tensordot([100.0, 40.0, 100.0], matrix, axes=1) == pytest.approx(field, rel=1e-12)
    other = POINTS[1:3] + np.array([0.01, 0.0, 0.3])
    assert ppfd_per_flux(sources, other, room=prepared) == pytest.approx(
        ppfd_per_flux(sources, other, room=GREY), rel=1e-12
    )
    assert ppfd_per_flux([], POINTS, room=GREY).shape == (0, 5, 5)


@settings(max_examples=10, deadline=None)
@given(st.floats(0, 0.9), st.floats(0, 0.9), st.floats(0, 0.9), st.floats(0.01, 0.09), st.integers(0, 2))
def test_brighter_sides_never_darken(walls, ceiling, floor, more, which):
    base = [walls, ceiling, floor]
    lifted = [value + more * (number == which) for number, value in enumerate(base)]
    rooms = [
        lc.Room(**TENT, wall_reflectance=w, ceiling_reflectance=c, floor_reflectance=f) for w, c, f in (base, lifted)
    ]
    rough = [room.prepare(POINTS, fixture_height_m=0.7, refinement=0.5) for room in rooms]
    fields = [np.asarray(lc.ppfd_map(BOARD, POINTS, room=room)) for room in rough]
    assert (fields[1] >= fields[0] - 1e-9).all()


def test_a_beam_takes_the_place_of_the_exponent():
    by_exponent = ppfd_per_flux([replace(BOARD, cosine_exponent=3.0)], POINTS, room=GREY)
    assert ppfd_per_flux([replace(BOARD, beam=Beam.cosine(3.0))], POINTS, room=GREY) == pytest.approx(by_exponent)
    matt = ppfd_per_flux([replace(BOARD, cosine_exponent=3.0, beam=Beam.lambertian())], POINTS, room=GREY)
    assert matt == pytest.approx(ppfd_per_flux([BOARD], POINTS, room=GREY), rel=1e-12)


def test_many_points_are_worked_off_in_pieces():
    room = GREY.prepare(fixture_height_m=0.7)
    many = np.tile(POINTS[2, 3], (4_500, 1))
    assert lc.ppfd_map(BOARD, many, room=room) == pytest.approx(lc.ppfd_map(BOARD, POINTS[2, 3], room=room), rel=1e-12)


def test_finer_mesh_changes_little():
    coarse = np.asarray(lc.ppfd_map(BOARD, POINTS, room=GREY))
    fine = np.asarray(lc.ppfd_map(BOARD, POINTS, room=GREY.prepare(fixture_height_m=0.7, refinement=1.5)))
    assert coarse == pytest.approx(fine, rel=0.01)


def test_openings_take_light_away_as_their_area_says():
    whole = lc.ppfd_map(BOARD, POINTS, room=replace(GREY, wall_reflectance=0.8)).mean()
    half = replace(
        GREY,
        wall_reflectance=0.8,
        openings=[Opening(surface="back", low_m=(0.3, 0.2), high_m=(0.9, 1.55))],
    )
    spread = replace(GREY, wall_reflectance=0.8, wall_opening_fraction=(0, 0, 0, 0.6 * 1.35 / (1.2 * 1.8)))
    holed, evenly = lc.ppfd_map(BOARD, POINTS, room=half).mean(), lc.ppfd_map(BOARD, POINTS, room=spread).mean()
    assert holed < 0.98 * whole
    assert holed == pytest.approx(evenly, rel=0.03)
    prepared = half.prepare(fixture_height_m=0.7)
    black = prepared.areas_m2[prepared.reflectances == 0.0].sum()
    assert black == pytest.approx(0.6 * 1.35, rel=1e-9)
    gone = replace(GREY, wall_reflectance=0.8, wall_opening_fraction=1.0)
    dark = replace(GREY, wall_reflectance=0.0)
    assert lc.ppfd_map(BOARD, POINTS, room=gone) == pytest.approx(lc.ppfd_map(BOARD, POINTS, room=dark), rel=1e-12)


def test_walls_are_split_at_the_fixture_and_graded_towards_edges():
    surfaces = room_surfaces((1.2, 1.0, 1.8), [0.7, 1.1], {})
    lines = surfaces[2].lines_m[2]
    assert {0.0, 0.7, 1.1, 1.8} <= set(np.round(lines, 12))
    many = room_surfaces((1.2, 1.0, 1.8), np.linspace(0.5, 1.0, 12), {})
    assert many[2].lines_m[2].size <= 8 + 3 + 3 + 4 + 1
    low = room_surfaces((1.2, 1.0, 1.8), [0.05], {})
    assert 0.05 in low[2].lines_m[2]
    steps = np.diff(surfaces[0].lines_m[0])
    assert steps[0] < 0.7 * steps[4]
    usual, shaft = (
        lc.Room(width_m=w, depth_m=w, height_m=1.8, wall_reflectance=0, ceiling_reflectance=0, floor_reflectance=0)
        for w in (1.2, 0.4)
    )
    assert usual.prepare(fixture_height_m=0.9).patch_count == 512
    assert shaft.prepare(fixture_height_m=0.9).patch_count > 900


def test_sensors_on_walls_and_boards_under_the_ceiling():
    corner = lc.ppfd_map(replace(BOARD, z_m=1.8), [[0.0, 0.0, 0.0], [1.2, 1.0, 0.5], [0.0, 0.5, 1.8]], room=GREY)
    assert np.isfinite(corner).all()
    assert (np.asarray(corner) >= 0).all()


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: lc.ppfd_map(replace(BOARD, x_m=1.1), POINTS, room=GREY), r"sources\[0\], an edge's x_m"),
        (lambda: lc.ppfd_map([BOARD, replace(BOARD, y_m=-0.5)], POINTS, room=GREY), r"sources\[1\], an edge's y_m"),
        (lambda: lc.ppfd_map(replace(BOARD, z_m=1.9), POINTS, room=GREY), r"sources\[0\], an edge's z_m"),
        (lambda: lc.ppfd_map(replace(BOARD, z_m=0.0), POINTS, room=GREY), r"sources\[0\].z_m"),
        (lambda: lc.ppfd_map(replace(BOARD, z_m=1.75, tilt_deg=60), POINTS, room=GREY), r"an edge's z_m"),
        (lambda: lc.ppfd_map(BOARD, POINTS + np.array([0.2, 0, 0]), room=GREY), r"points_m \(x_m\)"),
        (lambda: lc.ppfd_map(BOARD, POINTS, room="tent"), "room"),
        (lambda: GREY.prepare(POINTS, fixture_height_m=2.0), "fixture_height_m"),
        (lambda: GREY.prepare(POINTS - np.array([0, 0, 1]), fixture_height_m=1.0), r"points_m \(z_m\)"),
        (lambda: GREY.prepare(POINTS[..., :2], fixture_height_m=1.0), "points_m"),
        (lambda: GREY.prepare(fixture_height_m=1.0, refinement=0), "refinement"),
        (lambda: replace(GREY, wall_reflectance=1.0), "wall_reflectance is 1.0"),
        (lambda: replace(GREY, wall_reflectance=(0.1, 0.2)), "wall_reflectance"),
        (lambda: replace(GREY, ceiling_reflectance=-0.1), "ceiling_reflectance is -0.1"),
        (lambda: replace(GREY, floor_reflectance=1.2), "floor_reflectance"),
        (lambda: replace(GREY, floor_reflectance=[0.1, 0.1]), "floor_reflectance"),
        (lambda: replace(GREY, mirror_share=1.1), "mirror_share"),
        (lambda: replace(GREY, wall_opening_fraction=-0.1), "wall_opening_fraction"),
        (lambda: replace(GREY, height_m=0), "height_m"),
        (lambda: replace(GREY, openings=[Opening(surface="left", low_m=(0, 0), high_m=(1.1, 1))]), "openings"),
        (lambda: Opening(surface="door", low_m=(0, 0), high_m=(1, 1)), "surface"),
        (lambda: Opening(surface="left", low_m=(0, 1), high_m=(1, 1)), "high_m"),
        (lambda: replace(BOARD, beam="narrow"), "beam"),
        (lambda: canopy_light(BOARD, (1, 0), (0, 1), 0.0), "x_m"),
        (lambda: spread_by_height([], [0, 1], [0, 1], 0.3), "heights_m"),
        (lambda: spread_by_height(BOARD, [0, 1], [0, 1], 0.0), "heights_m"),
        (lambda: share_above([], 1), "area_weights"),
        (lambda: share_above([1, 2], 1, area_weights=[1]), "area_weights"),
        (lambda: isolines([0, 0], [0, 1], np.zeros((2, 2)), 1), "x_m"),
        (lambda: isolines([0, 1], [0, 1], np.zeros((3, 2)), 1), "ppfd"),
        (lambda: MapConditions(dial_fraction=2), "dial_fraction"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ArgumentError, match=name):
        call()


def test_canopy_flux_of_a_board_on_the_open_bench():
    """Howell C-13 for two parallel squares, by summing the element's closed form over the board instead."""
    got = canopy_light(BOARD, (0.0, 1.2), (0.0, 1.0), 0.2)
    node, weight = np.polynomial.legendre.leggauss(30)
    x, y = 0.4 + 0.15 * node[:, None], 0.6 + 0.1 * node[None, :]
    share = 0.0
    for a in (x, 1.2 - x):
        for b in (y, 1.0 - y):
            p, q = np.hypot(a, 0.5), np.hypot(b, 0.5)
            share = share + (a / p * np.arctan(b / p) + b / q * np.arctan(a / q)) / (2 * np.pi)
    expected = weight @ share @ weight / 4
    assert got.utilisation_fraction == pytest.approx(expected, rel=1e-6)
    assert got.canopy_flux_umol_s == pytest.approx(100 * expected, rel=1e-6)
    assert got.mean_ppfd_umol_m2_s == pytest.approx(100 * expected / 1.2, rel=1e-6)
    assert np.isnan(canopy_light([], (0, 1), (0, 1), 0.0).utilisation_fraction)


def test_spread_with_height():
    """Higher is dimmer and more even over the open bench; each map is the one worked out alone; one scale for all."""
    x, y = np.linspace(0.1, 1.1, 6), np.linspace(0.1, 0.9, 5)
    sources = [BOARD, replace(BOARD, x_m=0.9, y_m=0.3, z_m=0.8)]
    got = spread_by_height(sources, x, y, [0.3, 0.45, 0.6], area_m=(1.2, 1.0), plane_m=0.1)
    assert (np.diff(got.mean) < 0).all()
    assert (np.diff(got.min_over_mean) > 0).all()
    assert got.scale == (got.minimum.min(), got.maximum.max())
    grid = np.stack([*np.meshgrid(x, y), np.full((5, 6), 0.1)], axis=-1)
    alone = lc.ppfd_map([replace(sources[0], z_m=0.55), replace(sources[1], z_m=0.65)], grid)
    assert got.ppfd_umol_m2_s[1] == pytest.approx(np.asarray(alone), rel=1e-12)
    assert got.reading_count == 30
    within = spread_by_height(sources, x, y, [0.3, 0.6], plane_m=0.1, room=GREY)
    assert (within.mean > got.mean[[0, 2]]).all()


def test_share_above():
    assert share_above([80, 100, 120], [0, 90, 100, 121]) == pytest.approx([1, 2 / 3, 2 / 3, 0])
    assert share_above([80, 100, 120], 110, area_weights=[0.5, 0.3, 0.2]) == pytest.approx(0.2)


def length(lines):
    return sum(np.hypot(np.diff(x), np.diff(y)).sum() for x, y in lines)


@pytest.mark.parametrize("seed", range(6))
def test_isolines_against_contourpy(seed):
    """ContourPy's serial routine on smooth and on rough maps: as many lines of the same length, open and closed."""
    rng = np.random.default_rng(seed)
    x, y = np.cumsum(rng.uniform(0.5, 1.5, 14)), np.cumsum(rng.uniform(0.5, 1.5, 11))
    rough = rng.uniform(0, 100, (11, 14))
    smooth = 50 + 40 * np.sin(x / 3 + seed)[None, :] * np.cos(y / 2)[:, None]
    # At a saddle ContourPy goes by the quadrilateral's mean too.
    for field in (rough, smooth):
        reference = contourpy.contour_generator(x, y, field, name="serial", quad_as_tri=False)
        for level in (20.0, 50.0, 77.0):
            ours = isolines(x, y, field, level)
            theirs = reference.lines(level)
            assert len(ours) == len(theirs)
            assert length((line.x_m, line.y_m) for line in ours) == pytest.approx(length(line.T for line in theirs))
            closed = sum(bool((line[0] == line[-1]).all()) for line in theirs)
            assert sum(line.is_closed for line in ours) == closed


def test_isoline_of_a_cone_is_a_circle():
    axis = np.linspace(-1, 1, 81)
    x, y = np.meshgrid(axis, axis)
    (line,) = isolines(axis, axis, 100 - 100 * np.hypot(x, y), 50.0)
    assert line.is_closed
    assert line.level == 50.0
    assert np.hypot(line.x_m, line.y_m) == pytest.approx(0.5, abs=1e-3)
    assert isolines(axis, axis, np.zeros((81, 81)), [10.0, 20.0]) == []


AS_READ = MapConditions(dial_fraction=0.5, warm_up_min=45, air_temperature_c=22, sensor="A", date="2 May")
LATER = replace(AS_READ, warm_up_min=90, air_temperature_c=23.5, date="9 June")


def test_alike_conditions_need_no_ratio():
    """Warmed up both, air within 2 K; the date is no bar."""
    assert AS_READ.differences(LATER) == []
    assert normalised([100.0, 50.0], AS_READ, LATER).tolist() == [100.0, 50.0]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"dial_fraction": 0.6}, "dial_fraction 0.5 and 0.6"),
        ({"dial_fraction": None}, "dial_fraction 0.5 and not known"),
        ({"warm_up_min": 5}, "warm_up_min 45 and 5"),
        ({"air_temperature_c": 30}, "air_temperature_c 22 and 30"),
        ({"sensor": "B"}, "sensor A and B"),
        ({"sensor": ""}, "sensor A and not known"),
    ],
)
def test_other_conditions_are_refused_without_a_ratio(change, word):
    other = replace(AS_READ, **change)
    with pytest.raises(ArgumentError, match=word):
        normalised(100.0, AS_READ, other)
    assert normalised(100.0, AS_READ, other, flux_ratio=1.2) == pytest.approx(120.0)
    places = {"x_m": np.array([0.0, 1.0]), "y_m": np.array([0.0, 0.0]), "height_m": 0.4}
    first = LightMap(**places, ppfd=np.array([100.0, 50.0]), conditions=AS_READ)
    second = LightMap(**places, ppfd=np.array([132.0, 60.0]), conditions=other)
    with pytest.raises(ArgumentError, match=word):
        compared_maps(first, second)
    got = compared_maps(first, second, flux_ratio=1.2)
    assert got.ratios == pytest.approx([1.1, 1.0])
    assert (got.smallest_ratio, got.largest_ratio) == pytest.approx((1.0, 1.1))
    assert got.mean_ratio == pytest.approx(192 / 180)


def test_maps_of_other_places_are_not_compared():
    first = LightMap(x_m=np.array([0.0]), y_m=np.array([0.0]), ppfd=np.array([9.0]), conditions=AS_READ, height_m=0.4)
    for change in ({"x_m": np.array([0.1])}, {"y_m": np.array([0.0, 1.0])}, {"height_m": 0.5}, {"height_m": None}):
        with pytest.raises(ArgumentError, match="second"):
            compared_maps(first, replace(first, **change))
    dark = compared_maps(replace(first, ppfd=np.array([0.0])), first)
    assert np.isnan(dark.mean_ratio)
    assert np.isnan(dark.smallest_ratio)
