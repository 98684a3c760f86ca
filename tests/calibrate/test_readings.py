"""Which readings are used and how they weigh: settled rows, meters, slips of the pen, columns that never change."""

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.calibrate import calibrate, predicted_against_measured
from ledcalc.calibrate.board_state import boards_at
from ledcalc.calibrate.instruments import instruments_of
from ledcalc.calibrate.settled_rows import settled_from
from ledcalc.calibrate.taken import taken_of
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.parts import boards_on, driver_model

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import CLAMP, METERS, SENSOR, VOLTS, Truth, bench_of, points, read

TRUTH = Truth(offset_v=np.array([0.02, -0.03, 0.01, 0.0]))
TAGS = ["B1", "B2", "B3", "B4"]


def taken(**changes):
    fixture = bench_of(4)
    maps = changes.pop("maps", {0.28: points(fixture, 4, 3)})
    return read(fixture, TRUTH, np.random.default_rng(4), maps=maps, **changes)


def rows_of(fixture):
    """Return what of the current log is used."""
    placed = boards_on(fixture)
    return taken_of(fixture, TAGS, 0.9, [], boards_at(placed, settle(fixture, placed, driver_model(fixture))))


# Settled rows


def test_a_warm_up_counts_from_where_the_meter_sees_no_change():
    hours = np.arange(0.0, 3.0, 0.1)
    rise = 40.0 * (1.0 - np.exp(-hours / 0.3))
    first = settled_from([(rise, np.full(hours.size, 0.2))])
    # 3 sqrt(2) x 0.2 K below the end: 40 exp(-t / 0.3) = 0.85 K at 1.16 h.
    assert hours[first] == pytest.approx(1.2, abs=0.051)


def test_noise_alone_is_settled_from_the_start_and_a_drift_to_the_end_is_not():
    rng = np.random.default_rng(2)
    sigma = np.full(400, 0.01)
    starts = [settled_from([(1.0 + sigma * rng.normal(size=400), sigma)]) for _ in range(50)]
    assert np.mean(np.array(starts) == 0) > 0.9
    drift = np.linspace(1.0, 2.0, 400) + sigma * rng.normal(size=400)
    assert settled_from([(drift, sigma)]) > 330


def test_a_lone_outlier_in_a_long_log_does_not_cut_it():
    values = np.ones(100)
    values[60] = 1.5
    assert settled_from([(values, np.full(100, 0.01))]) == 0


def test_any_quantity_that_moves_keeps_a_row_out():
    steady, warming = np.ones(6), np.array([20.0, 25.0, 28.0, 29.9, 30.0, 30.0])
    assert settled_from([(steady, np.full(6, 0.01)), (warming, np.full(6, 0.1))]) == 3
    assert settled_from([(steady, np.full(6, 0.01)), (np.full(6, np.nan), np.full(6, np.nan))]) == 0


def test_a_log_in_any_order_is_read_in_order_of_time_and_one_row_boards_are_told():
    fixture = taken(hours=(0.1, 3.0, 4.0))
    cold = [dataclasses.replace(row, temperature_c=24.0) if row.elapsed_h < 1 else row for row in fixture.current_log]
    shuffled = dataclasses.replace(fixture, current_log=tuple(reversed(cold)))
    there = rows_of(shuffled)
    assert there.readings.means().count.tolist() == [2] * 12
    once = dataclasses.replace(
        fixture, current_log=tuple(row for row in cold if row.elapsed_h > 3.5 or row.board != "B2")
    )
    assert rows_of(once).notes == ("read once only, taken as settled: B2",)
    moving = dataclasses.replace(fixture, current_log=tuple(row for row in cold if row.elapsed_h < 3.5))
    assert rows_of(moving).notes[0].startswith("still moving at the last reading")


def test_scatter_averages_out_and_digits_do_not():
    few, many = (rows_of(taken(hours=tuple(np.arange(1, n + 1.0)))).readings.means() for n in (1, 100))
    own = few.kind == "current"
    assert many.staying[own] == pytest.approx(few.staying[own])
    assert many.scattering[own] == pytest.approx(few.scattering[own] / 10.0, rel=0.02)


def test_a_log_of_many_rows_is_taken_up_as_it_is():
    fixture = taken(hours=(3.0,), maps={})
    rows = tuple(
        dataclasses.replace(row, elapsed_h=3.0 + 0.001 * turn) for turn in range(2500) for row in fixture.current_log
    )
    long = rows_of(dataclasses.replace(fixture, current_log=rows))
    assert long.readings.size == 30_000
    assert long.readings.means().size == 12


# Meters


def test_what_a_meter_repeats_and_scatters_makes_up_its_limit():
    """JCGM 100:2008 4.3.7: half width over the square root of 3. Here 2 % of 0.55 A and 2 mA."""
    clamp = instruments_of(METERS, "current", ["Clamp"])["Clamp"]
    repeated, scattered = clamp.repeating(0.55, 0.9) * 0.55, float(clamp.scattering(np.array(0.55), 0.9))
    assert np.hypot(repeated, scattered) == pytest.approx(0.011 / 3**0.5)
    assert clamp.staying == pytest.approx(0.002 / 3**0.5)
    warmth = instruments_of(METERS, "temperature", [None])[None]
    assert np.hypot(warmth.repeating(50.0, 0.9), float(warmth.scattering(np.array(50.0), 0.9))) == pytest.approx(
        1.5 / 3**0.5
    )
    # The last digit alone: half of it each way.
    assert warmth.staying == pytest.approx(0.05 / 3**0.5)


def test_readings_without_a_named_meter_take_the_one_there_is_or_an_assumed_one():
    named = instruments_of(METERS, "current", [None])[None]
    assert named.name == "Clamp"
    assert "the only one" in named.basis
    coarse = dataclasses.replace(CLAMP, tag="Coarse", accuracy_fraction=0.05)
    assert instruments_of((*METERS, coarse), "current", [None])[None].name == "Coarse"
    assumed = instruments_of((), "voltage", [None])[None]
    assert assumed.basis.startswith("assumed, the Meters sheet has no voltmeter")
    wrong_kind = instruments_of(METERS, "current", ["Volts"])["Volts"]
    assert "'Volts' for current" in wrong_kind.basis
    found = calibrate(dataclasses.replace(taken(), meters=(CLAMP, SENSOR)), leave_out=False)
    assert sum("assumed" in text for text in found.assumptions) == 2


# What cannot be


def changed(fixture, row, **values):
    log = list(fixture.current_log)
    log[row] = dataclasses.replace(log[row], **values)
    return dataclasses.replace(fixture, current_log=tuple(log))


def test_a_slip_of_the_pen_is_told_in_place_and_left_out():
    good = taken()
    whole = calibrate(good, leave_out=False)
    assert not any("out of all proportion" in note for note in whole.notes)
    bad = changed(good, 2, current_a=good.current_log[2].current_a / 10.0)
    found = calibrate(bad, leave_out=False)
    assert any(note.startswith("Current log, row 3: current 0.05") for note in found.notes)
    # B3 has another reading; what is found hardly changes.
    name = "voltage of B3 against that mean"
    assert found.estimate(name).value == pytest.approx(whole.estimate(name).value, abs=0.01)


def test_an_odd_light_reading_is_told_and_a_wild_one_left_out():
    good = taken()
    rows = list(good.light_readings)
    rows[3] = dataclasses.replace(rows[3], ppfd_umol_m2_s=0.75 * rows[3].ppfd_umol_m2_s)
    rows[5] = dataclasses.replace(rows[5], ppfd_umol_m2_s=10.0 * rows[5].ppfd_umol_m2_s)
    found = calibrate(dataclasses.replace(good, light_readings=tuple(rows)), leave_out=False)
    assert any(note.startswith("Light readings, row 6: PPFD") for note in found.notes)
    told = [note for note in found.notes if "read it again" in note]
    assert len(told) == 1
    assert f"x {rows[3].x_m:.3g} m, y {rows[3].y_m:.3g} m" in told[0]
    assert found.after.degrees_count == len(rows) - 2 + 12
    assert "within the meters' accuracy" in found.after.agreement


def test_many_readings_off_are_a_misfit_and_no_outliers():
    """A third of a map in shade: not left out one by one, but said to be off."""
    good = taken(maps={0.28: points(bench_of(4), 6, 4)})
    rows = [
        dataclasses.replace(row, ppfd_umol_m2_s=round(row.ppfd_umol_m2_s * (0.8 if row.x_m < 0.35 else 1.0)))
        for row in good.light_readings
    ]
    found = calibrate(dataclasses.replace(good, light_readings=tuple(rows)), leave_out=False)
    assert sum("left out" in note for note in found.notes) <= 2
    assert "times the meters' accuracy off: something is there that the model does not have" in found.after.agreement


def test_a_column_that_never_changes_is_told_and_left_out_only_where_the_meter_would_see_a_change():
    good = taken()
    still = tuple(dataclasses.replace(row, ppfd_umol_m2_s=200.0) for row in good.light_readings)
    found = calibrate(dataclasses.replace(good, light_readings=still), leave_out=False)
    told = next(note for note in found.notes if note.startswith("all 12 PPFD readings of Sensor are 200"))
    assert "left out" in told
    assert "PPFD" not in found.after.kind
    even = tuple(dataclasses.replace(row, voltage_v=22.3) for row in good.current_log)
    found = calibrate(dataclasses.replace(good, current_log=even), leave_out=False)
    assert any("voltage readings of Volts are 22.3 V: they differ by less" in note for note in found.notes)
    assert "voltage" in found.after.kind


def test_light_readings_outside_the_room_or_above_its_ceiling_are_told_and_left_out():
    good = taken()
    rows = list(good.light_readings)
    rows[0] = dataclasses.replace(rows[0], x_m=1.6)
    rows[1] = dataclasses.replace(rows[1], height_m=2.0)
    found = calibrate(dataclasses.replace(good, light_readings=tuple(rows)), leave_out=False)
    assert any("row 1: x 1.7 m" in note and "outside the room" in note for note in found.notes)
    assert any("row 2: at 2 m the boards pass the ceiling" in note for note in found.notes)
    assert sum(kind == "PPFD" for kind in found.after.kind) == len(rows) - 2


def test_surveys_can_be_chosen():
    good = taken(maps={0.28: points(bench_of(4), 4, 3), 0.5: points(bench_of(4), 2, 2)})
    one = calibrate(good, surveys=["map at 0.5"], leave_out=False)
    assert [entry.height_m for entry in one.after.maps] == [0.5]


def test_nothing_read_is_refused_with_what_to_do():
    with pytest.raises(lc.InputErrors, match="no readings to calibrate by") as refused:
        calibrate(bench_of(4))
    assert [problem.sheet for problem in refused.value.problems] == ["Current log", "Light readings"]
    with pytest.raises(lc.InputErrors, match="no readings"):
        predicted_against_measured(bench_of(4))


def test_a_board_that_does_not_exist_is_named():
    with pytest.raises(lc.InputErrors, match="B9"):
        calibrate(changed(taken(), 0, board="B9"))


def test_one_kind_of_reading_alone_is_enough():
    light = taken(kinds=())
    found = calibrate(light, leave_out=False)
    assert {entry.name for entry in found.estimates} == {
        "light of Bench bar 250",
        "wall reflectance",
        "error of Sensor (PPFD)",
    }
    assert VOLTS.tag not in " ".join(entry.name for entry in found.estimates)
