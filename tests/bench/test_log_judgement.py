"""The judgement of a whole log: common-practice fixture, settling, hogging, rating, sums, remedies, sentences."""

import numpy as np
import pytest

from ledcalc.bench import (
    CurrentLog,
    MeterNoise,
    RatedBoards,
    boards_to_add,
    current_setting_for_rating,
    dial_line,
    judge_log,
    judgement_sentences,
    log_shares,
    mains_measured,
    next_reading,
    referred_temperature,
    settling,
    temperature_rises,
    voltage_ceiling_for_rating,
)
from ledcalc.bench.log_sentences import with_uncertainty
from ledcalc.errors import ArgumentError

CLAMP = MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01)
# Six boards, 12.5 A in all, spread about 300 mA, each moving 30 to 40 mA over 12 h, hotter sinks drawing more; a clamp
# of 2 % + 2 counts: common practice, no source. The readings are invented to that description.
SIX_H = [1.0, 3.0, 6.0, 9.0, 12.0]
SIX_A = {
    "B1": [2.22, 2.23, 2.24, 2.22, 2.25],
    "B2": [2.15, 2.13, 2.16, 2.14, 2.12],
    "B3": [2.10, 2.12, 2.09, 2.11, 2.13],
    "B4": [2.07, 2.05, 2.08, 2.06, 2.09],
    "B5": [2.01, 2.03, 2.00, 2.02, 1.99],
    "B6": [1.95, 1.93, 1.94, 1.96, 1.92],
}
SIX_C = {
    "B1": [59.5, 60.0, 59.8, 60.1, 59.9],
    "B2": [57.6, 58.0, 57.8, 57.5, 57.9],
    "B3": [56.2, 56.0, 56.4, 56.1, 56.3],
    "B4": [55.0, 54.7, 55.1, 54.9, 55.2],
    "B5": [53.4, 53.6, 53.2, 53.5, 53.3],
    "B6": [52.1, 51.8, 52.2, 52.0, 51.9],
}


@pytest.fixture
def six():
    log = CurrentLog.from_wide(
        SIX_H, SIX_A, temperature_c=SIX_C, air_temperature_c=[22.0] * 5, total_current_a=[12.5] * 5
    )
    return judge_log(log, noise=CLAMP, rating_a=2.5)


def test_six_boards_of_common_practice(six):
    assert six.verdict == "stable"
    for each in six.boards:
        assert each.drift.verdict == "not distinguishable from noise"
        assert each.settling.verdict == "settled"
        assert each.temperature_settling.verdict == "settled"
        assert 0.0299 <= np.ptp(SIX_A[each.board]) <= 0.0401
    assert six.hogging[0].verdict == "feedback present, settled"
    assert six.hogging[0].hotter_draws_more_a_per_k > 0
    assert six.shares[0].spread_a == pytest.approx(0.29, abs=0.02)
    assert (six.shares[0].highest, six.shares[0].lowest) == ("B1", "B6")
    assert six.sums[0].verdict == "adds up"
    assert six.rating.verdict == "at or below its rating"
    assert six.log.remarks[0].code == "constant"


def test_the_same_movement_is_drift_to_a_better_meter():
    """35 mA over 12 h, one way: a shunt of 0.1 % + 1 count of 1 mA sees it."""
    since = (np.array(SIX_H) - 1.0) / 11.0
    rising = {board: np.mean(read) + 0.035 * since for board, read in SIX_A.items()}
    log = CurrentLog.from_wide(SIX_H, rising)
    shunt = MeterNoise(accuracy_fraction=0.001, counts=1, resolution=0.001, repeating_fraction=1.0)
    assert judge_log(log, noise=CLAMP).verdict == "stable"
    found = judge_log(log, noise=shunt)
    assert found.verdict == "drifting"
    assert {each.drift.verdict for each in found.boards} == {"rising"}
    assert found.boards[0].drift.change == pytest.approx(0.035, abs=0.002)


def test_sentences_put_the_verdict_first(six):
    said = judgement_sentences(six)
    assert said[0].startswith("stable: no drift over 11 h that this meter shows")
    assert any("B1 at 2.232 A, 89 % of its rating: at or below its rating" in line for line in said)
    assert any("current and heat: feedback present, settled" in line for line in said)
    assert any("predicted, not measured" in line for line in said)
    assert said[-1] == "1 remark on the log's rows, 0 of them on values left out"


def test_warming_boards_are_still_settling():
    time = np.array([0.1, 0.3, 0.6, 1.0, 1.5])
    current = 2.0 - 0.3 * np.exp(-time / 1.2)
    temperature = 22.0 + 35.0 * (1.0 - np.exp(-time / 1.2))
    log = CurrentLog.from_wide(
        time, {"B1": current}, temperature_c={"B1": temperature}, air_temperature_c=np.full(5, 22.0)
    )
    fine = MeterNoise(accuracy_fraction=0.001, counts=1, resolution=0.001)
    found = judge_log(log, noise=fine, temperature_noise=MeterNoise(accuracy_fraction=0, counts=2, resolution=0.1))
    assert found.verdict == "still settling"
    board = found.boards[0]
    assert board.settling.steady == pytest.approx(2.0, abs=0.01)
    assert board.level.basis == "steady value that it goes to"
    assert board.temperature_settling.steady == pytest.approx(35.0, abs=1.0)
    assert board.next_reading.quantity == "steady value"
    assert board.next_reading.error_then < board.next_reading.error_now
    assert any("still settling" in line for line in judgement_sentences(found))


def test_hogging_grows_and_is_named():
    time = np.linspace(0.5, 12.0, 12)
    log = CurrentLog.from_wide(
        time,
        {"B1": 2.0 + 0.05 * time, "B2": 2.0 - 0.025 * time, "B3": 1.9 - 0.025 * time},
        temperature_c={"B1": 50 + 2 * time, "B2": 50 - time, "B3": 49 - time},
    )
    found = judge_log(log, noise=CLAMP)
    assert found.verdict == "hogging, growing"
    assert any("hogging, growing: B1" in line for line in judgement_sentences(found))
    # The same shares, come to rest: feedback is there and grows no more.
    rest = CurrentLog.from_wide(
        time,
        {"B1": np.full(12, 2.4), "B2": np.full(12, 1.8), "B3": np.full(12, 1.7)},
        temperature_c={"B1": np.full(12, 70.0), "B2": np.full(12, 40.0), "B3": np.full(12, 38.0)},
    )
    assert judge_log(rest, noise=CLAMP).hogging[0].verdict == "feedback present, settled"


@pytest.mark.parametrize(
    ("total", "verdict"),
    [(6.0, "adds up"), (8.0, "branch missing"), (4.0, "branch counted twice"), (7.0, "does not add up")],
)
def test_branches_against_total(total, verdict):
    log = CurrentLog.from_wide([0.0, 4.0], {f"B{n}": [2.0, 2.0] for n in range(3)}, total_current_a=[total] * 2)
    found = judge_log(log, noise=CLAMP).sums[0]
    assert found.verdict == verdict
    assert bool(found.remedy) == (verdict != "adds up")


def test_a_clamp_that_wants_zeroing():
    """Each of six branches 60 mA high, as is the total read with the same clamp: 5 x 60 mA over."""
    log = CurrentLog.from_wide([0.0, 4.0], {f"B{n}": [2.06, 2.06] for n in range(6)}, total_current_a=[12.06] * 2)
    exact = MeterNoise(accuracy_fraction=0.005, counts=1, resolution=0.01)
    found = judge_log(log, noise=exact).sums[0]
    assert found.verdict == "zero the meter"
    assert found.zero_error_a == pytest.approx(0.06)


def test_several_supplies_and_meters():
    log = CurrentLog.from_wide(
        [0.0, 4.0, 8.0],
        {"B1": [2.0, 2.01, 2.0], "B2": [2.1, 2.1, 2.11], "B3": [1.0, 1.01, 1.0]},
        supply_of={"B1": "S1", "B2": "S1", "B3": "S2"},
        meter_of={"B1": "C1", "B2": "C1", "B3": "C2"},
        total_current_a={"S1": [4.1, 4.1, 4.12], "S2": [2.0, 2.0, 2.0]},
    )
    found = judge_log(log, noise={"C1": CLAMP, "C2": CLAMP}, rating_a={"B1": 2.2, "B2": 2.2, "B3": 1.1})
    assert [each.verdict for each in found.sums] == ["adds up", "branch missing"]
    assert [each.share_fraction.sum() for each in found.shares] == pytest.approx([1.0, 1.0])
    with pytest.raises(ArgumentError, match="C2"):
        judge_log(log, noise={"C1": CLAMP})
    with pytest.raises(ArgumentError, match="B3"):
        judge_log(log, noise=CLAMP, rating_a={"B1": 2.2, "B2": 2.2})


def test_calibration_cancels_in_shares_and_not_in_currents():
    """GUM 5.2: with a clamp all of whose 2 % repeats, shares are known to the digits alone."""
    log = CurrentLog.from_wide([0.0], {"B1": [2.0], "B2": [2.0]})
    repeats = MeterNoise(accuracy_fraction=0.02, counts=0, repeating_fraction=1.0)
    anew = MeterNoise(accuracy_fraction=0.02, counts=0, repeating_fraction=0.0)
    assert log_shares(log, noise=repeats).share_half_width_fraction == pytest.approx([0.0, 0.0], abs=1e-12)
    # By hand: each share errs by (e1 - e2) / 8, two rectangles of 0.04 A: a triangle, 2 - 2 sqrt 0.05 of 0.005.
    expected = (2.0 - 2.0 * 0.05**0.5) * 0.04 / 8.0
    assert log_shares(log, noise=anew).share_half_width_fraction == pytest.approx([expected] * 2, rel=1e-3)


@pytest.mark.parametrize(
    ("current", "verdict"),
    [
        (2.30, "over its rating"),
        (2.21, "too near its rating for this meter to tell"),
        (2.10, "at or below its rating"),
    ],
)
def test_against_rating(current, verdict):
    log = CurrentLog.from_wide([0.0, 4.0, 8.0], {"B1": [current] * 3, "B2": [1.9] * 3})
    found = judge_log(log, noise=CLAMP, rating_a=2.2).rating
    assert (found.verdict, found.board_verdict[1]) == (verdict, "at or below its rating")


def test_remedies_bring_the_highest_board_within_its_rating():
    """Each remedy applied to the readings, and the boards judged anew: at or below, just."""
    boards = RatedBoards(
        current_a=[2.30, 2.10, 1.92], rating_a=2.2, own_half_width_a=0.03, common_half_width_fraction=0.01
    )
    assert boards.verdict().verdict == "over its rating"
    setting = current_setting_for_rating(boards, 6.32)
    assert setting.ratio < 2.2 / 2.3
    assert boards.chance_all_below(boards.rating / setting.ratio) == pytest.approx(0.95, abs=1e-3)
    assert setting.light_fraction == pytest.approx(setting.ratio)
    # A board that follows with more than the total needs less of a turn.
    assert current_setting_for_rating(boards, 6.32, follow=[1.5, 0.9, 0.6]).ratio > setting.ratio
    ceiling = voltage_ceiling_for_rating(boards, 50.0, slope_ohm=0.5)
    assert ceiling.total_a == pytest.approx(setting.ratio * 6.32)
    assert ceiling.ceiling_v == pytest.approx(50.0 - 0.5 * (6.32 - ceiling.total_a))
    assert voltage_ceiling_for_rating(boards, 50.0, slope_ohm=0.5, voltage_half_width_v=0.1).ceiling_v < 49.9
    more = boards_to_add(boards)
    assert (more.count, more.highest_a) == (1, pytest.approx(2.30 * 3 / 4))
    # Light that rises less than current: the same current over more boards gives more.
    assert boards_to_add(boards, light_of_current=lambda a: a - 0.05 * a**2).light_fraction > 1.0
    with pytest.raises(ArgumentError, match="light_of_current"):
        boards_to_add(boards, light_of_current=lambda a: 0.0 * a)


def test_temperatures_referred_to_a_common_air():
    log = CurrentLog.from_wide(
        [0.0, 2.0, 4.0],
        {"B1": [2.0, 2.0, 2.0]},
        temperature_c={"B1": [50.0, 54.0, 58.0]},
        air_temperature_c=[20.0, None, 26.0],
    )
    rises = temperature_rises(log, common_air_c=22.0)
    assert rises.rise_k.tolist() == [30.0, 31.0, 32.0]
    assert rises.referred_c.tolist() == [52.0, 53.0, 54.0]
    scaled = temperature_rises(log, common_air_c=22.0, to_current_a=1.0)
    assert scaled.referred_c.tolist() == [37.0, 37.5, 38.0]
    assert referred_temperature(45.0, 25.0, common_air_c=20.0) == 40.0


def test_mains_side():
    log = CurrentLog.from_wide(
        [0.0, 4.0],
        {"B1": [2.0, 2.0], "B2": [2.0, 2.0]},
        voltage_v={"B1": [50.0, 50.0], "B2": [50.0, 50.0]},
        mains_w=[220.0, 220.0],
        power_factor=[0.95, 0.95],
    )
    meters = {
        "current_noise": CLAMP,
        "voltage_noise": MeterNoise(accuracy_fraction=0.005),
        "mains_noise": MeterNoise(accuracy_fraction=0.01),
    }
    found = mains_measured(log, **meters)
    assert (found.efficiency_fraction, found.basis) == (pytest.approx(200.0 / 220.0), "measured")
    assert found.apparent_va == pytest.approx(220.0 / 0.95)
    assert 0.005 < found.efficiency_half_width_fraction < 0.03
    bare = mains_measured(CurrentLog.from_wide([0.0], {"B1": [2.0]}))
    assert (bare.basis, np.isnan(bare.mains_w)) == ("predicted, not measured: mains watts were not read", True)


def test_a_bent_dial_is_not_straight():
    noise = MeterNoise(accuracy_fraction=0.005, counts=1, resolution=0.01)
    dial = np.array([20.0, 40.0, 60.0, 80.0, 100.0])
    assert dial_line(dial, 0.125 * dial, noise=noise).straight
    assert not dial_line(dial, 0.125 * dial + 0.0005 * (dial - 60.0) ** 2, noise=noise).straight
    line = dial_line(dial, 0.125 * dial, noise=noise)
    assert line.dial_for(10.0).dial == pytest.approx(80.0)
    assert line.dial_for(14.0).tried is False


def test_next_reading_of_a_drift_is_later_and_narrows_it():
    worth = next_reading([0.0, 1.0, 2.0], standard_uncertainty=0.01, horizon_h=6.0)
    assert worth.quantity == "drift"
    # By hand: spread 2 h2 grows by (t - 1)^2 3/4.
    assert worth.error_then == pytest.approx(0.01 / (2.0 + 0.75 * (worth.at_h - 1.0) ** 2) ** 0.5)


def test_a_scatter_that_the_meter_does_not_explain_is_told():
    log = CurrentLog.from_wide(np.arange(8.0), {"B1": [2.0, 2.3, 1.9, 2.2, 2.0, 2.3, 1.8, 2.2]})
    found = judge_log(log, noise=CLAMP)
    assert not found.boards[0].drift.meter_explains_scatter
    assert any("scatters" in line for line in judgement_sentences(found))


def test_shares_of_boards_that_move_are_of_the_latest_round():
    time = np.linspace(0.5, 12.0, 12)
    found = judge_log(CurrentLog.from_wide(time, {"B1": 1.8 + 0.05 * time, "B2": np.full(12, 2.0)}), noise=CLAMP)
    assert found.verdict == "drifting"
    assert (found.shares[0].round_count, found.shares[0].highest) == (1, "B1")


def test_too_few_readings():
    log = CurrentLog.from_wide([1.0], {"B1": [2.0]})
    found = judge_log(log, noise=CLAMP)
    assert found.verdict == "cannot be told yet"
    assert found.boards[0].drift.verdict == "too few readings"
    assert settling([0.0, 1.0], [2.0, 2.0]).verdict == "too few readings"


def test_a_settled_board_whose_warm_up_is_longer_than_its_log_runs_at_its_latest_reading():
    """All that is to go is less than the clamp shows, though less than 98 % of the change is done."""
    time = np.array([0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0])
    current = 2.0 - 0.25 * np.exp(-time / 1.0)
    found = judge_log(CurrentLog.from_wide(time, {"B1": current}), noise=CLAMP)
    board = found.boards[0]
    assert (board.settling.verdict, board.level.basis) == ("settled", "latest reading")
    assert board.warmed_up_h > 3.0
    assert board.level.current_a == current[-1]
    assert found.shares[0].round_count == 1


def test_figures_to_the_digits_that_their_uncertainty_leaves():
    """JCGM 100 (GUM) 7.2.6: at most two significant digits of an uncertainty."""
    assert with_uncertainty(2.08333, 0.0272, "A") == "2.083 +- 0.027 A"
    assert with_uncertainty(-0.0001, 0.024, "A") == "0.000 +- 0.024 A"
    assert with_uncertainty(1234.5, 56.0, "W") == "1234 +- 56 W"
    assert with_uncertainty(2.08333, float("nan"), "A") == "2.083 A"
