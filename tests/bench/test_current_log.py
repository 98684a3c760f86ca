"""What is wrong in a log is told in its place, with what was likely meant, and the rest is judged."""

import numpy as np
import pytest

from ledcalc.bench import CurrentLog, MeterNoise, judge_log
from ledcalc.errors import ArgumentError

CLAMP = MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01)
HOURS = [0.0, 2.0, 4.0, 6.0, 8.0]


def one_board(current, **more):
    return CurrentLog.from_long(HOURS[: len(current)], ["B1"] * len(current), current, **more)


def codes(log):
    return [remark.code for remark in log.remarks]


def test_long_and_wide_tables_say_the_same():
    wide = CurrentLog.from_wide(
        [0, 60], {"B1": [2.08, 2.09], "B2": [2.01, None]}, time_unit="min", air_temperature_c=[20.0, 21.0]
    )
    long = CurrentLog.from_long(
        [60, 0, 0],
        ["B1", "B2", "B1"],
        [2.09, 2.01, 2.08],
        time_unit="min",
        air_temperature_c=[21.0, 20.0, 20.0],
    )
    for log in (wide, long):
        assert log.elapsed_h[~np.isnan(log.current_a)].tolist() == [0.0, 0.0, 1.0]
        read = {(log.boards[b], t): c for b, t, c in zip(log.board, log.elapsed_h, log.current_a, strict=True)}
        assert (read["B1", 0.0], read["B2", 0.0], read["B1", 1.0]) == (2.08, 2.01, 2.09)
    assert codes(wide) == []


def test_units_are_converted():
    log = one_board([2080, 2090], current_unit="mA", time_unit="min", temperature_c=[122, 131], temperature_unit="degF")
    assert log.current_a == pytest.approx([2.08, 2.09])
    assert log.elapsed_h == pytest.approx([0.0, 2.0 / 60.0])
    assert log.temperature_c == pytest.approx([50.0, 55.0])


def test_amperes_in_a_milliampere_column():
    log = one_board([2080, 2.1, 2090, 2070], current_unit="mA")
    (remark,) = log.remarks
    assert (remark.code, remark.row, remark.field, remark.value, remark.left_out) == (
        "mixed-units",
        2,
        "current_a",
        2.1,
        True,
    )
    assert remark.likely == pytest.approx(2100.0)
    assert log.current_a == pytest.approx([2.08, 2.09, 2.07])


def test_a_slipped_digit_and_the_same_reading_corrected():
    slipped = one_board([850, 842, 85, 848], current_unit="mA")
    (remark,) = slipped.remarks
    assert (remark.code, remark.row, remark.likely) == ("tenfold", 3, pytest.approx(850.0))
    assert codes(one_board([850, 842, 850, 848], current_unit="mA")) == []


def test_a_board_that_has_failed_is_no_slipped_digit():
    """A third of the others' current is out of line, but no power of ten."""
    assert codes(one_board([2.08, 2.09, 0.7, 2.08])) == []


def test_all_boards_down_together_is_the_dial_not_digits():
    wide = {f"B{n}": [2.0 + 0.01 * n, 2.01 + 0.01 * n, 0.2 + 0.001 * n, 2.0 + 0.01 * n] for n in range(4)}
    assert codes(CurrentLog.from_wide([0, 1, 2, 3], wide)) == []


def test_clamp_turned_round():
    log = one_board([2.08, -2.09, 2.07])
    (remark,) = log.remarks
    assert (remark.code, remark.row, remark.likely) == ("negative", 2, pytest.approx(2.09))
    assert "clamp" in str(remark)
    assert np.nanmin(log.current_a) > 0


def test_unknown_board_is_named_with_the_nearest():
    log = CurrentLog.from_long([0, 0, 2], ["B1", "B11", "B1"], [2.0, 2.1, 2.0], known_boards=["B1", "B2"])
    (remark,) = log.remarks
    assert (remark.code, remark.row, remark.value, remark.likely) == ("unknown-board", 2, "B11", "B1")
    assert log.boards == ("B1",)
    assert judge_log(log, noise=CLAMP).boards[0].board == "B1"


def test_times_out_of_order_are_sorted_and_told():
    log = CurrentLog.from_long([0, 4, 2, 6], ["B1"] * 4, [2.0, 2.01, 2.02, 2.03])
    assert codes(log) == ["time-order"]
    assert log.remarks[0].row == 3
    assert log.current_a.tolist() == [2.0, 2.02, 2.01, 2.03]


def test_minutes_among_hours():
    log = CurrentLog.from_long([0, 30, 1, 2, 4], ["B1"] * 5, [2.0, 2.01, 2.02, 2.03, 2.03])
    (remark,) = log.remarks
    assert (remark.code, remark.row, remark.left_out) == ("mixed-time-units", 2, True)
    assert remark.likely == pytest.approx(0.5)
    assert log.elapsed_h.tolist() == [0.0, 1.0, 2.0, 4.0]


def test_minutes_from_some_row_on():
    log = CurrentLog.from_long([0.5, 1, 120, 240], ["B1"] * 4, [2.0, 2.01, 2.02, 2.03])
    assert codes(log) == ["time-jump"]
    assert log.remarks[0].likely == pytest.approx(2.0)
    assert not log.remarks[0].left_out


def test_no_time_and_a_time_before_switch_on():
    log = CurrentLog.from_long([None, -1, 2, 3], ["B1"] * 4, [2.0, 2.01, 2.02, 2.03])
    assert codes(log) == ["no-time", "negative-time"]
    assert log.current_a.tolist() == [2.02, 2.03]


def test_a_constant_column_is_judged_and_told():
    log = one_board([2.08] * 5)
    assert codes(log) == ["constant"]
    assert not log.remarks[0].left_out
    assert codes(one_board([2.08] * 4)) == []
    assert codes(one_board([2.08] * 4 + [2.09])) == []
    assert judge_log(log, noise=CLAMP).verdict == "stable"


def test_fahrenheit_among_celsius():
    log = one_board([2.08, 2.07, 2.08, 2.09], temperature_c=[52.0, 53.0, 127.4, 53.5])
    (remark,) = log.remarks
    assert (remark.code, remark.field, remark.row) == ("mixed-units", "temperature_c", 3)
    assert remark.likely == pytest.approx(53.0)


def test_what_is_read_of_a_supply():
    log = CurrentLog.from_wide(
        HOURS[:4],
        {"B1": [2.08, 2.09, 2.08, 2.07], "B2": [2.0, 2.01, 2.02, 2.0]},
        total_current_a=[4.1, 4090.0, -4.1, 4.1],
        mains_w=[230.0, 231.0, 229.0, 230.0],
        power_factor=[0.97, 97.0, 0.96, 0.97],
    )
    told = {(remark.code, remark.field, remark.row) for remark in log.remarks}
    assert told == {
        ("mixed-units", "total_current_a", 2),
        ("negative", "total_current_a", 3),
        ("mixed-units", "power_factor", 2),
    }
    assert np.isnan(log.supply_readings.total_current_a).tolist() == [False, True, True, False]


def test_two_totals_of_one_time():
    log = CurrentLog.from_long(
        [0, 0, 2, 2], ["B1", "B2"] * 2, [2.0, 2.1, 2.0, 2.1], total_current_a=[4.1, 4.2, 4.1, 4.1]
    )
    assert set(codes(log)) == {"two-readings"}
    assert log.supply_readings.total_current_a == pytest.approx([4.15, 4.1])


def test_a_word_where_a_number_should_be():
    log = one_board([2.08, "two", 2.07])
    (remark,) = log.remarks
    assert (remark.row, remark.value, remark.left_out) == (2, "two", True)


def test_many_alike_are_counted():
    size = 60
    log = CurrentLog.from_long(np.arange(size), ["B1"] * size, np.where(np.arange(size) % 2, -2.0, 2.0))
    negative = [remark for remark in log.remarks if remark.code == "negative"]
    assert len(negative) == 21
    assert "10 further rows" in negative[-1].what


def test_columns_of_different_lengths_and_unknown_units():
    with pytest.raises(ArgumentError, match="elapsed_h is 3"):
        CurrentLog.from_long([0, 1, 2], ["B1"] * 2, [2.0, 2.0, 2.0])
    with pytest.raises(ArgumentError, match="voltage_v"):
        CurrentLog.from_wide([0, 1], {"B1": [2.0, 2.0]}, voltage_v={"B2": [50.0, 50.0]})
    with pytest.raises(ValueError, match="furlong"):
        one_board([2.0, 2.0], current_unit="furlong")


def test_nothing_read_at_all():
    log = CurrentLog.from_long([0, 1], ["B1", "B1"], [None, None])
    found = judge_log(log, noise=CLAMP, rating_a=2.2)
    assert (found.verdict, found.boards, found.rating) == ("no readings", (), None)


def test_since_and_one_supply():
    log = CurrentLog.from_wide(
        [0, 4, 8],
        {"B1": [2.0, 2.0, 2.1], "B2": [1.9, 1.9, 1.9]},
        supply_of={"B1": "S1", "B2": "S2"},
        total_current_a={"S1": [2.0, None, 2.1], "S2": [None, 1.9, None]},
    )
    later = log.since(4.0)
    assert sorted(set(later.elapsed_h.tolist())) == [4.0, 8.0]
    first = log.of_supply(log.supplies.index("S1"))
    assert {first.boards[index] for index in first.board} == {"B1"}
    assert first.supply_readings.total_current_a.tolist() == [2.0, 2.1]
