"""The example's full round: what it hid is found, and what was kept back is predicted closer than by the design."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.workbook import read_workbook

EXAMPLE = Path(__file__).parents[2] / "examples" / "bench_round.py"


@pytest.fixture(scope="module")
def example():
    spec = importlib.util.spec_from_file_location("bench_round", EXAMPLE)
    module = importlib.util.module_from_spec(spec)
    sys.modules["bench_round"] = module
    spec.loader.exec_module(module)
    yield module
    del sys.modules["bench_round"]


@pytest.fixture(scope="module")
def done(example):
    return example.whole_round()


def test_the_design_is_judged_off_its_readings_and_the_calibrated_bench_is_not(done):
    assert "times the meters' accuracy off" in done.calibration.before.agreement
    assert "within the meters' accuracy" in done.calibration.after.agreement
    assert "within the meters' accuracy" in done.calibration.left_out_agreement
    judged = lc.evaluate(done.measured)
    assert set(judged.logged.against_rating) == {"within its rating"}
    for survey in judged.surveys:
        assert survey.statistics.mean < 0.9 * survey.predicted_mean_umol_m2_s


def test_what_was_hidden_lies_within_twice_the_stated_error(example, done):
    """All of seventeen values but one, as errors of one standard deviation have it."""
    truth = example.as_it_is(done.design)
    offsets = np.array([place.offset_v for place in truth.positions])
    hidden = {
        "voltage of Bench bar 250, mean of its boards": offsets.mean(),
        "resistance of sink Channel 300": 4.25 / 3.6,
        "driver's current against its dial": 0.985,
        "light of Bench bar 250": 0.9,
        "wall reflectance": 0.48,
        "error of Clamp 1 (current)": example.CLAMP - 1.0,
        "error of Volts 1 (voltage)": example.VOLTS - 1.0,
        "error of Probe 1 (temperature)": example.PROBE_K,
        "error of Sensor 1 (PPFD)": example.SENSOR - 1.0,
    }
    hidden |= {
        f"voltage of {place.tag} against that mean": own - offsets.mean()
        for place, own in zip(truth.positions, offsets, strict=True)
    }
    assert set(hidden) == {entry.name for entry in done.calibration.estimates}
    off = np.abs([(one.value - hidden[one.name]) / one.standard_error for one in done.calibration.estimates])
    assert np.sort(off)[-2] < 2.0
    assert off.max() < 3.0


def test_what_was_kept_back_is_predicted_closer_than_before(done):
    assert "times the meters' accuracy off" in done.first.agreement
    assert "within the meters' accuracy" in done.second.agreement
    assert [entry.kind for entry in done.second.kinds] == ["current", "voltage", "temperature", "PPFD"]
    for before, after in zip(done.first.kinds, done.second.kinds, strict=True):
        assert after.rms_difference < 0.5 * before.rms_difference
        assert after.rms_normalised < before.rms_normalised
    assert done.second.chi_square < 0.1 * done.first.chi_square
    (field,) = done.second.maps
    assert field.survey == "map kept back"
    used = {one.survey for one in done.calibration.after.maps}
    assert used == {"first map", "second map"}


def test_run_as_a_program_it_tells_the_round_and_saves_both_workbooks(example, done, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(example, "whole_round", lambda: done)
    monkeypatch.setattr(sys, "argv", ["bench_round.py", str(tmp_path / "round")])
    example.main()
    said = capsys.readouterr().out
    assert "(invented example)" in said
    assert "Kept back, at 3.6 A and another height, by the design: the readings are" in said
    again = read_workbook(tmp_path / "round" / "bench-calibrated.xlsx")
    assert [place.offset_v for place in again.positions] == [
        place.offset_v for place in done.calibration.fixture.positions
    ]
    assert read_workbook(tmp_path / "round" / "bench-measured.xlsx").current_log == done.measured.current_log
