"""The light field's symmetries, and grid statistics worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError
from ledcalc.photons import BoardFlux, ppfd_per_flux
from ledcalc.ppfd.cells import cell_areas

SOURCES = st.builds(
    lc.LightSource,
    x_m=st.floats(-1, 1),
    y_m=st.floats(-1, 1),
    z_m=st.floats(0.2, 1.5),
    width_m=st.floats(0.05, 0.5),
    length_m=st.floats(0.05, 0.5),
    photon_flux_umol_s=st.floats(0, 500),
    rotation_deg=st.floats(-180, 180),
    tilt_deg=st.sampled_from([0.0, 0.0, 15.0, -40.0]),
    cosine_exponent=st.sampled_from([1.0, 1.0, 2.5]),
)
POINTS = np.stack([*np.meshgrid(np.linspace(-1, 1, 4), np.linspace(-1, 1, 3)), np.zeros((3, 4))], axis=-1)


def moved(source, dx, dy, dz, turn_deg):
    turn = np.deg2rad(turn_deg)
    x = source.x_m * np.cos(turn) - source.y_m * np.sin(turn)
    y = source.x_m * np.sin(turn) + source.y_m * np.cos(turn)
    values = {name: getattr(source, name) for name in lc.LightSource.__dataclass_fields__}
    values |= {"x_m": x + dx, "y_m": y + dy, "z_m": source.z_m + dz, "rotation_deg": source.rotation_deg + turn_deg}
    return lc.LightSource(**values)


@settings(max_examples=50, deadline=None)
@given(st.lists(SOURCES, min_size=1, max_size=4), st.floats(-3, 3), st.floats(-3, 3), st.floats(-360, 360))
def test_moving_and_turning_everything_moves_the_map(sources, dx, dy, turn):
    field = lc.ppfd_map(sources, POINTS)
    angle = np.deg2rad(turn)
    rotation = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    carried = POINTS @ rotation.T + np.array([dx, dy, 0.3])
    assert lc.ppfd_map([moved(s, dx, dy, 0.3, turn) for s in sources], carried) == pytest.approx(
        field, rel=1e-7, abs=1e-7
    )


@settings(max_examples=30, deadline=None)
@given(st.lists(SOURCES, min_size=1, max_size=4))
def test_field_is_the_sum_of_its_sources_and_points_go_alone_or_together(sources):
    field = np.asarray(lc.ppfd_map(sources, POINTS))
    assert field == pytest.approx(sum(np.asarray(lc.ppfd_map(s, POINTS)) for s in sources), rel=1e-12, abs=1e-12)
    fluxes = np.array([s.photon_flux_umol_s for s in sources])
    assert np.tensordot(fluxes, ppfd_per_flux(sources, POINTS), axes=1) == pytest.approx(field, rel=1e-12, abs=1e-12)
    for row in range(3):
        for column in range(4):
            alone = lc.ppfd_map(sources, POINTS[row, column])
            assert isinstance(alone, float)
            assert alone == pytest.approx(field[row, column], rel=1e-6, abs=1e-6)


def test_a_long_list_of_points_is_worked_off_in_pieces():
    source = lc.LightSource(x_m=0, y_m=0, z_m=0.5, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0)
    points = np.tile([[0.1, 0.2, 0.0]], (45_000, 1))
    assert np.ptp(lc.ppfd_map(source, points)) == 0.0


def test_behind_and_above_a_board_is_dark():
    source = lc.LightSource(x_m=0, y_m=0, z_m=0.5, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0)
    assert lc.ppfd_map(source, [[0.0, 0.0, 0.5], [0.0, 0.0, 0.8]]).tolist() == [0.0, 0.0]


def test_a_tilted_board_turns_its_light_towards_its_own_positive_x():
    base = {
        "x_m": 0,
        "y_m": 0,
        "z_m": 0.5,
        "width_m": 0.2,
        "length_m": 0.2,
        "photon_flux_umol_s": 100.0,
        "tilt_deg": 30.0,
    }
    right, left = lc.ppfd_map(lc.LightSource(**base), [[0.4, 0, 0], [-0.4, 0, 0]])
    assert right > left
    ahead, behind = lc.ppfd_map(lc.LightSource(**base, rotation_deg=90.0), [[0, 0.4, 0], [0, -0.4, 0]])
    assert ahead == pytest.approx(right)
    assert behind == pytest.approx(left)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: lc.LightSource(x_m=0, y_m=0, z_m=1, width_m=-1, length_m=1, photon_flux_umol_s=1), "width_m"),
        (
            lambda: lc.LightSource(x_m=0, y_m=0, z_m=1, width_m=1, length_m=1, photon_flux_umol_s=1, tilt_deg=90),
            "tilt_deg",
        ),
        (lambda: lc.ppfd_map([], [0.0, 0.0]), "points_m"),
        (lambda: lc.ppfd_map(["lamp"], [0.0, 0.0, 0.0]), "sources"),
        (lambda: lc.daily_light_integral(-1, 12), "ppfd"),
        (lambda: lc.daily_light_integral(100, 25), "photoperiod_h"),
        (lambda: lc.photon_efficacy(100, 0), "power_w"),
        (lambda: lc.ppfd_grid_statistics([], [], []), "ppfd"),
        (lambda: lc.ppfd_grid_statistics([0], [0], [-1]), "ppfd"),
        (lambda: lc.ppfd_grid_statistics([0, 1], [0], [1, 2]), "ppfd"),
        (lambda: lc.ppfd_grid_statistics([0], [0], [float("nan")]), "ppfd"),
        (lambda: lc.ppfd_grid_statistics([0], [0], [1], area_m=(1, 0)), "area_m"),
    ],
)
def test_bad_arguments_are_named(call, name):
    with pytest.raises(ArgumentError, match=name):
        call()


def test_statistics_of_a_survey_worked_by_hand():
    """3 x 3 readings, 1 m apart, over 3 m x 3 m: mean 104, sum of squares 4400; even cells, so both means agree."""
    x, y = np.meshgrid([0, 1, 2], [0, 1, 2])
    ppfd = [[80, 100, 80], [100, 176, 100], [100, 100, 100]]
    got = lc.ppfd_grid_statistics(x, y, ppfd, area_m=(3, 3))
    assert got.mean == pytest.approx(104)
    assert (got.minimum, got.maximum) == (80, 176)
    assert got.min_over_mean == pytest.approx(80 / 104)
    assert got.min_over_max == pytest.approx(80 / 176)
    squares = 2 * 24**2 + 6 * 4**2 + 72**2
    assert got.coefficient_of_variation == pytest.approx(np.sqrt(squares / 8) / 104)
    assert got.area_weighted_mean == pytest.approx(104)
    assert got.area_weights == pytest.approx(np.full(9, 1 / 9))


def test_edge_readings_weigh_half_and_corners_a_quarter():
    """A grid that runs to the very edge of its own bounding rectangle: corners 1, edges 2, middle 4 parts of 16."""
    x, y = np.meshgrid([0, 1, 2], [0, 1, 2])
    got = lc.ppfd_grid_statistics(x, y, [[1, 2, 1], [2, 9, 2], [1, 2, 1]])
    assert got.area_weights == pytest.approx(np.array([1, 2, 1, 2, 4, 2, 1, 2, 1]) / 16)
    assert got.area_weighted_mean == pytest.approx((4 * 1 + 8 * 2 + 4 * 9) / 16)


def test_rings_by_the_larger_offset_from_the_centre():
    x = [0.0, 0.15, 0.15, -0.15, -0.3, 0.3, 0.45]
    y = [0.0, 0.15, 0.0, 0.10, 0.3, -0.1, 0.0]
    ppfd = [100, 90, 92, 94, 70, 80, 60]
    got = lc.ppfd_grid_statistics(x, y, ppfd, ring_sides_m=[0.3, 0.6, 1.2], ring_tolerance_m=0.05, centre_m=(0, 0))
    assert got.ring_counts.tolist() == [3, 2, 0]
    assert got.ring_means[:2] == pytest.approx([92, 75])
    assert np.isnan(got.ring_means[2])


def test_few_readings():
    one = lc.ppfd_grid_statistics([1.0], [2.0], [50.0])
    assert (one.mean, one.area_weighted_mean, one.min_over_mean) == (50.0, 50.0, 1.0)
    assert np.isnan(one.coefficient_of_variation)
    line = lc.ppfd_grid_statistics([0, 1, 5], [0, 0, 0], [10, 20, 30])
    assert line.area_weighted_mean == pytest.approx(20)
    dark = lc.ppfd_grid_statistics([0, 1], [0, 1], [0, 0])
    assert np.isnan(dark.min_over_mean)


# Places on a raster of a centimetre: nearer neighbours than that are one reading to anybody with a tape measure.
CENTIMETRES = st.tuples(st.integers(-50, 50), st.integers(-30, 30)).map(lambda place: (place[0] / 100, place[1] / 100))
PLACES = st.lists(CENTIMETRES, min_size=1, max_size=12, unique=True)


@settings(max_examples=60, deadline=None)
@given(PLACES)
def test_cells_fill_the_area_against_random_points(places):
    """An independent method: each cell's share counted by 20,000 random points, each given to its nearest reading."""
    x, y = np.array(places).T
    areas = cell_areas(x, y, np.array([1.0, 0.6]))
    assert areas.sum() == pytest.approx(0.6, rel=1e-9)
    rng = np.random.default_rng(3)
    random = rng.uniform([-0.5, -0.3], [0.5, 0.3], (20_000, 2))
    nearest = ((random[:, None, :] - np.array(places)[None, :, :]) ** 2).sum(axis=2).argmin(axis=1)
    counted = np.bincount(nearest, minlength=len(places)) / 20_000 * 0.6
    assert areas == pytest.approx(counted, abs=0.6 * 0.02)


@settings(max_examples=40, deadline=None)
@given(PLACES, st.randoms(use_true_random=False))
def test_statistics_do_not_mind_order_or_place(places, random):
    x, y = np.array(places).T
    ppfd = np.array([random.uniform(50, 500) for _ in places])
    order = np.array(random.sample(range(len(places)), len(places)))
    base = lc.ppfd_grid_statistics(x, y, ppfd, area_m=(1, 0.6), centre_m=(0, 0))
    other = lc.ppfd_grid_statistics(x[order] + 8, y[order] - 4, ppfd[order], area_m=(1, 0.6), centre_m=(8, -4))
    assert other.mean == pytest.approx(base.mean)
    assert other.area_weighted_mean == pytest.approx(base.area_weighted_mean, rel=1e-6)


def test_readings_at_one_place_share_its_weight():
    got = lc.ppfd_grid_statistics([0, 0, 1], [0, 0, 1], [10, 30, 100], area_m=(2, 2), centre_m=(0.5, 0.5))
    assert got.area_weights == pytest.approx([0.25, 0.25, 0.5])


def test_board_flux_meets_its_points_rises_and_cools():
    curve = BoardFlux.from_points([0.2, 0.5, 1.0], [12.0, 28.0, 52.0], flux_coefficient_fraction_per_k=-0.001)
    assert curve.flux([0.0, 0.2, 0.5, 1.0]) == pytest.approx([0, 12, 28, 52])
    assert (np.diff(curve.flux(np.linspace(0, 2, 200))) > 0).all()
    assert curve.flux(0.5, 75.0) == pytest.approx(28 * 0.95)
    with pytest.raises(ArgumentError, match="photon_flux_umol_s"):
        BoardFlux.from_points([0.2, 0.5], [12.0, 11.0])
