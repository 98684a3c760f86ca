"""What readings cannot tell apart is recognised, named, and told apart by the readings that the remedy asks for."""

import dataclasses
import sys
from pathlib import Path

import numpy as np

from ledcalc.calibrate import calibrate
from ledcalc.calibrate.unseparated import _varimax

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import CLAMP, METERS, SENSOR, Truth, bench_of, points, read

TRUTH = Truth(offset_v=np.array([0.02, -0.03, 0.01, 0.0]), flux=0.95, wall=0.6)
# A sensor that repeats no error, so that light and walls are all there is to separate.
EVEN_SENSOR = dataclasses.replace(SENSOR, accuracy_fraction=0.0, accuracy_digits_count=3)
WITHOUT_VOLTS = (CLAMP, SENSOR)


def found_in(maps, *, meters=METERS, kinds=("current", "voltage", "temperature"), seed=1):
    fixture = bench_of(4, meters=meters)
    at = {
        height: [(0.6, 0.3), (0.5, 0.3), (0.7, 0.3)] if how == "middle" else points(fixture, *how)
        for height, how in maps
    }
    return calibrate(read(fixture, TRUTH, np.random.default_rng(seed), maps=at, kinds=kinds), leave_out=False)


def combination(found, *words):
    """Return the combination that names just these words, None where there is none."""
    for entry in found.unseparated:
        if len(entry.names) == len(words) and all(any(word in name for name in entry.names) for word in words):
            return entry
    return None


def test_light_and_walls_at_one_height_in_the_middle_are_not_separated():
    meters = (*METERS[:3], EVEN_SENSOR)
    found = found_in([(0.28, "middle")], meters=meters)
    entry = next(one for one in found.unseparated if "wall reflectance" in one.names)
    # With less light the boards are warmer, so that their sinks' resistance may come third.
    assert set(entry.names[:2]) == {"light of Bench bar 250", "wall reflectance"}
    assert entry.told_fraction < 0.01
    assert "the readings know only what these do together" in entry.text
    assert "wall reflectance up, light of Bench bar 250 down" in entry.text
    assert "a map at a second height, or readings near a wall, would separate them" in entry.remedy
    # Each is as unsure as their trade allows, though both together are told well.
    place = {one.name: n for n, one in enumerate(found.estimates)}
    together = found.correlation[place["light of Bench bar 250"], place["wall reflectance"]]
    assert together < -0.6
    separated = found_in([(0.28, (6, 4)), (0.8, (6, 4))], meters=meters)
    assert not any("wall reflectance" in one.names for one in separated.unseparated)
    assert (
        separated.estimate("wall reflectance").standard_error < 0.5 * found.estimate("wall reflectance").standard_error
    )


def test_light_and_sensor_are_known_together_only():
    found = found_in([(0.28, (6, 4)), (0.8, (6, 4))])
    entry = combination(found, "error of Sensor", "light of Bench bar 250")
    assert entry is not None
    assert "a second light sensor" in entry.remedy
    first = found.unseparated[0]
    assert first.told_fraction == min(one.told_fraction for one in found.unseparated)


def test_without_a_voltage_reading_the_batch_is_not_told_and_one_reading_tells_it():
    blind = found_in([], meters=WITHOUT_VOLTS, kinds=("current",))
    mean = blind.estimate("voltage of Bench bar 250, mean of its boards")
    assert mean.told_fraction < 0.01
    own = blind.estimate("voltage of B2 against that mean")
    assert own.told_fraction > 0.8
    entry = combination(blind, "voltages of the boards as a whole")
    assert entry is not None
    assert "next to nothing" in entry.text
    assert entry.remedy == "the voltage at one of the boards would tell it"
    seen = found_in([], meters=(CLAMP, METERS[1], SENSOR), kinds=("current", "voltage"))
    one_only = [
        dataclasses.replace(row, voltage_v=row.voltage_v if row.board == "B1" else None)
        for row in read(bench_of(4), TRUTH, np.random.default_rng(2), maps={}, kinds=("current", "voltage")).current_log
    ]
    by_one = calibrate(dataclasses.replace(bench_of(4), current_log=tuple(one_only)), leave_out=False)
    for told in (seen, by_one):
        mean = told.estimate("voltage of Bench bar 250, mean of its boards")
        assert mean.told_fraction > 0.95
        assert combination(told, "voltages of the boards as a whole") is None


def test_a_board_that_was_not_read_is_named():
    whole = read(bench_of(4), TRUTH, np.random.default_rng(2), maps={}, kinds=("current", "voltage"))
    kept = tuple(row for row in whole.current_log if row.board != "B3")
    found = calibrate(dataclasses.replace(whole, current_log=kept), leave_out=False)
    entry = next(one for one in found.unseparated if any("B3" in name for name in one.names))
    assert not any("B1" in name for name in entry.names)
    assert found.estimate("voltage of B1 against that mean").told_fraction > 0.5


def test_driver_and_clamp_are_separated_by_nothing_but_a_second_meter():
    found = found_in([], meters=WITHOUT_VOLTS, kinds=("current",))
    entry = combination(found, "driver's current", "error of Clamp")
    assert entry is not None
    assert entry.remedy == "the whole current read with a second meter would separate them"


def test_readings_fewer_than_unknowns_are_said():
    whole = read(bench_of(4), TRUTH, np.random.default_rng(2), maps={}, kinds=("current",))
    found = calibrate(dataclasses.replace(whole, current_log=whole.current_log[:3]), leave_out=False)
    assert any(note.startswith("3 readings for 6 unknowns") for note in found.notes)
    # What nothing was read of stays as it was known before.
    untold = found.estimate("voltage of Bench bar 250, mean of its boards")
    assert untold.value == 0 or abs(untold.value) < 0.05 * untold.prior_error
    enough = calibrate(read(bench_of(4), TRUTH, np.random.default_rng(2), maps={}), leave_out=False)
    assert not any("unknowns" in note for note in enough.notes)


def test_varimax_finds_the_sparse_vectors_of_a_mixed_plane():
    sparse = np.zeros((6, 2))
    sparse[:3, 0], sparse[3:, 1] = 3**-0.5, 3**-0.5
    turn = np.array([[0.8, -0.6], [0.6, 0.8]])
    found = np.abs(_varimax(sparse @ turn))
    assert np.sort(found, axis=0)[:3].max() < 1e-6
