"""Outliers in light maps: found on simulated benches, seldom on clean ones, slips of the pen named, dips told apart."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ledcalc.bench import (
    QuantumSensor,
    dip_limits,
    judged_dip,
    likely_slips,
    map_from_block,
    measured_map,
    suspect_readings,
    without,
)
from ledcalc.errors import ArgumentError
from ledcalc.photons import LightSource, ppfd_map

sys.path.insert(0, str(Path(__file__).parent))
from light_benches import SENSOR, light_bench


def shares_found(cases, off, seed=11):
    """Return how often a reading ``off`` its true value is suspected, and how often a clean 6 x 6 map is."""
    random = np.random.default_rng(seed)
    found = alarms = 0
    for _ in range(cases):
        bench = light_bench(random)
        clean = bench.read(6, random)
        alarms += bool(suspect_readings(clean).readings)
        wrong = int(random.integers(36))
        factors = np.ones(36)
        factors[wrong] += off * random.choice([-1, 1])
        spoilt = bench.as_map(clean.x_m, clean.y_m, clean.ppfd * factors)
        found += wrong in [one.index for one in suspect_readings(spoilt).readings]
    return found / cases, alarms / cases


def test_a_quarter_off_is_found_and_clean_maps_are_left_alone():
    """36 readings with 2 % of normal noise; 300 benches."""
    found, alarms = shares_found(300, 0.25)
    assert found >= 0.9
    assert alarms < 0.1


@pytest.mark.slow
def test_a_quarter_off_is_found_on_two_thousand_benches():
    found, alarms = shares_found(2000, 0.25, seed=12)
    assert found >= 0.95
    assert alarms < 0.1


def test_fifteen_percent_off_is_found():
    found, _ = shares_found(150, 0.15, seed=13)
    assert found >= 0.95


def test_several_wrong_readings_are_found_together():
    """Two 40 % off and one a tenth of what it should be; wrong neighbours at the rim may hide each other."""
    random = np.random.default_rng(3)
    found = np.zeros(3)
    for _ in range(60):
        bench = light_bench(random)
        factors = np.ones(36)
        wrong = random.choice(36, 3, replace=False)
        factors[wrong] = [1.4, 0.6, 0.1]
        spoilt = bench.read(6, random, factors=factors)
        found += np.isin(wrong, [one.index for one in suspect_readings(spoilt).readings])
    assert (found / 60 >= [0.9, 0.9, 0.95]).all()


def test_85_among_850_is_a_digit_lost():
    block = "800 820 815 790\n810 85 845 805\n805 850 840 800\n790 815 810 785"
    (suspect,) = suspect_readings(map_from_block(block, area_m=(1.2, 1.2))).readings
    assert (suspect.place, suspect.verdict) == ("row 2, column 2", "outlier")
    assert suspect.slips[0].value == 850.0
    assert suspect.slips[0].slip == "a digit lost"
    assert "perhaps 850, a digit lost" in suspect.words
    assert suspect.deviation_fraction == pytest.approx(-0.9, abs=0.02)


@pytest.mark.parametrize(
    ("written", "meant", "slip"),
    [
        (85.0, 850.0, "a digit lost"),
        (8500.0, 850.0, "a digit too many"),
        (580.0, 850.0, "two digits swapped"),
        (8.5, 850.0, "two digits lost"),
        (8850.0, 850.0, "a digit written twice"),
    ],
)
def test_slips_of_the_pen(written, meant, slip):
    first = likely_slips(written, 800.0, 900.0)[0]
    assert (first.value, first.slip) == (meant, slip)


def test_no_slip_where_the_reading_can_be():
    assert likely_slips(850.0, 800.0, 900.0) == ()
    assert likely_slips(600.0, 800.0, 900.0) == ()


def test_a_corrected_reading_is_compared_as_it_was_written():
    """Readings are multiplied by 1.1; what was written down is 10 times too low."""
    sensor = QuantumSensor(noise_fraction=0.02, correction_factor=1.1)
    block = "800 820 815 790\n810 85 845 805\n805 850 840 800\n790 815 810 785"
    (suspect,) = suspect_readings(map_from_block(block, area_m=(1.2, 1.2), sensor=sensor)).readings
    assert suspect.slips[0].value == 850.0
    assert suspect.expected_umol_m2_s == pytest.approx(1.1 * 840, rel=0.05)


def test_few_readings_or_none_lit_are_not_judged():
    few = suspect_readings(map_from_block("800 820\n85 810", area_m=(1, 1)))
    assert few.readings == ()
    assert "too few readings to tell a wrong one: 4" in few.tested
    dark = suspect_readings(map_from_block("0 0 0\n0 0 0\n0 0 0", area_m=(1, 1)))
    assert dark.tested == "no light"
    line = suspect_readings(map_from_block([[800, 810, 820, 830, 820, 85, 810, 800, 790]], x_m=range(9), y_m=[0]))
    assert "lie on a line" in line.tested


def test_a_model_is_taken_out_first():
    """A reading in a corner, 20 % below the model that all others follow."""
    bench = light_bench(np.random.default_rng(5))
    x, y = bench.grid(5)
    light = bench.light(x, y)
    shown = light * np.where(np.arange(25) == 0, 0.8, 1.0)
    (suspect,) = suspect_readings(bench.as_map(x, y, shown), expected_ppfd=light).readings
    assert suspect.index == 0
    assert suspect.expected_umol_m2_s == pytest.approx(light[0], rel=0.03)


def test_bad_expectations_are_named():
    found = map_from_block("1 2 3\n4 5 6\n7 8 9", area_m=(1, 1))
    with pytest.raises(ArgumentError, match="expected_ppfd"):
        suspect_readings(found, expected_ppfd=[1.0, 2.0])
    with pytest.raises(ArgumentError, match="false_alarm_fraction"):
        suspect_readings(found, false_alarm_fraction=1.0)
    with pytest.raises(ArgumentError, match="index"):
        judged_dip(found, index=9)
    with pytest.raises(ArgumentError, match="at least one reading"):
        without(found, *range(9))


# A ring of eight boards with nothing in the middle: the centre dips.
RING = tuple(
    LightSource(
        x_m=0.6 + 0.45 * np.cos(angle),
        y_m=0.6 + 0.45 * np.sin(angle),
        z_m=0.3,
        width_m=0.1,
        length_m=0.1,
        photon_flux_umol_s=60.0,
    )
    for angle in np.arange(8) * np.pi / 4
)


def ring_map(height_m, *, middle=1.0):
    line = np.arange(7) * 0.2
    x, y = (axis.ravel() for axis in np.meshgrid(line, line))
    lifted = [replace(source, z_m=height_m) for source in RING]
    shown = np.asarray(ppfd_map(lifted, np.stack([x, y, np.zeros_like(x)], axis=-1)))
    shown[24] *= middle
    return measured_map(x, y, shown, sensor=SENSOR, height_m=height_m)


def test_a_real_centre_dip_is_real_by_another_height_the_model_or_the_field():
    low = ring_map(0.25)
    for verdict in (
        judged_dip(low, others=[ring_map(0.3)]),
        judged_dip(low, expected_ppfd=low.ppfd),
        judged_dip(low),
    ):
        assert verdict.verdict == "real"
        assert verdict.depth_fraction > 0.1


def test_a_slip_in_the_middle_is_an_outlier():
    """Boards 0.6 m up cannot make a reading 30 % below those 0.2 m about it; nor does another map have it."""
    high = ring_map(0.6, middle=0.7)
    assert judged_dip(high).verdict == "outlier"
    assert "can do" in judged_dip(high).words
    again = judged_dip(ring_map(0.6, middle=0.7), others=[ring_map(0.6, middle=0.7)])
    assert again.verdict == "real"
    assert "look for a shadow" in again.words


def test_a_reading_at_the_rim_cannot_be_told():
    assert judged_dip(ring_map(0.3), index=0).verdict == "cannot tell"


def test_no_boards_beat_the_limits_of_their_height():
    """Random boards at one height, no dip or peak beyond the single point source that does it most."""
    random = np.random.default_rng(8)
    offsets = np.array([[0.15, 0], [-0.15, 0], [0, 0.15], [0, -0.15]])
    for height in (0.2, 0.45):
        limits = dip_limits(*offsets.T, height)
        for _ in range(60):
            sources = [
                LightSource(
                    x_m=x, y_m=y, z_m=height, width_m=0.05, length_m=0.05, photon_flux_umol_s=random.uniform(10, 100)
                )
                for x, y in random.uniform(-0.8, 0.8, (int(random.integers(1, 6)), 2))
            ]
            points = np.array([[0, 0, 0], *([x, y, 0] for x, y in offsets)])
            light = np.asarray(ppfd_map(sources, points))
            ratio = light[0] / light[1:].mean()
            assert -limits.dip_fraction - 1e-3 <= ratio - 1 <= limits.peak_fraction + 1e-3
