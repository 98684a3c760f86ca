"""The pages on the current log: when they are there, what stands first, and that their figures are the log's."""

import dataclasses
import json
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from scipy.stats import chi2

import ledcalc as lc
from ledcalc.bench import RatedBoards
from ledcalc.evaluation.bench_log import judged_log
from ledcalc.evaluation.log_advice import dial_of, turns_of
from ledcalc.evaluation.log_compared import comparisons_of
from ledcalc.fixture import BuildRecord, DialReading, Meter
from ledcalc.records import with_values
from ledcalc.report import report_sections
from ledcalc.workbook.results import evaluation_as_dict, write_results
from ledcalc.workbook.results.pages import CurveChart, Facts, Lines, Table
from ledcalc.workbook.results.write import pages_of

sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))
from log_cases import HOURS, currents, logged

PROBE = Meter(tag="Probe", quantity="temperature", accuracy_fraction=0.0, accuracy_digits_count=10, resolution=0.1)


@pytest.fixture(scope="module")
def full(bench_results):
    """The example with a log, a supply log, a dial log and a thermometer."""
    fixture = logged(bench_results)
    dial = tuple(DialReading(position=p, current_a=0.5 * p, meter="Clamp 1") for p in (4.0, 6.0, 8.0, 10.0))
    return dataclasses.replace(fixture, dial_log=dial, meters=(*fixture.meters, PROBE))


@pytest.fixture(scope="module")
def results(full):
    return lc.evaluate(full)


def page_of(results, title):
    return next((page for page in pages_of(results) if page.title == title), None)


def facts_of(page):
    return {fact.label: fact for block in page.blocks if isinstance(block, Facts) for fact in block.facts}


def test_pages_only_where_there_is_a_log_to_judge(bench_results, full):
    """Three readings a board are no log to judge by; four are, and so is a supply log."""
    assert bench_results.log_verdict is None
    assert page_of(bench_results, "Current log") is None
    assert any("four readings of a board" in line for line in bench_results.not_checked)
    three = dataclasses.replace(full, current_log=full.current_log[:24], supply_log=())
    four = dataclasses.replace(full, current_log=full.current_log[:32], supply_log=())
    assert lc.evaluate(three).log_verdict is None
    assert lc.evaluate(four).log_verdict is not None


def test_the_verdict_stands_first(results):
    page = page_of(results, "Current log")
    first = page.blocks[0]
    assert isinstance(first, Lines)
    assert first.bold
    assert first.lines[0].startswith("Stable: no drift over 11.5 h that this meter shows")
    text = " ".join(line for block in page.blocks if isinstance(block, Lines) for line in block.lines)
    for words in ("at or below its rating", "adds up", "Spread from B5", "Current and heat", "narrows its drift"):
        assert words in text


def test_what_to_turn_keeps_the_highest_board_within_its_rating(results):
    """The setting applied to the readings: at or below the rating with the log's 95 %, just."""
    judged = judged_log(results.fixture, results.boards)
    setting, ceiling, boards = turns_of(results)
    rated = judged.judgement.rated
    ratio = setting.then / setting.now
    moved = dataclasses.replace(
        rated,
        current_a=rated.current * ratio,
        own_half_width_a=np.asarray(rated.own_half_width_a) * ratio,
        own_standard_uncertainty_a=np.asarray(rated.own_standard_uncertainty_a) * ratio,
    )
    assert isinstance(moved, RatedBoards)
    assert moved.verdict().all_below_fraction == pytest.approx(0.95, abs=1e-3)
    assert "beyond the driver's dial" in setting.remark
    assert ceiling.then > ceiling.now
    assert (boards.now, boards.then, boards.remark) == (8.0, 8.0, "none to add")
    tight = lc.evaluate(with_values(results.fixture, {"boards[0].rated_current_a": 0.55}))
    down, lower, more = turns_of(tight)
    assert down.then < down.now
    assert lower.then < lower.now
    assert more.then == 9.0
    # Fewer photons for less current, though not in proportion: the boards are more efficient there.
    assert down.then / down.now < down.light_fraction < 1.0
    assert more.light_fraction > 1.0


def test_dial_for_the_setting(results):
    line = dial_of(results.fixture)
    assert line.straight
    setting = turns_of(results)[0]
    total = float(judged_log(results.fixture, results.boards).judgement.rated.current.sum())
    assert f"position {total * setting.then / setting.now / 0.5:.3g}" in setting.remark
    table = next(
        block
        for block in page_of(results, "Current log").blocks
        if isinstance(block, Table) and block.heading.startswith("Dial")
    )
    assert [row[:2] for row in table.rows] == [(4.0, 2.0), (6.0, 3.0), (8.0, 4.0), (10.0, 5.0)]


def test_predicted_against_measured(results):
    found = {each.quantity: each for each in comparisons_of(results)}
    current, sink = found["board current"], found["sink at 20.0 degC air"]
    assert current.measured == pytest.approx(results.boards.current_a, abs=1e-3)
    assert current.verdict.startswith("no further apart than the meter explains")
    assert sink.predicted == pytest.approx(results.boards.sink_temperature_c)
    assert np.abs(sink.measured - sink.predicted).max() < 0.3
    assert sink.verdict.startswith("no further apart")


def test_chi_square_by_hand(full):
    """All boards 3 % high: one calibration of 1 % and six readings each of 1 % and 2 counts, put together by hand."""
    high = lc.evaluate(with_values(full, {name: 1.03 * value for name, value in currents(full).items()}))
    current = comparisons_of(high)[0]
    off, amps = current.measured - current.predicted, current.measured
    read = np.array([row.current_a for row in high.fixture.current_log]).reshape(HOURS.size, -1)
    own = (((0.01 * read) ** 2 + 0.002**2) / 3.0).sum(axis=0) / HOURS.size**2
    shared = 0.01 * amps / 3**0.5
    by_hand = off @ np.linalg.inv(np.diag(own) + np.outer(shared, shared)) @ off
    assert f"chi-square {by_hand:.3g} for 8 readings" in current.verdict
    chance = chi2.sf(by_hand, 8)
    assert ("no further apart" in current.verdict) == (chance >= 0.05)


def test_far_off_readings_are_said_to_be(full):
    off = with_values(
        full,
        {"current_log[0].current_a": 0.5459}
        | {name: 1.2 * value for name, value in currents(full).items() if name.startswith("current_log")},
    )
    assert comparisons_of(lc.evaluate(off))[0].verdict.startswith("further apart than the meter explains")


def test_mains_side_is_measured_or_says_that_it_is_not(results, full):
    facts = facts_of(page_of(results, "Current log"))
    watts = results.operating.mains_power_w
    assert facts["Mains power, measured"].value == pytest.approx(watts)
    efficacy = facts["Photon efficacy, AC basis"]
    assert efficacy.value == pytest.approx(results.light.photon_flux_umol_s / watts)
    assert "measured" in efficacy.remark
    bare = lc.evaluate(dataclasses.replace(full, supply_log=()))
    assert "predicted, not measured" in facts_of(page_of(bare, "Current log"))["Photon efficacy, AC basis"].remark
    assert any("efficacy over it is predicted" in line for line in bare.not_checked)


def test_boards_are_named_with_their_serials(full):
    recorded = dataclasses.replace(full, build_record=(BuildRecord(board="B2", serial="S-014"),))
    boards = next(
        block
        for block in page_of(lc.evaluate(recorded), "Current log").blocks
        if isinstance(block, Table) and block.heading == "Boards"
    )
    assert [row[0] for row in boards.rows][:3] == ["B1", "B2 (serial S-014)", "B3"]


def test_course_with_the_meters_errors(results):
    page = page_of(results, "Log over time")
    highest, shares = (block for block in page.blocks if isinstance(block, Table))
    assert len([block for block in page.blocks if isinstance(block, CurveChart)]) == 2
    for row in highest.rows:
        _, read, low, high, rated = row
        # The clamp of the example: 2 % + 2 counts of 1 mA.
        assert (high - read, read - low) == pytest.approx([0.02 * read + 0.002] * 2)
        assert rated == 0.8
    assert all(sum(row[1:]) == pytest.approx(100.0) for row in shares.rows)


def test_rows_without_a_current_meter_are_left_out_and_counted(full):
    none = lc.evaluate(with_values(full, {"current_log[0].meter": None, "current_log[1].meter": None}))
    assert none.log_verdict.unjudged_count == 2
    text = [line for block in page_of(none, "Current log").blocks if isinstance(block, Lines) for line in block.lines]
    assert "2 rows name no current meter, and are left out here." in text
    all_none = {f"current_log[{n}].meter": None for n in range(len(full.current_log))}
    assert lc.evaluate(with_values(full, all_none)).log_verdict is None


def test_written_read_back_and_as_json(results, tmp_path):
    for name in ("r.xlsx", "r.xlsx", "folder", "folder"):
        write_results(results, tmp_path / name)
    book = openpyxl.load_workbook(tmp_path / "r.xlsx")
    assert any(str(row[0]).startswith("Stable") for row in book["Current log"].iter_rows(max_row=6, values_only=True))
    assert (tmp_path / "folder" / "Log over time.csv").exists()
    data = json.loads(json.dumps(evaluation_as_dict(results), allow_nan=False))
    assert data["log_verdict"]["verdict"] == "stable"
    assert "Current log" in [section.heading for section in report_sections(results)]


def test_shares_stand_highest_first(results):
    page = page_of(results, "Log over time")
    shares = [block for block in page.blocks if isinstance(block, Table)][1]
    first = shares.rows[0][1:]
    assert len(first) == 8
    means = np.mean([row[1:] for row in shares.rows], axis=0)
    assert (np.diff(means) <= 0).all()
