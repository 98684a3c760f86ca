"""Walls with a reflectance of their own and openings placed in them: as the library's room has them, and told in place.

The example's crop stands in the middle of a room of 1.4 x 0.8 m, 0.2 m over its floor.
"""

import dataclasses

import numpy as np
import openpyxl
import pytest

import ledcalc as lc
from ledcalc.evaluation.layout import field_of_all
from ledcalc.evaluation.light import light_over_crop
from ledcalc.layout_views import layout_views
from ledcalc.light_sources import kept_room, own_sources, room_about
from ledcalc.light_views import along_rings, at_heights
from ledcalc.photons import Opening, Room, ppfd_map, ppfd_per_flux
from ledcalc.records import records_from_fixture
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.rest import rest_of
from ledcalc.workbook.template import write_blank

SIZES = {"width_m": 1.4, "depth_m": 0.8, "height_m": 1.2}
WALLS = {"left": 0.9, "right": 0.3, "front": 0.6, "back": 0.8}
DOOR = lc.WallOpening(wall="left", from_corner_m=0.1, bottom_m=0.0, width_m=0.6, height_m=1.1)


def in_room(bench, openings=(), walls=None, **site):
    own = {f"{wall}_wall_reflectance_fraction": share for wall, share in (walls or {}).items()}
    sizes = {f"room_{name}": size for name, size in SIZES.items()}
    place = dataclasses.replace(bench.site, **sizes, **own, **{"wall_reflectance_fraction": 0.6, **site})
    return dataclasses.replace(
        bench, site=place, wall_openings=tuple(openings), crop_x_m=0.1, crop_y_m=0.1, canopy_height_m=0.2
    )


def even_map(fixture, bench_results):
    """The map with every board at 10 umol/s, so that it is as symmetrical as the room."""
    own = own_sources(fixture, bench_results.boards)
    lit = [dataclasses.replace(source, z_m=0.48, x_m=source.x_m + 0.1, y_m=source.y_m + 0.1) for source in own]
    lit = [dataclasses.replace(source, photon_flux_umol_s=10.0) for source in lit]
    return light_over_crop(fixture, lit, *np.meshgrid(bench_results.light.x_m, bench_results.light.y_m))


@pytest.mark.parametrize("mirror", [0.0, 0.3])
def test_six_reflectances_and_a_door_are_those_of_the_room_called_by_hand(bench, mirror):
    """The front wall's is blank: as the wall reflectance, 0.6."""
    named = {wall: share for wall, share in WALLS.items() if wall != "front"}
    site = {"ceiling_reflectance_fraction": 0.7, "floor_reflectance_fraction": 0.2, "mirror_share_fraction": mirror}
    results = lc.evaluate(in_room(bench, [DOOR], named, **site))
    room = Room(
        **SIZES,
        wall_reflectance=tuple(WALLS.values()),
        ceiling_reflectance=0.7,
        floor_reflectance=0.2,
        mirror_share=mirror,
        openings=(Opening(surface="left", low_m=(0.1, 0.0), high_m=(0.7, 1.1)),),
    )
    boards, light = results.boards, results.light
    by_hand = [
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
    points = np.stack([*np.meshgrid(light.x_m + 0.1, light.y_m + 0.1), np.full((12, 24), 0.2)], axis=-1)
    assert light.ppfd_umol_m2_s == pytest.approx(np.asarray(ppfd_map(by_hand, points, room=room)), rel=1e-6)
    assert "walls send back 90% (left), 30% (right), 60% (front), 80% (back), ceiling 70%" in light.basis
    assert "1 opening in the walls nothing" in light.basis


def test_four_walls_alike_are_the_wall_reflectance(bench):
    alike = lc.evaluate(in_room(bench, walls=dict.fromkeys(WALLS, 0.6), wall_reflectance_fraction=0.1)).light
    assert alike.ppfd_umol_m2_s == pytest.approx(lc.evaluate(in_room(bench)).light.ppfd_umol_m2_s, rel=1e-12)
    assert "walls send back 60%, ceiling" in alike.basis


@pytest.mark.parametrize(("one", "other", "axis"), [("left", "right", 1), ("front", "back", 0)])
def test_swapping_walls_that_face_each_other_mirrors_the_map(bench, bench_results, one, other, axis):
    long = SIZES["width_m"] if axis == 0 else SIZES["depth_m"]
    there = lc.WallOpening(wall=one, from_corner_m=long / 2 - 0.2, bottom_m=0.1, width_m=0.4, height_m=0.7)
    swapped = {one: WALLS[other], other: WALLS[one]}
    rest = {wall: 0.7 for wall in WALLS if wall not in swapped}
    before = even_map(in_room(bench, [there], WALLS | rest), bench_results)
    after = even_map(in_room(bench, [dataclasses.replace(there, wall=other)], WALLS | rest | swapped), bench_results)
    assert after == pytest.approx(np.flip(before, axis), rel=1e-9)
    assert np.abs(np.flip(before, axis) / before - 1.0).max() > 0.01


def test_a_door_takes_light_away_most_where_it_is(bench, bench_results):
    closed = even_map(in_room(bench), bench_results)
    taken = 1.0 - even_map(in_room(bench, [DOOR]), bench_results) / closed
    assert (taken > 0).all()
    assert taken[:, 0].mean() > 3 * taken[:, -1].mean()
    window = dataclasses.replace(DOOR, wall="back", from_corner_m=0.8, bottom_m=0.3, width_m=0.5, height_m=0.6)
    taken = 1.0 - even_map(in_room(bench, [window]), bench_results) / closed
    assert np.unravel_index(taken.argmax(), taken.shape)[0] == 11
    assert 15 <= np.unravel_index(taken.argmax(), taken.shape)[1] <= 22


def test_an_opening_as_large_as_its_wall_is_a_wall_that_sends_nothing_back(bench, bench_results):
    gone = lc.WallOpening(wall="right", from_corner_m=0.0, bottom_m=0.0, width_m=0.8, height_m=1.2)
    opened, black = in_room(bench, [gone]), in_room(bench, walls={"right": 0.0})
    assert even_map(opened, bench_results) == pytest.approx(even_map(black, bench_results), rel=1e-9)


def test_openings_wait_for_a_room(bench, bench_results):
    waiting = lc.evaluate(dataclasses.replace(bench, wall_openings=(DOOR,))).light
    assert waiting.ppfd_umol_m2_s == pytest.approx(bench_results.light.ppfd_umol_m2_s, rel=1e-12)
    assert "direct light only" in waiting.basis


def test_heights_rings_and_layouts_have_the_same_walls(bench):
    fixture = dataclasses.replace(in_room(bench, [DOOR], WALLS), layout_advice="yes", height_to_m=0.4)
    results = lc.evaluate(fixture)
    [higher] = at_heights(results, (1.25,))
    hung = lc.evaluate(dataclasses.replace(fixture, layout_advice="no", height_m=0.35)).light
    assert higher.ppfd_umol_m2_s == pytest.approx(hung.ppfd_umol_m2_s, rel=1e-9)
    plain = lc.evaluate(in_room(bench))
    for ring, without in zip(along_rings(results), along_rings(plain), strict=True):
        assert ring.mean_umol_m2_s != pytest.approx(without.mean_umol_m2_s, rel=1e-3)
    best = results.layout.ranked[0]
    pitches = {"row_pitch_m": best.row_pitch_m, "column_pitch_m": best.column_pitch_m, "height_m": best.height_m}
    built = lc.evaluate(dataclasses.replace(fixture, layout_advice="no", **pitches)).light.statistics
    # Each board there has its own current, up to 3 % from the mean; the walls are cut at other heights.
    assert best.mean_umol_m2_s == pytest.approx(built.mean, rel=0.01)
    assert best.min_over_mean_fraction == pytest.approx(built.min_over_mean, rel=0.02)
    assert layout_views(results).compared.best.canopy_flux_umol_s == pytest.approx(built.mean * 0.72, rel=0.02)


def test_points_on_the_walls_are_held_off_them_by_every_way(bench):
    """A crop from wall to wall, asked for at its very corners: in the edge of two walls light jumps."""
    sides = {"crop_x_m": 0.0, "crop_y_m": 0.0, "crop_width_m": 1.4, "crop_depth_m": 0.8}
    fixture = dataclasses.replace(in_room(bench, [DOOR], WALLS), **sides)
    results = lc.evaluate(fixture)
    axes = np.array([0.0, 0.0005, 0.7, 1.4]), np.array([0.0, 0.4, 0.8])
    own = own_sources(fixture, results.boards)
    usual = light_over_crop(fixture, own, *np.meshgrid(*axes))
    assert usual[:, 0] == pytest.approx(usual[:, 1], rel=1e-12)
    [same] = at_heights(results, (1.0,), axes_m=axes)
    assert same.ppfd_umol_m2_s == pytest.approx(usual, rel=1e-6)
    points = np.stack([*np.meshgrid(*axes), np.full((3, 4), 0.2)], axis=-1).reshape(-1, 3)
    room = room_about(fixture, own)
    prepared = kept_room(room, points.tobytes(), points.shape, (0.48,))
    unit = field_of_all(fixture, prepared)(own, points)
    flux = np.array([source.photon_flux_umol_s for source in own])
    assert flux @ unit == pytest.approx(usual.ravel(), rel=1e-6)
    there = ppfd_per_flux(own, points, room=prepared)
    assert not np.allclose(flux @ there, usual.ravel(), rtol=1e-3)


def test_a_crop_beyond_its_room_says_that_its_light_is_direct_only(bench):
    beyond = lc.evaluate(dataclasses.replace(in_room(bench, [DOOR], WALLS), crop_width_m=1.35))
    [found] = [one for one in beyond.findings if one.code == "crop-outside-room"]
    assert "walls are not counted, this is direct light only" in found.message
    assert "walls are not counted" in beyond.light.basis


BAD = {
    "wider than the wall": ({"width_m": 0.9, "from_corner_m": 0.0}, "Width", "wider than the left wall", "at most 0.8"),
    "higher than the wall": ({"height_m": 1.3}, "Height", "higher than the left wall", "at most 1.2"),
    "beyond the end": ({"from_corner_m": 0.3}, "From the corner", "0.1 m beyond the end of the left", "at most 0.2"),
    "beyond the top": ({"bottom_m": 0.2}, "Bottom edge", "0.1 m beyond the top of the left", "at most 0.1"),
    "no such wall": ({"wall": "south"}, "Wall", "", "left or right or front or back"),
    "no width": ({"width_m": 0.0}, "Width", "too small", "above 0"),
}


@pytest.mark.parametrize("name", BAD)
def test_an_opening_that_cannot_be_is_told_in_its_cell_and_the_rest_computes(bench, tmp_path, name):
    changes, label, words, allowed = BAD[name]
    fine = dataclasses.replace(DOOR, wall="back", from_corner_m=0.8)
    openings = [fine, dataclasses.replace(DOOR, **changes)]
    write_blank(tmp_path / "bad.xlsx", records=records_from_fixture(in_room(bench, openings)))
    inputs = read_inputs(tmp_path / "bad.xlsx")
    [problem] = inputs.problems
    header = [cell.value for cell in openpyxl.load_workbook(tmp_path / "bad.xlsx")["Wall openings"][4]]
    assert (problem.sheet, problem.field) == ("Wall openings", label)
    assert problem.cell[0] == "ABCDE"[next(n for n, text in enumerate(header) if str(text).startswith(label))]
    assert words in problem.problem
    assert allowed in problem.allowed
    rest = rest_of(inputs)
    assert rest.wall_openings == (fine,)
    assert any("1 of 2 rows of the Wall openings sheet" in note for note in rest.origin.notes)


def test_openings_in_each_others_way_are_named_and_ones_side_by_side_are_not(bench):
    beside = dataclasses.replace(DOOR, from_corner_m=0.1, bottom_m=0.5, width_m=0.3, height_m=0.2)
    low = dataclasses.replace(DOOR, height_m=0.5)
    assert lc.evaluate(in_room(bench, [low, beside])).light.statistics.mean > 0
    assert lc.evaluate(in_room(bench, [DOOR, dataclasses.replace(beside, wall="right")])).light.statistics.mean > 0
    with pytest.raises(lc.InputErrors, match=r"overlaps the opening in data row 1"):
        lc.evaluate(in_room(bench, [low, dataclasses.replace(beside, bottom_m=0.49)]))


def test_more_openings_than_a_wall_takes(bench):
    row = [
        lc.WallOpening(wall="back", from_corner_m=0.2 * n, bottom_m=0.9, width_m=0.1, height_m=0.1) for n in range(5)
    ]
    assert lc.evaluate(in_room(bench, row[:4])).light.statistics.mean > 0
    with pytest.raises(lc.InputErrors, match=r"opening number 5 in the back wall.*at most 4 a wall"):
        lc.evaluate(in_room(bench, row))


@pytest.mark.parametrize("name", ["copy.xlsx", "copy"])
def test_there_and_back(bench, tmp_path, name):
    fixture = in_room(bench, [DOOR, dataclasses.replace(DOOR, wall="front")], {"left": 0.9, "back": 0.35})
    write_blank(tmp_path / name, records=records_from_fixture(fixture))
    assert lc.read_workbook(tmp_path / name) == fixture
