"""Light maps in: blocks, lists, rings of squares; hand-worked statistics; corrections; bad input told in place."""

import numpy as np
import pytest

from ledcalc.bench import (
    QuantumSensor,
    RingReadings,
    map_from_block,
    map_from_rings,
    map_means,
    measured_map,
    ring_means,
)
from ledcalc.errors import ArgumentError
from ledcalc.photons import compared_maps
from ledcalc.ppfd.map_conditions import MapConditions

NAN = float("nan")


@pytest.mark.parametrize("text", ["800\t820\n810\t-", "800;820\n810;", "800, 820\r\n810, n/a", "  800 820\n\n  810 - "])
def test_a_block_as_copied_from_any_sheet(text):
    found = map_from_block(text, pitch_m=0.5, area_m=(1.0, 1.0))
    assert found.ppfd.tolist() == [800.0, 820.0, 810.0]
    assert found.x_m.tolist() == [-0.25, 0.25, -0.25]
    assert found.y_m.tolist() == [-0.25, -0.25, 0.25]
    assert [(note.kind, note.place) for note in found.notes] == [("gap", "row 2, column 2")]


def test_a_block_seen_from_the_front_has_its_far_row_first():
    found = map_from_block("1 2\n3 4", pitch_m=(0.4, 0.6), area_m=(0.8, 1.2), far_row_first=True)
    assert dict(zip(found.ppfd.tolist(), zip(found.x_m, found.y_m, strict=True), strict=True)) == {
        1.0: (-0.2, 0.3),
        2.0: (0.2, 0.3),
        3.0: (-0.2, -0.3),
        4.0: (0.2, -0.3),
    }


def test_a_block_with_its_own_coordinates():
    found = map_from_block("y/x 0 24 48\n12 800 820 790\n36 780 810 -", has_coordinates=True, unit="in")
    assert found.x_m == pytest.approx(np.array([0, 24, 48, 0, 24]) * 0.0254)
    assert found.y_m == pytest.approx(np.array([12, 12, 12, 36, 36]) * 0.0254)
    assert found.places[0] == "row 2, column 2"
    assert found.area_m == pytest.approx((48 * 0.0254, 24 * 0.0254))


def test_a_block_without_pitch_fills_its_area_evenly():
    found = map_from_block([[1, 2, 3], [4, 5, 6]], area_m=(1.5, 0.8), centre_m=(2.0, 1.0))
    assert sorted(set(found.x_m.tolist())) == pytest.approx([1.5, 2.0, 2.5])
    assert sorted(set(found.y_m.tolist())) == pytest.approx([0.8, 1.2])


def test_rings_of_squares():
    """A centre, 0.4 and 0.8 m squares: means by hand."""
    rings = (
        RingReadings(side_m=0.4, corners=(700, 710, 690, 700), middles=(760, 750, 740, 750)),
        RingReadings(side_m=0.8, corners=(500, 510, NAN, 490)),
    )
    found = map_from_rings(850.0, rings, sensor=QuantumSensor(noise_fraction=0.01))
    means = ring_means(found, [0.4, 0.8, 1.2])
    assert means.counts == (8, 3, 0)
    assert [mean.value for mean in means.means[:2]] == pytest.approx([(2800 + 3000) / 8, 500.0])
    # 1 % of noise at each of 3 readings: sqrt(500^2 + 510^2 + 490^2) / 3 x 1 %.
    assert means.means[1].part("noise") == pytest.approx(np.sqrt(500**2 + 510**2 + 490**2) / 3 * 0.01, rel=1e-6)
    assert np.isnan(means.means[2].value)
    assert means.means[2].missing == "no reading on this ring"
    assert [note.place for note in found.notes] == ["0.8 m ring, near left corner"]
    assert dict(zip(found.places, found.x_m.tolist(), strict=True))["0.4 m ring, far side"] == 0.0


def test_hand_worked_statistics_of_a_grid_on_the_rim():
    """3 x 3 readings from edge to edge: corners stand for a quarter of a cell, sides for half.

    Plain (4 x 600 + 4 x 800 + 1000) / 9 = 733.3; weighted (4 x 600 / 4 + 4 x 800 / 2 + 1000) / 4 = 800.
    """
    block = "600 800 600\n800 1000 800\n600 800 600"
    found = map_means(map_from_block(block, x_m=[0, 1, 2], y_m=[0, 1, 2], sensor=QuantumSensor(noise_fraction=0.01)))
    assert found.plain.value == pytest.approx(6600 / 9)
    assert found.area_weighted.value == pytest.approx(800.0)
    assert found.min_over_mean.value == pytest.approx(600 / (6600 / 9))
    assert found.statistics.area_m2 == pytest.approx(4.0)
    # The readings lie on 1000 - 200 (u^2 + v^2), whose mean is 1000 - 400 / 3; weights of cells are off by their bend.
    assert 800 < found.fitted.value < 870
    assert abs(found.fitted.value - 2600 / 3) < found.fitted.half_width()


def test_noise_of_a_mean_by_hand():
    """Nine readings of 800 with 2 % of noise: 16 / 3; 5 % of calibration limits: 40 / sqrt(3), for all alike."""
    sensor = QuantumSensor(noise_fraction=0.02, calibration_fraction=0.05)
    plain = map_means(map_from_block([[800] * 3] * 3, area_m=(1, 1), sensor=sensor)).plain
    assert plain.part("noise") == pytest.approx(16.0 / 3.0)
    assert plain.part("calibration") == pytest.approx(40.0 / np.sqrt(3.0))


def test_area_that_is_no_square():
    found = map_from_block([[700, 800, 700], [700, 800, 700]], area_m=(1.8, 0.6))
    means = map_means(found)
    assert means.statistics.area_m2 == pytest.approx(1.08)
    assert means.area_weighted.value == pytest.approx(2200 / 3)


def test_sensor_corrections_as_stated():
    """Dark reading off, then the factor; the limits: 5 % of 1 155, 2 % (noise twice), one digit."""
    sensor = QuantumSensor(
        zero_reading_umol_m2_s=5.0,
        correction_factor=1.05,
        calibration_fraction=0.05,
        noise_fraction=0.01,
        counts=1,
        resolution=1.0,
    )
    found = map_from_block([[1105.0, 3.0]], x_m=[0, 1], y_m=[0], sensor=sensor)
    assert found.ppfd.tolist() == pytest.approx([1155.0, 0.0])
    assert found.raw_umol_m2_s.tolist() == [1105.0, 3.0]
    assert found.half_width_umol_m2_s[0] == pytest.approx(1155 * 0.07 + 1.05)


def test_cosine_errors_by_angle_and_over_the_hemisphere():
    sensor = QuantumSensor(cosine_angles_deg=(45.0, 75.0), cosine_fraction=(0.02, 0.05), noise_fraction=0.0)
    assert sensor.cosine_limit([0.0, 22.5, 60.0, 90.0]) == pytest.approx([0.0, 0.01, 0.035, 0.05])
    # All light from the whole sky alike, by 200,000 directions: cos-weighted angles are asin(sqrt(even numbers)).
    angle = np.degrees(np.arcsin(np.sqrt((np.arange(200_000) + 0.5) / 200_000)))
    assert sensor.cosine_limit() == pytest.approx(np.interp(angle, [0, 45, 75], [0, 0.02, 0.05]).mean(), rel=1e-3)
    slanted = measured_map([0, 1], [0, 0], [100, 100], sensor=sensor, incidence_deg=[0.0, 75.0])
    assert slanted.half_width_umol_m2_s.tolist() == pytest.approx([0.0, 5.0])


def test_placement_counts_by_the_slope():
    """1 cm either way on a field that rises by 5 per cm along x: limits of 5, standard deviation 5 / sqrt(3)."""
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(6) * 0.2, np.arange(6) * 0.2))
    light = 800.0 + 500.0 * (x - 0.5)
    sharp = QuantumSensor(noise_fraction=0.0, counts=1, resolution=1.0)
    loose = QuantumSensor(noise_fraction=0.0, counts=1, resolution=1.0, placement_m=0.01)
    plain = [map_means(measured_map(x, y, light, sensor=sensor)).plain for sensor in (sharp, loose)]
    # Digits: limits of 1 at each of 36 readings.
    assert plain[0].part("noise") == pytest.approx(1 / np.sqrt(3) / 6, rel=1e-6)
    assert plain[1].part("noise") == pytest.approx(np.hypot(1, 5) / np.sqrt(3) / 6, rel=0.05)


def test_readings_outside_the_area_are_left_out_and_told():
    found = measured_map([0.1, 0.5, 1.4], [0.5, 0.5, 0.5], [700, 800, 300], area_m=(1, 1), centre_m=(0.5, 0.5))
    assert found.ppfd.tolist() == [700.0, 800.0]
    (note,) = found.notes
    assert (note.kind, note.place) == ("outside", "reading 3")
    assert note.text.startswith("0.4 m outside the area")


def test_one_place_read_twice_and_lines_of_one_figure():
    x, y, ppfd = [0, 0, 1, 2, 3, 1], [0, 0, 0, 0, 0, 1], [800, 600, 800, 800, 800, 790]
    kinds = {note.kind: note for note in measured_map(x, y, ppfd).notes}
    assert kinds["disagree"].place == "reading 1, reading 2"
    agree = measured_map(x, y, [800, 805, 790, 780, 770, 790]).notes
    assert [note.kind for note in agree] == ["twice"]
    filled = measured_map([0, 1, 2, 3], [0, 0, 0, 0], [800] * 4).notes
    assert filled[0].kind == "constant"
    assert "all 4 readings are 800" in filled[0].text
    assert measured_map([0, 1], [0, 0], [0, 10]).notes[0].kind == "dark"


def test_one_reading_says_nothing_of_an_area():
    """One reading per height: three maps of one reading each, no uncertainty claimed for any of them."""
    for height, ppfd in ((0.3, 900), (0.45, 600), (0.6, 420)):
        means = map_means(measured_map([0.5], [0.5], [ppfd], height_m=height, sensor=QuantumSensor()))
        assert means.fitted.value == pytest.approx(ppfd)
        assert np.isnan(means.fitted.half_width())
        assert means.fitted.missing == "one reading says nothing of what lies about it"


def test_two_dates_are_compared_once_conditions_allow():
    warm = {"dial_fraction": 1.0, "warm_up_min": 60, "air_temperature_c": 22.0, "sensor": "S1"}
    first, second = (
        map_from_block(block, area_m=(1, 1), height_m=0.4, conditions=MapConditions(date=date, **warm))
        for block, date in (("800 820\n810 790", "2026-01-10"), ("760 779\n769.5 750.5", "2026-11-20"))
    )
    assert compared_maps(first, second).mean_ratio == pytest.approx(0.95)
    cold = map_from_block("1 2\n3 4", area_m=(1, 1), height_m=0.4)
    with pytest.raises(ArgumentError, match="conditions differ"):
        compared_maps(first, cold)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: map_from_block("800 82O\n8,5 810", area_m=(1, 1)), "rows of one length"),
        (lambda: map_from_block("800 82O\nx 810", area_m=(1, 1)), "row 1, column 2: '82O'; row 2, column 1: 'x'"),
        (lambda: map_from_block("800 820\n810", area_m=(1, 1)), "row 1 has 2; row 2 has 1"),
        (lambda: map_from_block("800 820"), "pitch_m"),
        (lambda: map_from_block("- -", area_m=(1, 1)), "at least one reading"),
        (lambda: map_from_block([[800, -5]], area_m=(1, 1)), "row 1, column 2: -5"),
        (lambda: map_from_block("1 2\n3 4", x_m=[0, 1, 2], y_m=[0, 1]), "x_m"),
        (lambda: map_from_block("1 2", has_coordinates=True), "a row of x"),
        (lambda: map_from_block("x 0 -\n0 1 2", has_coordinates=True), "the first row"),
        (lambda: measured_map([0, 1], [0, 1], [800]), "as many of each"),
        (lambda: measured_map([0, 1], [0, 1], [800, float("inf")]), "reading 2: inf"),
        (lambda: measured_map([5], [5], [800], area_m=(1, 1), centre_m=(0, 0)), "area_m"),
        (lambda: measured_map([0], [0], [800], height_m=0), "height_m"),
        (lambda: measured_map([0, 1], [0, 1], [8, 9], incidence_deg=[1, 2, 3]), "incidence_deg"),
        (lambda: RingReadings(side_m=0.4, corners=(1, 2, 3)), "corners"),
        (lambda: QuantumSensor(calibration_fraction=5.0), "calibration_fraction"),
        (lambda: QuantumSensor(cosine_angles_deg=(75, 45), cosine_fraction=(0.05, 0.02)), "cosine_angles_deg"),
    ],
)
def test_bad_input_is_named(call, named):
    with pytest.raises(ArgumentError, match=named):
        call()
