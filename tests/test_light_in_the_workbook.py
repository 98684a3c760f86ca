"""Light as the workbook has it: the room's share, beams and spectra by tables, other heights; each by a second way."""

import dataclasses

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.errors import InputErrors
from ledcalc.light_views import area_above, at_heights
from ledcalc.photons import Room, ppfd_map


def in_room(bench, **changes):
    site = dataclasses.replace(
        bench.site,
        room_width_m=1.4,
        room_depth_m=0.8,
        room_height_m=1.2,
        wall_reflectance_fraction=0.8,
        ceiling_reflectance_fraction=0.7,
        floor_reflectance_fraction=0.2,
        **changes,
    )
    return dataclasses.replace(bench, site=site, crop_x_m=0.1, crop_y_m=0.1, canopy_height_m=0.2)


def test_walls_send_light_back(bench, bench_results):
    results = lc.evaluate(in_room(bench))
    dark = lc.evaluate(in_room(bench, wall_opening_fraction=1.0))
    assert results.light.statistics.mean > 1.3 * bench_results.light.statistics.mean
    assert bench_results.light.statistics.mean < dark.light.statistics.mean < results.light.statistics.mean
    assert "walls send back 80%" in results.light.basis
    # The same by the library alone, at three points of the map, with a room prepared for these only.
    boards, light = results.boards, results.light
    sources = [
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
    room = Room(
        width_m=1.4, depth_m=0.8, height_m=1.2, wall_reflectance=0.8, ceiling_reflectance=0.7, floor_reflectance=0.2
    )
    for row, column in ((0, 0), (5, 11), (11, 23)):
        point = [light.x_m[column] + 0.1, light.y_m[row] + 0.1, 0.2]
        assert ppfd_map(sources, point, room=room) == pytest.approx(light.ppfd_umol_m2_s[row, column], rel=1e-6)


def test_a_board_outside_its_room_leaves_the_walls_out_and_says_so(bench):
    outside = dataclasses.replace(in_room(bench), crop_x_m=0.5)
    results = lc.evaluate(outside)
    assert "board-outside-room" in {found.code for found in results.findings}
    assert "walls are not counted" in results.light.basis


def test_a_beam_by_table_is_the_exponent_that_it_tables(bench):
    angles = np.arange(0.0, 91.0, 2.5)
    rows = tuple(
        lc.BeamPoint(tag="narrow", angle_deg=float(angle), intensity=float(np.cos(np.deg2rad(angle)) ** 3))
        for angle in angles
    )
    by_table = dataclasses.replace(bench.boards[0], beam="narrow")
    by_exponent = dataclasses.replace(bench.boards[0], cosine_exponent=3.0)
    table = lc.evaluate(dataclasses.replace(bench, boards=(by_table,), beams=rows))
    exponent = lc.evaluate(dataclasses.replace(bench, boards=(by_exponent,)))
    assert table.light.ppfd_umol_m2_s == pytest.approx(exponent.light.ppfd_umol_m2_s, rel=2e-3)


def test_a_spectrum_says_how_much_of_the_power_is_light(bench):
    """One wavelength of 600 nm: 600 / 119.6266 umol/J (CODATA), whatever the column beside says."""
    line = tuple(
        lc.SpectrumPoint(tag="line", wavelength_nm=nm, value=value)
        for nm, value in ((400.0, 0.0), (599.0, 0.0), (600.0, 1.0), (601.0, 0.0), (700.0, 0.0))
    )
    model = dataclasses.replace(bench.boards[0], spectrum="line")
    boards = lc.evaluate(dataclasses.replace(bench, boards=(model,), spectra=line)).boards
    light_w = boards.power_w - boards.heat_w
    assert boards.photon_flux_umol_s / light_w == pytest.approx(np.full(8, 600.0 / 119.6266), rel=1e-5)


@pytest.mark.parametrize(
    ("key", "rows", "words"),
    [
        ("spectra", ((400.0, 1.0), (390.0, 1.0), (700.0, 1.0)), "does not come after"),
        ("spectra", ((450.0, 1.0), (700.0, 1.0)), "450 to 700 nm only"),
        ("spectra", ((400.0, 0.0), (700.0, 0.0)), "nothing but zeros"),
        ("spectra", ((400.0, 1.0),), "one row only"),
        ("beams", ((0.0, 1.0), (0.0, 0.5)), "does not come after"),
        ("beams", ((0.0, 0.0), (90.0, 0.0)), "nothing but zeros"),
    ],
)
def test_tables_that_are_none_are_named(bench, key, rows, words):
    kinds = {"spectra": (lc.SpectrumPoint, "wavelength_nm", "value"), "beams": (lc.BeamPoint, "angle_deg", "intensity")}
    kind, along, value = kinds[key]
    given = tuple(kind(tag="mine", **{along: at, value: number}) for at, number in rows)
    model = dataclasses.replace(bench.boards[0], spectrum=None)
    with pytest.raises(InputErrors, match=words):
        lc.evaluate(dataclasses.replace(bench, boards=(model,), **{"spectra": (), key: given}))


def test_a_board_that_asks_for_a_spectrum_that_is_not_there(bench):
    model = dataclasses.replace(bench.boards[0], spectrum="Warm whyte")
    with pytest.raises(InputErrors, match="there is no spectrum 'Warm whyte'"):
        lc.evaluate(dataclasses.replace(bench, boards=(model,)))


def test_other_heights_are_what_the_fixture_gives_hung_there(bench, bench_results):
    for at in at_heights(bench_results, (0.8, 1.25)):
        hung = lc.evaluate(dataclasses.replace(bench, height_m=at.height_m)).light.statistics
        assert at.mean_umol_m2_s == pytest.approx(hung.mean, rel=1e-9)
        assert at.min_over_mean_fraction == pytest.approx(hung.min_over_mean, rel=1e-9)


def test_heights_above_the_ceiling_are_left_out(bench):
    results = lc.evaluate(in_room(bench))
    heights = [at.height_m for at in at_heights(results, (1.0, 2.0, 4.0))]
    assert heights == pytest.approx([0.28, 0.56])


def test_the_share_of_the_crop_above_a_level_falls_with_the_level(bench_results):
    shares = [share for _, share in area_above(bench_results)]
    assert shares == sorted(shares, reverse=True)
    field = bench_results.light.ppfd_umol_m2_s
    assert shares[3] == pytest.approx(np.count_nonzero(field >= field.mean()) / field.size)
