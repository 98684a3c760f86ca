"""The calibrated fixture: what it predicts, saved and read back; readings against prediction; all of it in words."""

import dataclasses
import json
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import chi2

import ledcalc as lc
from ledcalc.calibrate import calibrate, predicted_against_measured, text_of, usual_priors
from ledcalc.calibrate.agreement import agreement, chi_square_of
from ledcalc.cli import main
from ledcalc.errors import ArgumentError
from ledcalc.workbook import read_workbook
from ledcalc.workbook.template import write_inputs

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import AIR_C, SHARE, Truth, as_built, bench_of, drawn, points, read
from test_slopes import plates

TRUTH = Truth(offset_v=np.array([0.25, 0.18, 0.22, 0.29]), sink=1.15, flux=0.88, wall=0.42, driver=0.98)
MAPS = {0.28: (6, 4), 0.5: (4, 3)}


@pytest.fixture(scope="module")
def measured():
    fixture = bench_of(4)
    maps = {height: points(fixture, *how) for height, how in MAPS.items()}
    return read(fixture, TRUTH, np.random.default_rng(11), maps=maps)


@pytest.fixture(scope="module")
def found(measured):
    return calibrate(measured)


def in_log_air(fixture):
    return lc.with_values(fixture, {"site.air_temperature_c": AIR_C})


def test_the_calibrated_fixture_predicts_what_evaluate_makes_of_it(found):
    results = lc.evaluate(in_log_air(found.fixture))
    meters = {entry.name: entry.value for entry in found.estimates if entry.name.startswith("error of")}
    kinds = np.array(found.after.kind)
    current = results.boards.current_a * (1.0 + meters["error of Clamp (current)"])
    assert found.after.predicted[kinds == "current"] == pytest.approx(current, rel=2e-4)
    warm = results.boards.sink_temperature_c + meters["error of Warmth (temperature)"]
    assert found.after.predicted[kinds == "temperature"] == pytest.approx(warm, abs=0.01)
    light = np.concatenate([survey.predicted_umol_m2_s for survey in results.surveys])
    assert found.after.predicted[kinds == "PPFD"] == pytest.approx(
        light * (1.0 + meters["error of Sensor (PPFD)"]), rel=1e-3
    )


def test_its_next_prediction_is_nearer_the_truth_than_the_first(measured, found):
    """At another height and current than anything was read at."""
    changes = {
        "fixture.height_m": 0.38,
        "fixture.current_setting_a": 1.8 * TRUTH.driver,
        "site.air_temperature_c": AIR_C,
    }
    true = lc.evaluate(lc.with_values(as_built(measured, TRUTH), changes))
    first = lc.evaluate(lc.with_values(measured, {**changes, "fixture.current_setting_a": 1.8}))
    dial = found.estimate("driver's current against its dial").value
    second = lc.evaluate(lc.with_values(found.fixture, {**changes, "fixture.current_setting_a": 1.8 * dial}))
    for figure in (
        lambda results: results.light.ppfd_umol_m2_s,
        lambda results: results.boards.current_a,
        lambda results: results.boards.temperature_c,
        lambda results: np.array([results.operating.voltage_v]),
    ):
        off_first, off_second = (np.linalg.norm(figure(one) - figure(true)) for one in (first, second))
        assert off_second < 0.6 * off_first


def test_only_what_was_found_is_changed(measured, found):
    after = found.fixture
    assert [place.tag for place in after.positions] == ["B1", "B2", "B3", "B4"]
    assert {(place.board, place.heat_sink, place.height_m) for place in after.positions} == {(None, None, None)}
    before = lc.evaluate(measured).boards
    assert [place.x_m for place in after.positions] == pytest.approx(before.x_m)
    assert after.boards[0].flux_fraction == pytest.approx(found.estimate("light of Bench bar 250").value, abs=1e-4)
    assert after.site.air_temperature_c == measured.site.air_temperature_c
    same = dataclasses.replace(
        after,
        positions=(),
        boards=measured.boards,
        heat_sinks=measured.heat_sinks,
        site=measured.site,
        current_setting_a=measured.current_setting_a,
    )
    assert same == measured


@pytest.mark.parametrize("name", ["fitted.xlsx", "fitted"])
def test_saved_and_read_back_it_is_the_same(found, tmp_path, name):
    write_inputs(found.fixture, tmp_path / name)
    again = read_workbook(tmp_path / name)
    there, here = lc.evaluate(again).summary(), lc.evaluate(found.fixture).summary()
    assert there.pop("mode") == here.pop("mode")
    assert there == pytest.approx(here, rel=1e-9)
    compared = predicted_against_measured(again)
    assert "within the meters' accuracy" in compared.agreement
    assert "times the meters' accuracy off" in found.before.agreement


def test_blanks_of_the_file_stay_blanks(bench, tmp_path):
    write_inputs(bench, tmp_path / "again.xlsx")
    again = read_workbook(tmp_path / "again.xlsx")
    assert again == bench
    assert set(again.origin.assumed) == set(bench.origin.assumed)


def test_rows_that_were_taken_out_since_are_no_hindrance(bench, tmp_path):
    fewer = dataclasses.replace(bench, stock=bench.stock[:1], parts=bench.parts[:1], current_log=())
    write_inputs(fewer, tmp_path / "fewer")
    again = read_workbook(tmp_path / "fewer")
    assert (len(again.stock), len(again.parts), again.current_log) == (1, 1, ())


def test_values_that_are_already_in_the_inputs_are_warned_of(found):
    again = calibrate(found.fixture, leave_out=False)
    assert any("count twice" in text for text in again.assumptions)
    assert not any("count twice" in text for text in found.assumptions)


def test_each_sink_by_itself(measured):
    uneven = [
        dataclasses.replace(row, temperature_c=row.temperature_c + (2.0 if row.board == "B2" else 0.0))
        for row in measured.current_log
    ]
    found = calibrate(dataclasses.replace(measured, current_log=tuple(uneven)), own_sinks=True, leave_out=False)
    names = [entry.name for entry in found.estimates if entry.name.startswith("resistance")]
    assert names == [f"resistance of sink Channel 300 of B{n}" for n in range(1, 5)]
    values = [found.estimate(name).value for name in names]
    assert values[1] == max(values)
    assert values[1] > 1.04 * values[0]
    sinks = {sink.tag: sink.sink_resistance_k_per_w for sink in found.fixture.heat_sinks}
    assert sinks["Channel 300 of B2"] == pytest.approx(3.6 * values[1], abs=1e-4)
    assert lc.evaluate(found.fixture).boards.temperature_c[1] == max(lc.evaluate(found.fixture).boards.temperature_c)


def test_a_sink_by_dimensions_keeps_them(measured):
    found = calibrate(plates(measured), leave_out=False)
    sink = found.fixture.heat_sinks[0]
    assert sink.sink_resistance_k_per_w is None
    assert sink.resistance_fraction == pytest.approx(found.estimate("resistance of sink Channel 300").value, abs=1e-4)
    lc.evaluate(found.fixture)


def test_narrower_priors_pull_harder(measured):
    narrow = dataclasses.replace(usual_priors(), flux_fraction=0.005)
    pulled = calibrate(measured, priors=narrow, leave_out=False).estimate("light of Bench bar 250")
    free = calibrate(measured, leave_out=False).estimate("light of Bench bar 250")
    assert abs(pulled.value - 1.0) < 0.5 * abs(free.value - 1.0)
    assert pulled.standard_error < free.standard_error
    with pytest.raises(ArgumentError, match="flux_fraction"):
        dataclasses.replace(usual_priors(), flux_fraction=0.0)


def test_a_value_held_by_its_limit_is_said():
    """Walls that take more light away than there is: readings near them far lower than black walls make them."""
    fixture = lc.with_values(bench_of(4), {"site.wall_reflectance_fraction": 0.1})
    taken = read(fixture, dataclasses.replace(TRUTH, wall=0.0), None, maps={0.28: points(fixture, 8, 4)}, kinds=())
    edges = [
        dataclasses.replace(row, ppfd_umol_m2_s=row.ppfd_umol_m2_s * (0.95 if row.y_m < 0.1 or row.y_m > 0.5 else 1.0))
        for row in taken.light_readings
    ]
    found = calibrate(dataclasses.replace(taken, light_readings=tuple(edges)), leave_out=False)
    assert found.estimate("wall reflectance").is_at_bound
    assert found.estimate("wall reflectance").value == 0.0
    assert found.fixture.site.wall_reflectance_fraction == 0.0
    assert any("at the limit of what is possible" in note for note in found.notes)


# Predicted against measured


def test_readings_against_prediction_by_kind_and_in_all(measured):
    compared = predicted_against_measured(measured)
    results = lc.evaluate(in_log_air(measured))
    kinds = np.array(compared.kind)
    assert compared.predicted[kinds == "current"] == pytest.approx(results.boards.current_a, rel=1e-9)
    light = np.concatenate([survey.predicted_umol_m2_s for survey in results.surveys])
    assert compared.predicted[kinds == "PPFD"] == pytest.approx(light, rel=1e-3)
    own = next(entry for entry in compared.kinds if entry.kind == "current")
    off = compared.measured[kinds == "current"] - results.boards.current_a
    assert own.mean_difference == pytest.approx(off.mean())
    assert own.rms_difference == pytest.approx(np.sqrt((off**2).mean()))
    # One board's current: 0.9 of 2 % that repeat, the rest halved in variance over two rows, 2 mA that stay.
    amps = results.boards.current_a[0]
    first = compared.measured[0]
    scatter = np.sqrt(1 - SHARE**2) * 0.02 * first / 3**0.5 / 2**0.5
    wanted = np.sqrt((SHARE * 0.02 * amps) ** 2 / 3 + scatter**2 + 0.002**2 / 3)
    assert compared.error[0] == pytest.approx(wanted, rel=1e-3)
    assert compared.place[0] == "B1"
    assert compared.place[-1].startswith("map at 0.5, 0.5 m: x ")


def test_maps_and_their_rings(measured):
    first = predicted_against_measured(measured).maps[0]
    assert first.survey == "map at 0.28"
    assert first.difference_umol_m2_s == pytest.approx(first.measured_umol_m2_s - first.predicted_umol_m2_s)
    # 6 x 4 points over 1.2 m x 0.6 m: max(|x|, |y|) is 0.1, 0.3 or 0.5 m in x, and 0.075 or 0.225 m in y.
    assert first.ring_sides_m == pytest.approx([0.2, 0.45, 0.6, 1.0], abs=0.02)
    edge = np.abs(first.x_m - 0.6) > 0.4
    assert first.ring_measured_umol_m2_s[-1] == pytest.approx(first.measured_umol_m2_s[edge].mean())
    assert first.ring_predicted_umol_m2_s[-1] == pytest.approx(first.predicted_umol_m2_s[edge].mean())


def test_chi_square_beside_the_whole_covariance():
    rng = np.random.default_rng(1)
    off, sigma, slopes = rng.normal(size=9), rng.uniform(0.5, 2.0, 9), rng.normal(size=(9, 3))
    root = rng.normal(size=(3, 3))
    shared = root @ root.T
    whole = np.diag(sigma**2) + slopes @ shared @ slopes.T
    assert chi_square_of(off, sigma, slopes, shared) == pytest.approx(off @ np.linalg.inv(whole) @ off, rel=1e-9)


@pytest.mark.parametrize("degrees", [3, 40, 400])
def test_agreement_is_doubted_beyond_one_in_a_hundred_each_way(degrees):
    low, high = chi2.ppf([0.01, 0.99], degrees)
    assert "within the meters' accuracy" in agreement(1.001 * low, degrees)
    assert "within the meters' accuracy" in agreement(0.999 * high, degrees)
    assert "better than stated" in agreement(0.999 * low, degrees)
    assert "something is there that the model does not have" in agreement(1.001 * high, degrees)


def test_meters_as_stated_agree_with_the_truth_19_times_in_20_at_least():
    fixture = bench_of(4, in_room=False)
    maps = {0.28: points(fixture, 4, 3)}
    said = []
    for seed in range(40):
        rng = np.random.default_rng(300 + seed)
        truth = drawn(fixture, rng)
        known = in_log_air(as_built(read(fixture, truth, rng, maps=maps), truth))
        said.append("within the meters' accuracy" in predicted_against_measured(known).agreement)
    assert np.mean(said) >= 0.95


# In words, and from the command line


def test_the_text_holds_every_value_and_what_is_to_know(found):
    text = text_of(found)
    for entry in found.estimates:
        assert entry.name in text
    assert "told by the readings" in text
    assert "What the readings cannot tell" in text
    assert "left out: before" in text
    assert max(len(line) for line in text.splitlines() if " +- " in line) < 120


def test_an_unknown_name_is_refused_with_those_there_are(found):
    with pytest.raises(ArgumentError, match="light of Bench bar 250"):
        found.estimate("light")


def test_from_the_command_line(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    main(["blank", "bench.xlsx", "--example"])
    assert main(["calibrate", "bench.xlsx", "--out", "fitted.xlsx"]) == 0
    said = capsys.readouterr().out
    assert "Winter seedling bench (invented example): 34 readings, 14 unknowns" in said
    assert "voltage of B1 against that mean" in said
    assert "wrote fitted.xlsx" in said
    assert main(["check", "fitted.xlsx"]) == 0
    names = [variant.name for variant in lc.workbook.read_variants("fitted.xlsx")]
    assert names == ["softer", "harder", "higher", "wider rails"]
    assert main(["calibrate", "bench.xlsx", "--out", "fitted.xlsx"]) == 2
    assert "already there" in capsys.readouterr().err
    assert main(["calibrate", "bench.xlsx", "--canopy", "--own-sinks", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["written"] == ""
    assert sum(entry["name"].startswith("resistance of sink") for entry in data["estimates"]) == 8


def test_without_readings_the_command_line_says_what_to_do(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    write_inputs(bench_of(4), "bare.xlsx")
    assert main(["calibrate", "bare.xlsx", "--out", "fitted.xlsx"]) == 2
    said = capsys.readouterr().err
    assert "no readings to calibrate by" in said
    assert "log each board's current once the fixture is warm" in said
    assert not Path("fitted.xlsx").exists()
