"""The same fixture hung again: fields add up, walls see all of them, and every figure says whose it is."""

import dataclasses

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.errors import InputErrors
from ledcalc.light_sources import all_sources, own_sources, room_about
from ledcalc.light_views import at_heights
from ledcalc.outlines import outlines_of
from ledcalc.photons import ppfd_map
from ledcalc.records import placed_boards
from ledcalc.workbook.results.write import pages_of

ROOM = {
    "room_width_m": 2.8,
    "room_depth_m": 1.0,
    "room_height_m": 1.2,
    "wall_reflectance_fraction": 0.8,
    "mirror_share_fraction": 0.2,
}


def with_others(bench, *shifts):
    others = tuple(
        lc.OtherFixture(tag=f"F{n}", shift_x_m=x, shift_y_m=y, height_change_m=z)
        for n, (x, y, z) in enumerate(shifts, start=2)
    )
    return dataclasses.replace(bench, other_fixtures=others)


def in_room(bench):
    site = dataclasses.replace(bench.site, **ROOM)
    return dataclasses.replace(bench, site=site, crop_x_m=0.2, crop_y_m=0.2, canopy_height_m=0.3)


def moved_crop(fixture, x, y, z):
    """One fixture alone seen from where another's crop would be: the field that it throws there."""
    places = tuple(
        dataclasses.replace(place, x_m=place.x_m + x, y_m=place.y_m + y, height_m=place.height_m + z)
        for place in placed_boards(fixture)
    )
    return dataclasses.replace(fixture, positions=places)


@pytest.mark.parametrize("place", ["open bench", "room"])
def test_two_fixtures_are_the_sum_of_both_fields(bench, place):
    own = bench if place == "open bench" else in_room(bench)
    shift = (1.25, 0.05, 0.1)
    alone, other = lc.evaluate(own), lc.evaluate(moved_crop(own, *shift))
    both = lc.evaluate(with_others(own, shift))
    added = alone.light.ppfd_umol_m2_s + other.light.ppfd_umol_m2_s
    # In a room each of the three splits the walls at its own heights: the mesh differs a little.
    assert both.light.ppfd_umol_m2_s == pytest.approx(added, rel=1e-12 if place == "open bench" else 2e-3)
    assert "all 2 fixtures" in both.light.basis


def test_a_room_is_linear_in_its_fixtures(bench):
    """With one and the same room worked out, light adds up to rounding."""
    fixture = with_others(in_room(bench), (1.2, 0.0, 0.0), (0.6, 0.2, 0.2))
    results = lc.evaluate(fixture)
    own = own_sources(fixture, results.boards)
    every = all_sources(fixture, own)
    room = room_about(fixture, every)
    points = np.stack([*np.meshgrid(results.light.x_m + 0.2, results.light.y_m + 0.2), np.full((12, 24), 0.3)], axis=-1)
    prepared = room.prepare(points, fixture_height_m=sorted({source.z_m for source in every}))
    parts = [ppfd_map(every[n : n + 8], points, room=prepared) for n in (0, 8, 16)]
    assert results.light.ppfd_umol_m2_s == pytest.approx(sum(parts), rel=1e-12)
    assert min(float(part.mean()) for part in parts) > 1.0


def test_a_row_of_none_changes_nothing_but_the_count(bench, bench_results):
    """A second fixture so far off that no light of it arrives."""
    far = lc.evaluate(with_others(bench, (100.0, 100.0, 0.0)))
    assert far.light.statistics.mean == pytest.approx(bench_results.light.statistics.mean, rel=1e-5)
    assert far.light.photon_flux_umol_s == pytest.approx(bench_results.light.photon_flux_umol_s)
    assert far.light.utilisation_fraction == pytest.approx(bench_results.light.utilisation_fraction / 2, rel=1e-5)
    assert far.light.dc_efficacy_umol_per_j == pytest.approx(bench_results.light.dc_efficacy_umol_per_j)
    assert far.light.canopy_efficacy_umol_per_j == pytest.approx(
        bench_results.light.canopy_efficacy_umol_per_j / 2, rel=1e-5
    )
    assert far.cost.energy_cost == bench_results.cost.energy_cost
    assert far.cost.energy_cost_per_mol == pytest.approx(2 * bench_results.cost.energy_cost_per_mol, rel=1e-5)


def test_photons_on_the_crop_never_pass_what_all_fixtures_make(bench):
    light = lc.evaluate(with_others(bench, (0.0, 0.07, 0.0), (0.0, 0.14, 0.0))).light
    assert light.in_room_count == 3
    assert light.room_photon_flux_umol_s == pytest.approx(3 * light.photon_flux_umol_s)
    # More than this fixture makes alone arrives, and that is no error.
    assert light.photon_flux_umol_s < light.canopy_flux_umol_s < light.room_photon_flux_umol_s
    assert light.utilisation_fraction == pytest.approx(light.canopy_flux_umol_s / light.room_photon_flux_umol_s)


def test_a_survey_is_held_against_all_of_them(bench, bench_results):
    bright = tuple(
        dataclasses.replace(reading, ppfd_umol_m2_s=1.2 * bench_results.light.photon_flux_umol_s / 0.72)
        for reading in bench.light_readings
    )
    alone = dataclasses.replace(bench, light_readings=bright)
    two = with_others(alone, (0.0, 0.07, 0.0))
    for fixture, fires in ((alone, True), (two, False)):
        assert ("canopy-above-fixture" in {one.code for one in lc.evaluate(fixture).findings}) == fires
    predicted = [lc.evaluate(one).surveys[0].predicted_umol_m2_s for one in (bench, with_others(bench, (0, 0, 0.1)))]
    assert (predicted[1] > 1.5 * predicted[0]).all()


def test_what_all_of_them_draw_warms_the_room(bench):
    airy = dataclasses.replace(bench, site=dataclasses.replace(bench.site, ventilation_m3_per_h=100.0))
    one, three = (lc.evaluate(f).operating for f in (airy, with_others(airy, (3, 0, 0), (6, 0, 0))))
    rise = one.air_temperature_c - 20.0
    assert three.air_temperature_c - 20.0 == pytest.approx(3 * rise, rel=0.01)


def test_heights_are_those_of_all_of_them_and_keep_off_the_canopy(bench):
    fixture = with_others(bench, (0.0, 0.1, -0.12))
    found = {at.height_m: at for at in at_heights(lc.evaluate(fixture), (0.4, 0.8, 1.0))}
    assert list(found) == pytest.approx([0.224, 0.28])
    raised = lc.evaluate(dataclasses.replace(fixture, height_m=0.224)).light.statistics
    assert found[0.224].mean_umol_m2_s == pytest.approx(raised.mean, rel=1e-9)


def test_outlines_are_those_of_the_light_sources(bench):
    places = [
        dataclasses.replace(place, rotation_deg=20.0 * n, tilt_deg=7.0 * n - 20)
        for n, place in enumerate(placed_boards(bench))
    ]
    fixture = with_others(dataclasses.replace(bench, positions=tuple(places)), (1.3, -0.2, 0.05))
    results = lc.evaluate(fixture)
    outlines = outlines_of(fixture, results.boards)
    sources = all_sources(fixture, own_sources(fixture, results.boards))
    assert outlines.tag[0] == "B1"
    assert outlines.tag[9] == "B2 of F2"
    for n, source in enumerate(sources):
        assert outlines.axes[n] == pytest.approx(source.axes(), abs=1e-12)
        # The same four corners, in another order.
        own, drawn = (np.array(sorted(map(tuple, np.round(c, 9)))) for c in (source.corners(), outlines.corners_m[n]))
        assert drawn == pytest.approx(own, abs=1e-8)


def test_map_and_figures_say_whose_they_are(bench):
    results = lc.evaluate(with_others(bench, (0.6, 0.0, 0.02)))
    pages = {page.title: page for page in pages_of(results)}
    *_, field = pages["Light field"].blocks
    assert "all 2 fixtures" in field.heading
    assert len(field.boards) == 16
    assert field.boards[8] == pytest.approx(
        [edge + (0.6 if n % 2 == 0 else 0) for n, edge in enumerate(field.boards[0])]
    )
    words = " ".join(
        f"{one.label} {one.remark}"
        for title in ("Light field", "Cost and energy")
        for block in pages[title].blocks
        for one in getattr(block, "facts", ())
    )
    for said in ("of this fixture", "Photon flux of all 2 fixtures", "over mains of all 2", "energy of all 2 fixtures"):
        assert said in words


def test_walls_are_left_out_and_named_where_another_fixture_stands_outside(bench):
    results = lc.evaluate(with_others(in_room(bench), (1.5, 0.0, 0.0)))
    [found] = [one for one in results.findings if one.code == "board-outside-room"]
    assert "B4 of F2" in found.message
    assert "the right wall" in found.message
    assert "walls are not counted" in results.light.basis


@pytest.mark.parametrize("height_change", [-0.58, -0.6, -0.3])
def test_a_fixture_on_the_floor_of_a_room_is_named_and_crashes_nothing(bench, height_change):
    results = lc.evaluate(with_others(in_room(bench), (1.2, 0.0, height_change)))
    [found] = [one for one in results.findings if one.code == "board-at-canopy"]
    assert "of F2" in found.message
    assert at_heights(results) is not None
    pages_of(results)


def test_two_rows_of_one_name_are_refused(bench):
    twice = (lc.OtherFixture(tag="A", shift_x_m=2.0), lc.OtherFixture(tag="a", shift_x_m=4.0))
    with pytest.raises(InputErrors, match="stands twice"):
        lc.evaluate(dataclasses.replace(bench, other_fixtures=twice))
