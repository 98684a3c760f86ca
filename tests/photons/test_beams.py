"""Beams against closed forms, their symmetries, and the Gauss rule against exact and brute-force integration."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.photons import Beam, gauss_per_flux, ppfd_per_flux

EVERY_5_DEG = np.arange(0.0, 91.0, 5.0)
LAMBERTIAN_TABLE = np.cos(np.deg2rad(EVERY_5_DEG)).clip(0.0)
BOARD = lc.LightSource(x_m=0.1, y_m=-0.2, z_m=0.5, width_m=0.3, length_m=0.2, photon_flux_umol_s=1.0)
CENTRE = (0.1, -0.2, 0.5)
SIDES = (0.3, 0.2)


def over_the_sphere(beam, rows=4000):
    """Riemann sum in equal steps of the cosine and the azimuth: apart from how the beam integrates itself."""
    cosine = 1.0 - (np.arange(rows) + 0.5) / rows * 2.0
    azimuth = (np.arange(60) + 0.5) / 60.0 * 2.0 * np.pi
    return float(np.mean(beam.intensity(np.arccos(cosine)[:, None], azimuth)) * 4.0 * np.pi)


@st.composite
def tables(draw):
    phi = draw(
        st.sampled_from([[0.0], [0, 45, 90], [0, 90], [0, 30, 120, 180], [90, 100, 180, 270], [0, 90, 180, 300, 360]])
    )
    theta = draw(st.sampled_from([[0, 20, 45, 90], [0, 10, 30, 60, 90, 180], [90, 120, 180], [0, 40]]))
    values = draw(
        st.lists(st.floats(0, 1e4), min_size=len(phi) * len(theta), max_size=len(phi) * len(theta)).filter(any)
    )
    grid = np.reshape(values, (len(phi), len(theta)))
    if phi[-1] == 360:
        grid[-1] = grid[0]
    return theta, phi, grid


# Closed forms: I = (m + 1) / 2 pi cos^m, flux within theta = 1 - cos^(m+1), half intensity where cos^m = 1/2.


@pytest.mark.parametrize("exponent", [0.0, 0.5, 1.0, 2.0, 7.0, 40.0, 300.0])
def test_cosine_beam_closed_forms(exponent):
    beam = Beam.cosine(exponent)
    theta = np.linspace(0, 1.5, 7)
    assert beam.intensity(theta) == pytest.approx((exponent + 1) / (2 * np.pi) * np.cos(theta) ** exponent, rel=1e-12)
    assert beam.intensity(np.deg2rad([91.0, 180.0])).tolist() == [0.0, 0.0]
    assert beam.flux_fraction(0, 40) == pytest.approx(1 - np.cos(np.deg2rad(40)) ** (exponent + 1), rel=1e-12)
    assert beam.lower_half_fraction == pytest.approx(1.0)
    assert over_the_sphere(beam) == pytest.approx(1.0, abs=2e-3)
    if exponent:
        assert np.cos(np.deg2rad(beam.beam_angle_deg() / 2)) ** exponent == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize("phi", [[0.0], [0.0, 90.0], [0.0, 180.0], [90.0, 180.0, 270.0], [0.0, 120.0, 240.0, 360.0]])
def test_lambertian_table_has_the_flux_of_its_closed_form_and_its_shape(phi):
    """Integral of I0 cos over the half sphere: pi I0."""
    beam = Beam.tabulated(EVERY_5_DEG, phi, np.tile(700.0 * LAMBERTIAN_TABLE, (len(phi), 1)))
    assert beam.table.flux == pytest.approx(700.0 * np.pi, rel=1e-4)
    assert over_the_sphere(beam) == pytest.approx(1.0, abs=5e-5)
    theta = np.linspace(0, np.pi / 2, 301)
    assert beam.intensity(theta, 1.234) == pytest.approx(np.cos(theta) / np.pi, abs=1e-4)
    assert beam.beam_angle_deg() == pytest.approx(120.0, abs=0.01)
    assert beam.flux_fraction(0, 45) == pytest.approx(0.5, abs=2e-4)


@settings(max_examples=40, deadline=None)
@given(tables())
def test_any_table_has_flux_1_no_overshoot_and_its_own_values(parts):
    theta, phi, values = parts
    beam = Beam.tabulated(theta, phi, values)
    assert beam.flux_fraction(0, 180) == pytest.approx(1.0, rel=1e-9)
    parts_sum = beam.flux_fraction(0, 37) + beam.flux_fraction(37, 90) + beam.flux_fraction(90, 180)
    assert parts_sum == pytest.approx(1.0, rel=1e-4)
    # Steps at the rim of a table cost the equal-step sum up to a row.
    assert over_the_sphere(beam, 1000) == pytest.approx(1.0, abs=0.02)
    for row, azimuth in enumerate(phi):
        got = np.asarray(beam.intensity(np.deg2rad(theta), np.deg2rad(azimuth))) * beam.table.flux
        assert got == pytest.approx(values[row], rel=1e-9, abs=1e-9 * values.max())
    rng = np.random.default_rng(7)
    anywhere = beam.intensity(np.arccos(rng.uniform(-1, 1, 500)), rng.uniform(-10, 10, 500))
    assert np.min(anywhere) >= 0
    assert np.max(anywhere) * beam.table.flux <= values.max() * (1 + 1e-9)


@pytest.mark.parametrize(
    ("phi", "mirrors"),
    [
        ([0, 30, 90], [lambda p: np.pi - p, lambda p: -p, lambda p: p + np.pi]),
        ([0, 30, 90, 180], [lambda p: -p]),
        ([90, 120, 180, 270], [lambda p: np.pi - p]),
        ([0], [lambda p: p + 1.0]),
        ([0, 50, 170, 290, 360], [lambda p: p + 2 * np.pi]),
    ],
)
def test_symmetry_of_the_azimuths(phi, mirrors):
    theta = np.array([0.0, 30.0, 60.0, 90.0])
    values = np.outer(np.linspace(1.0, 3.0, len(phi)), [1.0, 0.9, 0.5, 0.1])
    values[-1] = values[0] if phi[-1] == 360 else values[-1]
    values[:, 0] = 2.0
    beam = Beam.tabulated(theta, phi, values)
    at = np.linspace(0, 1.5, 20)[:, None], np.linspace(-3, 7, 30)
    for mirror in mirrors:
        assert beam.intensity(at[0], mirror(at[1])) == pytest.approx(beam.intensity(*at), rel=1e-9)
    if len(phi) > 1:
        assert np.ptp(beam.intensity(np.full(30, 1.0), at[1])) > 0.01


def test_turning_the_table_turns_the_beam():
    phi = np.arange(0.0, 361.0, 15.0)
    lobe = 2.0 + np.cos(np.deg2rad(phi)) + 0.3 * np.sin(2 * np.deg2rad(phi))
    rows = np.outer(lobe, np.sin(np.deg2rad(EVERY_5_DEG)) * LAMBERTIAN_TABLE) + LAMBERTIAN_TABLE
    beam = Beam.tabulated(EVERY_5_DEG, phi, rows)
    turned = Beam.tabulated(EVERY_5_DEG, phi, np.vstack([np.roll(rows[:-1], 5, axis=0), rows[-6]]))
    theta, azimuth = np.linspace(0, 1.57, 30)[:, None], np.linspace(0, 6.2, 50)
    assert turned.intensity(theta, azimuth + np.deg2rad(75)) == pytest.approx(beam.intensity(theta, azimuth), rel=1e-9)


def test_smooth_table_is_met_between_its_planes():
    """I = cos(theta)(1 + 0.3 sin^2(theta) cos(2 phi)) from a table each 5 deg by 15 deg."""

    def truth(theta, phi):
        return np.cos(theta) * (1 + 0.3 * np.sin(theta) ** 2 * np.cos(2 * phi))

    phi = np.arange(0.0, 91.0, 15.0)
    beam = Beam.tabulated(EVERY_5_DEG, phi, truth(np.deg2rad(EVERY_5_DEG), np.deg2rad(phi)[:, None]).clip(0))
    theta, azimuth = np.linspace(0, 1.57, 100)[:, None], np.linspace(0, 6.2, 90)
    assert beam.intensity(theta, azimuth) * np.pi == pytest.approx(truth(theta, azimuth), abs=3e-3)
    assert beam.table.flux == pytest.approx(np.pi, rel=1e-4)


def test_light_behind_and_a_batwing():
    beam = Beam.tabulated([0, 90, 180], 0, [1.0, 1.0, 1.0])
    assert beam.lower_half_fraction == pytest.approx(0.5, rel=1e-12)
    assert beam.intensity([0.0, 2.0, np.pi]) == pytest.approx(1 / (4 * np.pi), rel=1e-12)
    assert beam.beam_angle_deg() == 360.0
    batwing = Beam.tabulated([0, 30, 60, 75, 90], 0, [300.0, 500.0, 800.0, 400.0, 0.0])
    assert batwing.half_angle_deg() == pytest.approx(75.0, abs=0.01)
    lobe = Beam.tabulated([0, 30, 60, 90], [0, 90, 180], [[100, 90, 50, 0], [100, 60, 30, 0], [100, 20, 0, 0]])
    assert lobe.half_angle_deg(0) == pytest.approx(60, abs=0.01)
    assert lobe.half_angle_deg(180) < 30
    assert lobe.beam_angle_deg(0) == pytest.approx(lobe.half_angle_deg(0) + lobe.half_angle_deg(180))


# The Gauss rule.

GRID = np.stack([*np.meshgrid(np.linspace(-1, 1, 9), np.linspace(-0.8, 0.8, 7)), np.zeros((7, 9))], axis=-1)


@pytest.mark.parametrize("height", [0.002, 0.03, 0.1, 0.3, 1.0])
@pytest.mark.parametrize("tilt", [0.0, 35.0])
def test_gauss_rule_against_the_closed_form_of_a_lambertian_rectangle(height, tilt):
    """Exact forms of the even Lambertian rectangle: Howell B-3 summed over corners; Lambert's contour when tilted."""
    board = lc.LightSource(
        x_m=0.1, y_m=-0.2, z_m=height, width_m=0.3, length_m=0.2, photon_flux_umol_s=1, tilt_deg=tilt, rotation_deg=20
    )
    got = gauss_per_flux(Beam.lambertian(), (0.1, -0.2, height), board.axes(), SIDES, GRID)
    exact = ppfd_per_flux([board], GRID)[0]
    assert got.shape == (7, 9)
    # A sensor whose horizon cuts the board sees a kink, which costs some digits.
    assert got == pytest.approx(exact, rel=1e-6, abs=1e-6 * exact.max())


@pytest.mark.parametrize("height", [0.05, 0.2, 0.6])
@pytest.mark.parametrize("exponent", [0.7, 3.0, 25.0])
def test_gauss_rule_against_brute_force(height, exponent):
    """Inverse-square and cosine law integrated over the face by SciPy's dblquad."""
    place = np.array([0.12, 0.07, -height])

    def integrand(v, u):
        square = (place[0] - u) ** 2 + (place[1] - v) ** 2 + height**2
        cosine = height / np.sqrt(square)
        return (exponent + 1) / (2 * np.pi) * cosine ** (exponent + 1) / square

    integral, _ = dblquad(integrand, -0.15, 0.15, -0.1, 0.1, epsabs=1e-12, epsrel=1e-9)
    axes = lc.LightSource(x_m=0, y_m=0, z_m=0, width_m=0, length_m=0, photon_flux_umol_s=0).axes()
    got = gauss_per_flux(Beam.cosine(exponent), (0, 0, 0), axes, SIDES, place)
    assert float(got) == pytest.approx(integral / 0.06, rel=1e-7)


def test_line_and_point_sources_and_a_sensor_on_a_wall():
    axes = BOARD.axes()
    point = gauss_per_flux(Beam.cosine(2), CENTRE, axes, (0.0, 0.0), (0.1, -0.2, 0.0))
    assert float(point) == pytest.approx(3 / (2 * np.pi) / 0.25, rel=1e-12)

    def on_the_line(v):
        square = 0.25 + (0.3 - v) ** 2
        return 3 / (2 * np.pi) * (0.25 / square) ** 1.5 / square / 0.2

    line = gauss_per_flux(Beam.cosine(2), CENTRE, axes, (0.0, 0.2), (0.1, 0.1, 0.0))
    assert float(line) == pytest.approx(quad(on_the_line, -0.1, 0.1)[0], rel=1e-9)
    # Towards a wall at x = 1.1: the sensor's cosine is that of the horizontal part, 1 m over the distance.
    wall = gauss_per_flux(Beam.lambertian(), CENTRE, axes, (0.0, 0.0), (1.1, -0.2, 0.0), normal=(-1, 0, 0))
    assert float(wall) == pytest.approx(0.5 / np.pi / 1.25**2, rel=1e-12)


def test_azimuth_counts_from_the_width_axis_to_the_length_axis():
    phi = [0, 45, 90, 180, 270, 360]
    rows = np.outer([1.0, 1.0, 1.0, 0.2, 0.2, 1.0], [1.0, 0.8, 0.0])
    beam = Beam.tabulated([0, 45, 90], phi, rows)
    for turn in (0.0, 90.0):
        board = lc.LightSource(x_m=0, y_m=0, z_m=0.5, width_m=0, length_m=0, photon_flux_umol_s=1, rotation_deg=turn)
        places = [[0.5, 0, 0], [0, 0.5, 0], [-0.5, 0, 0], [0, -0.5, 0]]
        lit = gauss_per_flux(beam, (0, 0, 0.5), board.axes(), (0.0, 0.0), places)
        bright = np.roll([True, True, False, False], 1 if turn else 0)
        assert ((lit > 0.5 * lit.max()) == bright).all()


def test_light_backwards_reaches_points_behind():
    beam = Beam.tabulated([0, 90, 180], 0, [1.0, 1.0, 1.0])
    above = gauss_per_flux(beam, CENTRE, BOARD.axes(), (0.0, 0.0), (0.1, -0.2, 1.0), normal=(0, 0, -1))
    assert float(above) == pytest.approx(1 / (4 * np.pi) / 0.25, rel=1e-12)
    assert float(gauss_per_flux(Beam.cosine(0), CENTRE, BOARD.axes(), SIDES, (0.1, -0.2, 1.0), normal=(0, 0, -1))) == 0


@settings(max_examples=20, deadline=None)
@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(-180, 180), st.floats(0.02, 1.0))
def test_moving_and_turning_source_and_points_changes_nothing(dx, dy, turn, height):
    beam = Beam.tabulated([0, 30, 60, 90], [0, 90, 180], [[9, 8, 5, 0], [9, 6, 3, 0], [9, 4, 1, 0]])
    base = {"z_m": height, "width_m": 0.3, "length_m": 0.2, "photon_flux_umol_s": 1.0, "tilt_deg": 25.0}
    here = lc.LightSource(x_m=0, y_m=0, **base)
    there = lc.LightSource(x_m=dx, y_m=dy, rotation_deg=turn, **base)
    angle = np.deg2rad(turn)
    carried = GRID @ np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]]).T
    first = gauss_per_flux(beam, (0, 0, height), here.axes(), SIDES, GRID)
    second = gauss_per_flux(beam, (dx, dy, height), there.axes(), SIDES, carried + np.array([dx, dy, 0]))
    assert second == pytest.approx(first, rel=1e-4, abs=1e-5 * first.max())


def test_all_the_light_arrives_on_a_closed_box():
    """Conservation: what six walls around a source take up together is its whole flux."""
    beam = Beam.tabulated([0, 60, 120, 180], [0, 90], [[3, 2, 1, 0.5], [3, 1, 2, 0.5]])
    line = (np.arange(40) + 0.5) / 40 - 0.5
    first, second = (grid.ravel() for grid in np.meshgrid(line, line))
    total = 0.0
    for axis in range(3):
        for sign in (-0.5, 0.5):
            points = np.insert(np.column_stack([first, second]), axis, sign, axis=1)
            normal = np.zeros(3)
            normal[axis] = -np.sign(sign)
            total += gauss_per_flux(beam, (0, 0, 0), BOARD.axes(), (0.1, 0.1), points, normal=normal).sum() / 1600
    assert total == pytest.approx(1.0, rel=2e-3)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: Beam.cosine(-1), "exponent"),
        (lambda: Beam.cosine(1).intensity(-0.1), "theta_rad"),
        (lambda: Beam.cosine(1).intensity(np.nan), "theta_rad"),
        (lambda: Beam.cosine(1).flux_fraction(50, 40), "to_deg"),
        (lambda: Beam.tabulated([0], 0, [1]), "theta_deg"),
        (lambda: Beam.tabulated([0, 40, 30], 0, [1, 1, 1]), "theta_deg"),
        (lambda: Beam.tabulated([0, 190], 0, [1, 1]), "theta_deg"),
        (lambda: Beam.tabulated([0, 90], 0, [1, 1, 1]), "intensity"),
        (lambda: Beam.tabulated([0, 90], 0, [1, -1]), "intensity"),
        (lambda: Beam.tabulated([0, 90], 0, [0, 0]), "intensity"),
        (lambda: Beam.tabulated([0, 90], 0, [[0, 1], [1, 0]]), "intensity"),
        (lambda: Beam.tabulated([0, 90], [0, 45], [[1, 1], [1, 1]]), "phi_deg"),
        (lambda: Beam.tabulated([0, 90], [0, 90, 90], np.ones((3, 2))), "phi_deg"),
        (lambda: gauss_per_flux(Beam(), (0, 0, 0), np.eye(3), SIDES, [1.0, 2.0]), "points_m"),
        (lambda: gauss_per_flux(Beam(), (0, 0, 0), np.eye(3), (-0.1, 0.1), [0, 0, 1.0]), "sides_m"),
        (lambda: gauss_per_flux(Beam(), (0, 0, 0), np.eye(2), SIDES, [0, 0, 1.0]), "axes"),
    ],
)
def test_bad_arguments_are_named(call, name):
    with pytest.raises(ArgumentError, match=name):
        call()
