"""Light against closed forms, independent integration, published dose examples and exact constants."""

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import dblquad

import ledcalc as lc
from ledcalc.photons import photons_per_joule, ppfd_for_dose, ppfd_per_flux
from ledcalc.tables import table


def source(**changes):
    base = {"x_m": 0.0, "y_m": 0.0, "z_m": 0.5, "width_m": 0.3, "length_m": 0.2, "photon_flux_umol_s": 100.0}
    return lc.LightSource(**(base | changes))


@pytest.mark.parametrize("offset", [0.0, 0.3, 1.0, 3.0])
def test_point_source_follows_inverse_square_and_cos4(offset):
    """A small Lambertian source at height h: E = flux / pi h^2 cos^4 (inverse square and both cosines)."""
    height = 0.7
    got = lc.ppfd_map(source(z_m=height, width_m=0.0, length_m=0.0), [offset, 0.0, 0.0])
    cosine = height / np.hypot(height, offset)
    assert got == pytest.approx(100.0 / (np.pi * height**2) * cosine**4, rel=1e-12)


@pytest.mark.parametrize("exponent", [0.5, 1.0, 2.0, 7.5, 40.0])
def test_cos_m_point_source(exponent):
    """Intensity I0 cos^m with I0 = flux (m + 1) / 2 pi, on a level plane: E = I0 cos^(m+3) / h^2."""
    height, offset = 0.6, 0.45
    got = lc.ppfd_map(source(z_m=height, width_m=0, length_m=0, cosine_exponent=exponent), [offset, 0.0, 0.0])
    cosine = height / np.hypot(height, offset)
    assert got == pytest.approx(100.0 * (exponent + 1) / (2 * np.pi) * cosine ** (exponent + 3) / height**2, rel=1e-9)


def test_coaxial_disk():
    """Under the middle of a Lambertian disk of radius r: E = M r^2/(r^2 + h^2); the disk built of 60,000 small "
    "squares."""
    radius, height, cells = 0.25, 0.2, 280
    side = 2 * radius / cells
    line = (np.arange(cells) + 0.5) * side - radius
    x, y = np.meshgrid(line, line)
    inside = np.hypot(x, y) <= radius
    points = np.column_stack([x[inside], y[inside], np.zeros(inside.sum())])
    # By reciprocity: the field of one small square at all these points is that of all squares at one point.
    factors = ppfd_per_flux([source(z_m=height, width_m=side, length_m=side)], points)[0]
    exitance = 100.0 / (np.pi * radius**2)
    got = exitance * factors.sum() * side**2
    assert got == pytest.approx(exitance * radius**2 / (radius**2 + height**2), rel=2e-4)


@pytest.mark.parametrize("place", [(0.0, 0.0, 0.0), (0.15, 0.1, 0.45), (0.4, -0.3, 0.2), (1.5, 0.2, 0.0)])
@pytest.mark.parametrize("tilt", [0.0, 25.0, -60.0])
def test_rectangle_against_numerical_integration(place, tilt):
    """Inverse-square and cosine law integrated over the face by SciPy's dblquad: exact near field, level and tilted."""
    board = source(tilt_deg=tilt, rotation_deg=30.0)
    across, along, facing = board.axes()
    centre = np.array([board.x_m, board.y_m, board.z_m])

    def integrand(v, u):
        ray = np.array(place) - (centre + u * across + v * along)
        square = ray @ ray
        leaving, arriving = max(ray @ facing, 0.0), max(-ray[2], 0.0)
        return leaving * arriving / (np.pi * square**2)

    integral, _ = dblquad(integrand, -0.15, 0.15, -0.1, 0.1, epsabs=1e-11, epsrel=1e-10)
    assert lc.ppfd_map(board, place) == pytest.approx(100.0 / 0.06 * integral, rel=1e-6, abs=1e-6)


def test_tilted_rectangle_cut_by_the_horizon():
    """A board that stands partly below the sensor's horizon sends light from its upper part only."""
    board = source(z_m=0.05, tilt_deg=80.0, width_m=0.4)
    across, along, facing = board.axes()
    centre = np.array([board.x_m, board.y_m, board.z_m])
    place = np.array([0.5, 0.05, 0.0])
    node, weight = np.polynomial.legendre.leggauss(400)
    total = 0.0
    for u, w in zip(0.2 * node, weight, strict=True):
        rays = place - (centre + u * across + 0.1 * node[:, None] * along)
        square = (rays**2).sum(axis=1)
        light = np.maximum(rays @ facing, 0) * np.maximum(-rays[:, 2], 0) / (np.pi * square**2)
        total += w * (weight @ light)
    assert lc.ppfd_map(board, place) == pytest.approx(100.0 / 0.08 * total * 0.02, rel=1e-4)


def test_parallel_rectangle_of_a_handbook():
    """Element under the corner of a parallel rectangle, X = a/h = 1, Y = b/h = 1: F = 0.1385 (Howell B-3, "
    "closed form)."""
    expected = (2 / np.sqrt(2)) * np.arctan(1 / np.sqrt(2)) / (2 * np.pi)
    board = source(z_m=0.5, x_m=0.25, y_m=0.25, width_m=0.5, length_m=0.5)
    assert lc.ppfd_map(board, [0.0, 0.0, 0.0]) == pytest.approx(100.0 / 0.25 * expected, rel=1e-12)


@pytest.mark.parametrize("exponent", [1.0, 3.0])
def test_flux_on_a_large_plane_is_the_flux_of_the_board(exponent):
    """Conservation: integrated over a plane of 40 heights the field gives back all but what passes beyond its edge."""
    board = source(z_m=0.5, cosine_exponent=exponent)
    node, weight = np.polynomial.legendre.leggauss(600)
    # Substitution x = sinh(t)/4 gathers nodes under the board.
    reach = np.arcsinh(4 * 10.0)
    x, jacobian = np.sinh(reach * node) / 4, reach * np.cosh(reach * node) / 4 * weight
    grid = np.stack([*np.meshgrid(x, x), np.zeros((600, 600))], axis=-1)
    got = jacobian @ np.asarray(lc.ppfd_map(board, grid)) @ jacobian
    # A square of half side b holds of a Lambertian point's light all but about h^2/b^2 of 4/pi ... : below 0.4 % here.
    assert 0.995 * 100.0 < got < 100.0


def test_narrow_beam_of_a_near_board_against_fine_integration():
    """cos^4 board of 0.3 m by 0.2 m seen from 0.1 m: the split Gauss rule against 400 x 400 nodes."""
    board = source(z_m=0.1, cosine_exponent=4.0)
    node, weight = np.polynomial.legendre.leggauss(400)
    x, y = np.meshgrid(0.15 * node, 0.1 * node, indexing="ij")
    square = (x - 0.05) ** 2 + (y - 0.02) ** 2 + 0.01
    light = 5 / (2 * np.pi) * (0.1 / np.sqrt(square)) ** 5 / square
    expected = 100.0 / 0.06 * (0.15 * weight) @ light @ (0.1 * weight)
    assert lc.ppfd_map(board, [0.05, 0.02, 0.0]) == pytest.approx(expected, rel=1e-6)


# A quantum-sensor maker's DLI table; half the last printed digit.
@pytest.mark.parametrize(
    ("ppfd", "hours", "printed", "tolerance"),
    [(38.1, 12, 1.6, 0.05), (200, 16, 11.52, 0.005), (1000, 16, 57.6, 0.05), (100, 24, 8.64, 0.005)],
)
def test_published_dli(ppfd, hours, printed, tolerance):
    assert lc.daily_light_integral(ppfd, hours) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(("ppfd", "printed"), [(10, 0.567), (100, 5.67)])
def test_dli_misprints_are_the_prints(ppfd, printed):
    """The same table prints 0.567 and 5.67 for 16 h: its own 1000 umol row (57.6) gives 0.576 and 5.76."""
    assert lc.daily_light_integral(ppfd, 16) == pytest.approx(57.6 * ppfd / 1000, rel=1e-12)
    assert abs(lc.daily_light_integral(ppfd, 16) - printed) > 0.014 * printed


def test_lettuce_trial_dose():
    """Pennisi et al. 2019, Sci Rep 9:14127: 215 umol m-2 s-1 for 16 h is 12.38 mol m-2 d-1."""
    assert lc.daily_light_integral(215, 16) == pytest.approx(12.38, abs=0.005)
    assert ppfd_for_dose(12.384, 16) == pytest.approx(215, rel=1e-12)


def test_photon_energy_against_codata():
    """CODATA constants as SciPy carries them."""
    for wavelength in (400.0, 450.0, 555.0, 660.0, 700.0):
        expected = wavelength * 1e-9 / (constants.h * constants.c * constants.N_A) * 1e6
        assert photons_per_joule(wavelength) == pytest.approx(expected, rel=1e-12)
    assert photons_per_joule(700.0) == pytest.approx(5.8515, abs=5e-5)


def test_crop_targets_are_in_order_and_sourced():
    for row in table("crop_light_targets"):
        assert 0 < float(row["low"]) <= float(row["high"])
        assert row["confidence"] in {"high", "medium", "low"}


def test_example_target_is_the_published_one(bench):
    row = next(row for row in table("crop_light_targets") if row["crop"] == "seedlings before transplant")
    assert bench.site.target_dli_low_mol_m2_d == float(row["low"])
    assert bench.site.target_dli_high_mol_m2_d == float(row["high"])
