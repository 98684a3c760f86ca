"""What the page on the current log takes as present: the last readings, warm; and a ceiling that the model bears."""

import dataclasses
import sys
from pathlib import Path

import pytest

import ledcalc as lc
from ledcalc.evaluation.log_advice import turns_of

sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))
from log_cases import logged


def of_supply(fixture, **columns):
    """Return the fixture with columns of its supply log, a value a row."""
    rows = tuple(
        dataclasses.replace(row, **{name: values[n] for name, values in columns.items()})
        for n, row in enumerate(fixture.supply_log)
    )
    return dataclasses.replace(fixture, supply_log=rows)


def ceiling_of(fixture):
    return next(turn for turn in turns_of(lc.evaluate(fixture)) if turn.what == "voltage ceiling")


def test_now_is_the_last_reading_in_time_not_a_mean_with_cold_ones(bench_results):
    fixture, volts = logged(bench_results), bench_results.operating.voltage_v
    cold = of_supply(fixture, voltage_v=[volts + 1.0, *[volts + 0.3] * 4, volts])
    found = ceiling_of(cold)
    assert found.now == volts
    assert "as last read at the driver" in found.remark
    backwards = dataclasses.replace(cold, supply_log=cold.supply_log[::-1])
    assert ceiling_of(backwards).now == volts
    settled = ceiling_of(of_supply(fixture, voltage_v=[volts] * 6))
    assert found.then == pytest.approx(settled.then, abs=1e-9)


def test_mains_power_is_the_last_reading(bench_results):
    fixture, watts = logged(bench_results), bench_results.operating.mains_power_w
    read = of_supply(fixture, mains_power_w=[watts + 20.0, watts + 5.0, *[watts] * 3, watts - 1.0])
    assert lc.evaluate(read).log_verdict.mains_w == watts - 1.0


@pytest.mark.parametrize("higher_v", [-0.3, 0.0, 0.6])
def test_a_ceiling_typed_in_keeps_the_predicted_boards_within_their_rating(bench_results, higher_v):
    """Also where the voltage was read higher than predicted, with the current dial turned up all the way."""
    fixture = logged(bench_results)
    fixture = of_supply(fixture, voltage_v=[bench_results.operating.voltage_v + higher_v] * 6)
    found = ceiling_of(fixture)
    (model,) = fixture.drivers
    model = dataclasses.replace(model, current_high_a=20.0, power_limit_w=2000.0)
    wide = dataclasses.replace(fixture, drivers=(model,))
    found = ceiling_of(wide)
    assert round(found.then, 2) == pytest.approx(found.then, abs=1e-9)
    typed = lc.evaluate(dataclasses.replace(wide, voltage_setting_v=round(found.then, 2), current_setting_a=20.0))
    assert typed.operating.mode == "constant voltage"
    assert "board-over-current" not in {one.code for one in typed.findings}
    assert ("boards as predicted pass their rating" in found.remark) is (higher_v >= 0)
    if higher_v >= 0:
        # No lower than need be.
        assert typed.boards.current_a.max() > 0.99 * typed.boards.rated_current_a.min()
