"""Readings of the driver's output, and light readings as the Surveys sheet says they were taken."""

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.calibrate import calibrate, predicted_against_measured
from ledcalc.fixture import SupplyReading, SurveyCondition

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import METERS, Truth, as_built, bench_of, points, read

TRUTH = Truth(offset_v=np.array([0.25, 0.18, 0.22, 0.29]), sink=1.1, flux=0.9, driver=0.98)
SHUNT = lc.Meter(tag="Shunt", quantity="current", accuracy_fraction=0.002, resolution=0.001)
DRIVER, CLAMP_ERROR = "driver's current against its dial", "error of Clamp (current)"
MEAN = "voltage of Bench bar 250, mean of its boards"


def logged(kinds=("current",), maps=None):
    return read(bench_of(4, in_room=False), TRUTH, np.random.default_rng(8), maps=maps or {}, kinds=kinds)


def with_output(fixture, *, meter=None, **columns):
    """Add the driver's true output, read twice, in these columns; with the shunt among the meters."""
    real = lc.evaluate(lc.with_values(as_built(fixture, TRUTH), {"site.air_temperature_c": 22.0})).operating
    true = {"current_a": round(real.current_a, 3), "voltage_v": round(real.voltage_v, 2)}
    rows = tuple(
        SupplyReading(elapsed_h=hour, meter=meter, **{name: true[name] * factor for name, factor in columns.items()})
        for hour in (3.0, 4.0)
    )
    return dataclasses.replace(fixture, supply_log=rows, meters=(*METERS, SHUNT))


def test_the_whole_current_read_with_a_second_meter_separates_driver_and_clamp():
    blind = calibrate(logged(), leave_out=False)
    entry = next(one for one in blind.unseparated if set(one.names) == {DRIVER, CLAMP_ERROR})
    assert entry.remedy == "the whole current read with a second meter would separate them"
    seen = calibrate(with_output(logged(), meter="Shunt", current_a=1.0), leave_out=False)
    assert not any({DRIVER, CLAMP_ERROR} <= set(one.names) for one in seen.unseparated)
    assert seen.estimate(DRIVER).value == pytest.approx(0.98, abs=2 * seen.estimate(DRIVER).standard_error)
    assert seen.estimate(DRIVER).standard_error < 0.2 * blind.estimate(DRIVER).standard_error
    assert "whole current" in {entry.kind for entry in seen.after.kinds}
    assert seen.after.place[-1] == "driver's output"


def test_the_whole_current_read_with_the_same_clamp_separates_nothing():
    blind = calibrate(logged(), leave_out=False).estimate(DRIVER)
    seen = calibrate(with_output(logged(), meter="Clamp", current_a=1.0), leave_out=False)
    assert [entry.name for entry in seen.estimates if entry.name.startswith("error of")] == [CLAMP_ERROR]
    assert seen.estimate(DRIVER).standard_error > 0.9 * blind.standard_error


def test_the_output_voltage_tells_the_batch():
    blind = calibrate(logged(), leave_out=False).estimate(MEAN)
    assert blind.told_fraction < 0.01
    seen = calibrate(with_output(logged(), voltage_v=1.0), leave_out=False)
    mean = seen.estimate(MEAN)
    assert mean.told_fraction > 0.9
    assert mean.value == pytest.approx(TRUTH.offset_v.mean(), abs=2 * mean.standard_error)


def test_output_alone_is_enough():
    alone = dataclasses.replace(with_output(logged(), meter="Shunt", current_a=1.0, voltage_v=1.0), current_log=())
    found = calibrate(alone)
    assert found.after.kind == ("whole current", "output voltage")
    assert any(note.startswith("2 readings for") for note in found.notes)
    compared = predicted_against_measured(alone)
    assert compared.place == ("driver's output",) * 2


def test_a_slip_in_the_supply_log_is_told_in_place_and_left_out():
    found = calibrate(with_output(logged(), meter="Shunt", current_a=10.0), leave_out=False)
    assert any(note.startswith("Supply log, row 1: whole current 21.") for note in found.notes)
    assert "whole current" not in found.after.kind


# Surveys


def mapped():
    fixture = bench_of(4, in_room=False)
    return logged(("current", "voltage", "temperature"), {0.28: points(fixture, 4, 3), 0.5: points(fixture, 2, 2)})


def surveyed(fixture, **conditions):
    return dataclasses.replace(fixture, surveys=(SurveyCondition(survey="map at 0.28", **conditions),))


def test_light_of_other_sources_and_the_sensors_factor_are_taken_out():
    plain = mapped()
    raw = tuple(
        dataclasses.replace(row, ppfd_umol_m2_s=row.ppfd_umol_m2_s / 1.08 + 20.0) if row.height_m == 0.28 else row
        for row in plain.light_readings
    )
    changed = surveyed(dataclasses.replace(plain, light_readings=raw), sensor_factor=1.08, other_light_umol_m2_s=20.0)
    there, here = (calibrate(one, leave_out=False) for one in (plain, changed))
    lit = np.array(there.after.kind) == "PPFD"
    assert here.after.measured[lit] == pytest.approx(there.after.measured[lit], rel=1e-9)
    name = "light of Bench bar 250"
    assert here.estimate(name).value == pytest.approx(there.estimate(name).value, abs=1e-3)
    # Left as read, the light would come out brighter by what else shone.
    assert calibrate(dataclasses.replace(changed, surveys=()), leave_out=False).estimate(name).value > (
        here.estimate(name).value + 0.01
    )


@pytest.mark.parametrize(("current_a", "is_used"), [(2.2, True), (2.1, True), (2.08, False), (1.2, False)])
def test_a_survey_at_another_current_is_left_out_with_what_to_do(current_a, is_used):
    """The dial stands at 2.2 A; 5 % off is taken as it."""
    taken = surveyed(mapped(), current_a=current_a)
    found = calibrate(taken, leave_out=False)
    assert [entry.survey for entry in found.after.maps] == ["map at 0.28", "map at 0.5"][0 if is_used else 1 :]
    told = [note for note in found.notes if note.startswith("Surveys, 'map at 0.28'")]
    if is_used:
        assert not told
        return
    (note,) = told
    assert f"taken at {current_a:.3g} A, where the driver as set holds 2.2 A: left out" in note
    copy = dataclasses.replace(taken, current_setting_a=current_a, current_log=())
    assert "map at 0.28" in [entry.survey for entry in calibrate(copy, leave_out=False).after.maps]


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        ({"warm_up_h": 0.2}, "read 0.2 h after switch-on"),
        ({"warm_up_h": 1.0}, ""),
        ({"air_temperature_c": 31.0}, "read in air of 31 degC"),
        ({"air_temperature_c": 24.0}, ""),
    ],
)
def test_surveys_not_warm_or_in_other_air_are_told(conditions, words):
    found = calibrate(surveyed(mapped(), **conditions), leave_out=False)
    told = [note for note in found.notes if note.startswith("Surveys")]
    assert len(told) == bool(words)
    assert all(words in note for note in told)
    assert len(found.after.maps) == 2
