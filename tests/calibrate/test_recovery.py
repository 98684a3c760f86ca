"""Benches of known truth, their meters' errors drawn as stated: what is found lies within its stated error of it."""

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

from ledcalc.calibrate import calibrate

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import METERS, bench_of, drawn, points, read

# What is found, in the order of a truth's figures, without the meters' errors.
KINDS = ("mean voltage", "voltage", "sink", "driver", "flux", "wall")


def normal_scores(seeds, *, in_room):
    """Return how many stated errors each value found is off, by kind, and chi-square over its degrees."""
    fixture = bench_of(4, in_room=in_room)
    maps = {0.28: points(fixture, 4, 3), 0.5: points(fixture, 4, 2)}
    scores = {kind: [] for kind in KINDS}
    ratios = []
    for seed in seeds:
        rng = np.random.default_rng(seed)
        truth = drawn(fixture, rng)
        found = calibrate(read(fixture, truth, rng, maps=maps), leave_out=False)
        mean = truth.offset_v.mean()
        true = [mean, *(truth.offset_v - mean), truth.sink, truth.driver, truth.flux, truth.wall]
        kinds = ["mean voltage", *["voltage"] * 4, "sink", "driver", "flux", *(["wall"] if in_room else [])]
        for kind, entry, value in zip(kinds, found.estimates, true, strict=False):
            scores[kind].append((entry.value - value) / entry.standard_error)
        ratios.append(found.after.chi_square / found.after.degrees_count)
    return {kind: np.array(own) for kind, own in scores.items() if own}, np.array(ratios)


def assert_as_stated(scores, ratios, *, least):
    voltages = np.concatenate([scores["mean voltage"], scores["voltage"]])
    assert (np.abs(voltages) < 2).mean() >= 0.95
    assert (np.abs(scores["voltage"]) < 2).mean() >= least
    # Stated errors are no wider than they need be: two in three lie within one of them.
    assert 0.60 < (np.abs(scores["voltage"]) < 1).mean() < 0.76
    for kind, own in scores.items():
        assert (np.abs(own) < 2).mean() >= 0.92, kind
        assert abs(own.mean()) < 4.0 / np.sqrt(own.size), kind
    assert ratios.mean() == pytest.approx(1.0, abs=0.1)


def test_offsets_lie_within_twice_their_stated_error_in_200_benches():
    scores, ratios = normal_scores(range(200), in_room=False)
    assert_as_stated(scores, ratios, least=0.95)


def test_walls_are_found_within_their_stated_error():
    scores, ratios = normal_scores(range(1000, 1030), in_room=True)
    assert (np.abs(scores["wall"]) < 2).mean() >= 0.9
    assert (np.abs(scores["voltage"]) < 2).mean() >= 0.9
    assert ratios.mean() == pytest.approx(1.0, abs=0.2)


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(4))
def test_offsets_lie_within_twice_their_stated_error_in_2000_benches(chunk):
    scores, ratios = normal_scores(range(5000 + 500 * chunk, 5500 + 500 * chunk), in_room=chunk % 2 == 0)
    assert_as_stated(scores, ratios, least=0.945)


def test_meters_without_error_give_back_the_truth():
    """Readings without noise: the priors pull by next to nothing, and the truth comes out."""
    fixture = bench_of(4)
    maps = {0.28: points(fixture, 4, 3), 0.5: points(fixture, 4, 2), 0.9: points(fixture, 2, 2)}
    rng = np.random.default_rng(3)
    truth = drawn(fixture, rng)
    ideal = {"accuracy_fraction": 0.0, "accuracy_digits_count": 0, "resolution": 1e-5}
    fixture = dataclasses.replace(fixture, meters=tuple(dataclasses.replace(one, **ideal) for one in METERS))
    found = calibrate(read(fixture, truth, None, maps=maps), leave_out=False)
    assert found.estimate("resistance of sink Channel 300").value == pytest.approx(truth.sink, rel=1e-5)
    assert found.estimate("driver's current against its dial").value == pytest.approx(truth.driver, rel=1e-5)
    assert found.estimate("light of Bench bar 250").value == pytest.approx(truth.flux, rel=1e-4)
    assert found.estimate("wall reflectance").value == pytest.approx(truth.wall, abs=5e-4)
    offsets = [place.offset_v for place in found.fixture.positions]
    assert offsets == pytest.approx(truth.offset_v.tolist(), abs=2e-4)


def test_readings_left_out_are_predicted_closer_after_than_before():
    """Over many benches nearly always, kind by kind; and as well as stated."""
    fixture = bench_of(4, in_room=False)
    maps = {0.28: points(fixture, 4, 3), 0.5: points(fixture, 4, 2)}
    gained, agreed = [], []
    for seed in range(30):
        rng = np.random.default_rng(70 + seed)
        found = calibrate(read(fixture, drawn(fixture, rng), rng, maps=maps))
        gained += [entry.rms_after < entry.rms_before for entry in found.left_out]
        agreed.append("within the meters' accuracy" in found.left_out_agreement)
    assert np.mean(gained) > 0.9
    # Parts share what their meters repeat, so that chi-square scatters a little more than in theory.
    assert np.mean(agreed) >= 0.85
