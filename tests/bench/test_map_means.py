"""Means of simulated maps of known truth: intervals that hold it, and which mean comes nearest; lopsided maps."""

import sys
from pathlib import Path

import numpy as np
import pytest

from ledcalc.bench import (
    Estimate,
    QuantumSensor,
    UncertaintyPart,
    canopy_figures,
    map_from_block,
    map_means,
    map_shape,
    ring_means,
)
from ledcalc.errors import ArgumentError
from ledcalc.photons import canopy_light

sys.path.insert(0, str(Path(__file__).parent))
from light_benches import light_bench


def simulated(cases, count, *, calibration=0.0, noise=0.02, seed=5):
    """Return (fitted, plain) errors over the true mean, and how often their 95 % intervals hold it."""
    random = np.random.default_rng(seed)
    sensor = QuantumSensor(noise_fraction=noise, calibration_fraction=calibration)
    errors, held = [], []
    for _ in range(cases):
        bench = light_bench(random)
        off = calibration * random.uniform(-1, 1)
        means, truth = (
            map_means(bench.read(count, random, noise=noise, calibration=off, sensor=sensor)),
            bench.mean(),
        )
        both = (means.fitted, means.plain)
        errors.append([mean.value / truth - 1 for mean in both])
        held.append([abs(mean.value - truth) <= mean.half_width() for mean in both])
    return np.array(errors), np.mean(held, axis=0)


@pytest.mark.parametrize(
    ("count", "calibration", "noise"), [(3, 0.0, 0.02), (4, 0.0, 0.02), (6, 0.0, 0.02), (6, 0.05, 0.01)]
)
def test_intervals_hold_the_truth(count, calibration, noise):
    """Nominal 95 %; between readings the field is judged with care, so that more is allowed than less."""
    _, held = simulated(150, count, calibration=calibration, noise=noise)
    assert (held >= 0.92).all()


@pytest.mark.slow
@pytest.mark.parametrize("calibration", [0.0, 0.05])
def test_intervals_hold_the_truth_on_two_thousand_benches(calibration):
    _, held = simulated(2000, 6, calibration=calibration, noise=0.02, seed=6)
    assert (held >= 0.93).all()
    # Calibration limits outweigh the rest, and are rectangular: neither too narrow nor too wide.
    assert calibration == 0.0 or (held <= 0.975).all()


def test_the_fitted_mean_is_the_nearest():
    """Readings in the middle of 3 x 3 even cells, mostly noise of placing them: fit against plain mean."""
    errors, _ = simulated(150, 3, noise=0.005)
    fitted, plain = np.sqrt((errors**2).mean(axis=0))
    assert fitted < plain


def test_a_plate_comes_nearer_than_a_quadratic():
    random = np.random.default_rng(9)
    errors = []
    for _ in range(80):
        bench = light_bench(random)
        read, truth = bench.read(5, random, noise=0.01), bench.mean()
        errors.append([map_means(read, kind=kind).fitted.value / truth - 1 for kind in ("thin plate", "quadratic")])
    plate, quadratic = np.sqrt((np.array(errors) ** 2).mean(axis=0))
    assert plate < quadratic


def test_a_sensor_noisier_than_stated_is_noticed():
    random = np.random.default_rng(4)
    noisy = [map_means(light_bench(random).read(8, random, noise=0.1)).noise_factor for _ in range(20)]
    usual = [map_means(light_bench(random).read(8, random)).noise_factor for _ in range(20)]
    assert np.median(noisy) > 2.0
    assert np.median(usual) == 1.0


def test_too_few_readings_are_fitted_simpler_and_said():
    means = map_means(map_from_block("700 800\n750 850", area_m=(1, 1)), kind="thin plate")
    assert means.fit.endswith("fitted: constant")
    assert "too few places for a thin plate: 4 of 6" in means.fit
    with pytest.raises(ArgumentError, match="kind"):
        map_means(map_from_block("700 800\n750 850", area_m=(1, 1)), kind="cubic")


def test_without_a_sensor_the_basis_says_what_is_missing():
    bare = map_from_block("700 800\n750 850", area_m=(1, 1))
    assert "not counted" in map_means(bare).basis
    sensor = QuantumSensor(calibration_fraction=0.05, spectral_fraction=0.02)
    stated = map_from_block("700 800\n750 850", area_m=(1, 1), sensor=sensor)
    assert "calibration, spectrum" in map_means(stated).basis


def test_calibration_cancels_in_ratios():
    sensor = QuantumSensor(noise_fraction=0.01, calibration_fraction=0.1)
    survey = map_from_block("700 780 710\n790 850 775\n705 785 695", area_m=(0.9, 0.9), sensor=sensor)
    rings = ring_means(survey, [0.6])
    assert rings.means[0].part("calibration") > 20
    assert rings.over_mean[0].part("calibration") < 0.001
    assert map_means(survey).min_over_mean.part("calibration") < 1e-9


def test_a_level_map_is_called_level_and_a_tilted_one_is_not():
    """Equal boards in rows, 6 x 6 readings with 2 % of noise; then 10 % more from left to right."""
    random = np.random.default_rng(7)
    words = tilted = 0
    for _ in range(60):
        bench = light_bench(random, flux_spread=0.0)
        level = bench.read(6, random)
        words += any("edges" not in word for word in map_shape(level).words)
        slope = 1 + 0.1 * (level.x_m / bench.width_m - 0.5)
        shape = map_shape(bench.as_map(level.x_m, level.y_m, level.ppfd * slope))
        tilted += any("rises to the right" in word for word in shape.words)
    assert words <= 6
    assert tilted >= 54


def field(expression, area=(1.0, 1.0), noise=0.002):
    line = (np.arange(7) - 3) / 3
    u, v = np.meshgrid(line, line)
    sensor = QuantumSensor(noise_fraction=noise)
    return map_from_block(800.0 * expression(u, v), x_m=line * area[0] / 2, y_m=line * area[1] / 2, sensor=sensor)


def test_shapes_worked_by_hand():
    """Planes and saddles about a mean of 1: rise 2 a over the area, quarters 1 +- a / 2, corners 4 c / 2 apart."""
    rising = map_shape(field(lambda u, v: 1 + 0.04 * u - 0.02 * v))
    assert (rising.tilt_x.value, rising.tilt_y.value) == pytest.approx((0.08, -0.04), abs=5e-4)
    assert [quarter.value for quarter in rising.quarters] == pytest.approx([0.99, 1.03, 0.97, 1.01], abs=5e-4)
    assert rising.four_fold.value == pytest.approx(0.06, abs=5e-4)
    assert [word[:19] for word in rising.words] == ["rises to the right ", "rises to the near s"]
    twisted = map_shape(field(lambda u, v: 1 + 0.05 * u * v))
    assert twisted.diagonals.value == pytest.approx(0.1, abs=5e-3)
    assert twisted.words[0].startswith("is stronger near left and far right than")


def test_sides_count_on_squares_only():
    def saddle(u, v):
        return 1 + 0.05 * (u * u - v * v)

    assert map_shape(field(saddle)).sides.value == pytest.approx(0.1, abs=3e-3)
    assert "is stronger at the left and right edges" in map_shape(field(saddle)).words[0]
    assert map_shape(field(saddle, area=(1.6, 0.8))).words == ()


def exact(value):
    return Estimate(value=value, parts=())


def test_canopy_figures_by_hand():
    """500 +- 25 over 1.2 x 1.0 m: 600 umol/s; 5 % and the fixture's 3 % make 5.83 % of their ratio."""
    mean = Estimate(value=500.0, parts=(UncertaintyPart(name="all", standard_uncertainty=25.0),))
    made = Estimate(value=750.0, parts=(UncertaintyPart(name="board", standard_uncertainty=22.5),))
    found = canopy_figures(mean, (1.2, 1.0), fixture_flux=made, power=exact(300.0), photoperiod_h=16)
    assert found.canopy_flux.value == pytest.approx(600.0)
    assert found.canopy_flux.standard_uncertainty == pytest.approx(30.0)
    assert found.dose.value == pytest.approx(500 * 16 * 0.0036)
    assert found.fixture_share.value == pytest.approx(0.8)
    assert found.fixture_share.standard_uncertainty == pytest.approx(0.8 * np.hypot(0.05, 0.03))
    assert found.canopy_efficacy.value == pytest.approx(2.0)
    assert found.verdict == "less than the fixture makes"


@pytest.mark.parametrize(
    ("made", "verdict"),
    [
        (500.0, "more than the fixture makes"),
        (590.0, "about all that the fixture makes"),
        (620.0, "about all that the fixture makes"),
        (700.0, "less than the fixture makes"),
        (0.0, "not known"),
    ],
)
def test_more_light_than_the_fixture_makes(made, verdict):
    mean = Estimate(value=500.0, parts=(UncertaintyPart(name="all", standard_uncertainty=20.0),))
    found = canopy_figures(mean, (1.2, 1.0), fixture_flux=exact(made), power=exact(300.0), photoperiod_h=12)
    assert found.verdict == verdict


def test_measured_flux_meets_what_the_boards_send_there():
    """Canopy flux from 8 x 8 readings against Gauss quadrature of the same boards' field."""
    random = np.random.default_rng(2)
    for _ in range(10):
        bench = light_bench(random)
        mean = map_means(bench.read(8, random, noise=0.005)).fitted
        area = (bench.width_m, bench.depth_m)
        found = canopy_figures(mean, area, fixture_flux=exact(1.0), power=exact(1.0), photoperiod_h=12).canopy_flux
        truth = canopy_light(bench.sources, (0, area[0]), (0, area[1]), 0.0).canopy_flux_umol_s
        assert found.value == pytest.approx(truth, rel=0.01)
