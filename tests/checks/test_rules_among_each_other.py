"""Findings in the company of others: no rule speaks where another is meant, and remedies fit what they are for."""

import dataclasses

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.errors import InputErrors, NotSettledError


def codes(results):
    return {found.code for found in results.findings}


def remedy(results, code):
    return next(found for found in results.findings if found.code == code)


def wired(bench, ways, boards, **changes):
    cables = tuple(
        dataclasses.replace(bench.cables[0], tag=f"W{n}", from_node=start, to_node=end)
        for n, (start, end) in enumerate(ways, start=1)
    )
    driver = dataclasses.replace(bench.drivers[0], voltage_high_v=60.0, current_low_a=0.1, power_limit_w=150.0)
    return dataclasses.replace(
        bench,
        arrangement="single wires",
        rows_count=1,
        columns_count=boards,
        cables=cables,
        drivers=(driver,),
        current_log=(),
        **changes,
    )


def test_uneven_lead_sets_are_over_current_and_no_hogging(bench):
    """Two of eight boards share one lead set's 2.2 A: 1.1 A each by the wiring, cold and warm alike."""
    model = dataclasses.replace(bench.drivers[0], lead_sets_count=2, lead_sets="separately limited", current_low_a=0.5)
    cables = tuple(dataclasses.replace(run, lead_set=1 + (n >= 6)) for n, run in enumerate(bench.cables))
    results = lc.evaluate(dataclasses.replace(bench, drivers=(model,), cables=cables, current_setting_a=2.2))
    assert "one-board-hogs" not in codes(results)
    found = remedy(results, "board-over-current")
    assert found.value == pytest.approx(1.1, abs=0.01)
    assert "board-over-current" not in codes(lc.evaluate(lc.with_values(results.fixture, found.changes)))


def test_a_board_beside_a_turned_one_is_over_current_and_no_hog(bench):
    ways = [("driver +", "B1 +"), ("B1 -", "driver -"), ("driver +", "B2 -"), ("B2 +", "driver -")]
    results = lc.evaluate(wired(bench, ways, 2, voltage_setting_v=24.0, current_setting_a=1.0))
    assert results.operating.mode == "constant current"
    assert {"board-over-current", "board-without-current"} <= codes(results)
    assert not {"one-board-hogs", "driver-at-power-limit"} & codes(results)
    found = remedy(results, "board-without-current")
    assert found.remedy.startswith("swap + and - at B2")


@pytest.mark.parametrize("turned", [("B1", "B2"), ("driver",)])
def test_everything_the_wrong_way_round_is_not_said_to_be_too_low_a_voltage(bench, turned):
    ways = [("driver +", "B1 +"), ("B1 -", "driver -"), ("driver +", "B2 +"), ("B2 -", "driver -")]
    swapped = [
        tuple(f"{end[:-1]}{'+' if end.endswith('-') else '-'}" if end.split()[0] in turned else end for end in way)
        for way in ways
    ]
    results = lc.evaluate(wired(bench, swapped, 2, voltage_setting_v=56.0, current_setting_a=1.0))
    found = remedy(results, "boards-dark")
    assert "all 2 boards" in found.remedy
    assert "voltage setting" not in found.message
    assert results.boards.current_a.tolist() == [0.0, 0.0]


def test_boards_in_series_that_lack_volts_are_told_how_many(bench):
    ways = [("driver +", "B1 +"), ("B1 -", "B2 +"), ("B2 -", "driver -")]
    results = lc.evaluate(wired(bench, ways, 2, voltage_setting_v=30.0, current_setting_a=0.5))
    found = remedy(results, "boards-dark")
    lit = lc.evaluate(lc.with_values(results.fixture, found.changes))
    assert lit.boards.current_a == pytest.approx([0.5, 0.5], rel=1e-6)


def test_a_lost_branch_changes_nothing_where_the_voltage_is_held(bench):
    strong = dataclasses.replace(bench.drivers[0], current_high_a=60.0, power_limit_w=1500.0)
    cool = dataclasses.replace(bench.heat_sinks[0], sink_resistance_k_per_w=1.0)
    weak = dataclasses.replace(bench.boards[0], rated_current_a=0.3)
    held = dataclasses.replace(
        bench,
        drivers=(strong,),
        heat_sinks=(cool,),
        boards=(weak,),
        voltage_setting_v=22.5,
        current_setting_a=50.0,
    )
    results = lc.evaluate(held)
    assert results.operating.mode == "constant voltage"
    assert "board-over-current" in codes(results)
    assert "one-lost-over-current" not in codes(results)


def test_a_dimmed_fixture_that_is_too_dim_is_told_to_raise_the_level(bench):
    dim = lc.evaluate(dataclasses.replace(bench, dimming_fraction=0.5, current_setting_a=5.0))
    found = remedy(dim, "light-below-target")
    assert "dimming level" in found.remedy or "driver's current" in found.remedy
    assert "boards instead" not in found.remedy
    assert "light-below-target" not in codes(lc.evaluate(lc.with_values(dim.fixture, found.changes)))


def test_a_voltage_that_starves_the_boards_is_told_to_rise(bench):
    starved = lc.evaluate(dataclasses.replace(bench, voltage_setting_v=21.6))
    assert starved.operating.mode == "constant voltage"
    found = remedy(starved, "light-below-target")
    assert "raise the driver's voltage" in found.remedy
    assert "light-below-target" not in codes(lc.evaluate(lc.with_values(starved.fixture, found.changes)))


def test_no_steady_state_names_the_cell_and_each_remedy_holds(bench):
    strong = dataclasses.replace(bench.drivers[0], current_high_a=60.0, power_limit_w=1500.0)
    hot = dataclasses.replace(bench.heat_sinks[0], sink_resistance_k_per_w=14.0)
    runaway = dataclasses.replace(
        bench, drivers=(strong,), heat_sinks=(hot,), voltage_setting_v=22.0, current_setting_a=50.0
    )
    with pytest.raises(NotSettledError) as caught:
        lc.evaluate(runaway)
    text = str(caught.value)
    share = float(text.split("heat sinks of ")[1].split(" %")[0]) / 100.0
    assert "heat_sinks" in text or "Heat sinks!" in text
    # A little inside what is named, for the message rounds, and board and sink each carry their share.
    cooler = dataclasses.replace(hot, sink_resistance_k_per_w=14.0 * share * 0.95, interface_resistance_k_per_w=0.0)
    assert np.isfinite(lc.evaluate(dataclasses.replace(runaway, heat_sinks=(cooler,))).boards.current_a).all()


def test_a_room_that_is_an_oven_is_told_how_much_air_it_wants(bench):
    site = dataclasses.replace(bench.site, ventilation_m3_per_h=0.5)
    with pytest.raises(NotSettledError, match="m3/h would keep it within 10 K") as caught:
        lc.evaluate(dataclasses.replace(bench, site=site))
    wanted = float(str(caught.value).split("; ")[1].split(" m3/h")[0])
    aired = lc.evaluate(dataclasses.replace(bench, site=dataclasses.replace(site, ventilation_m3_per_h=wanted)))
    assert aired.operating.air_temperature_c == pytest.approx(30.0, abs=0.7)


def test_what_is_not_checked_is_not_blamed_on_inputs_that_are_there(bench):
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=22.5)
    dark = lc.evaluate(dataclasses.replace(bench, drivers=(cut,)))
    said = " ".join(dark.not_checked)
    assert "heat capacity" not in said
    assert "voltage spread" not in said
    assert "none flows" in said
    assert "no current" in dark.what_if.advice.words


def test_the_hottest_day_that_switches_the_light_off_is_said(bench):
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=22.2)
    results = lc.evaluate(dataclasses.replace(bench, drivers=(cut,)))
    said = [found for found in results.findings if found.code == "fault-over-limits" and "Hottest day" in found.message]
    assert said
    assert "switches off" in said[0].message


def test_a_reading_off_its_prediction_points_at_its_own_row(bench):
    rows = {reading.board: n for n, reading in enumerate(bench.current_log)}
    changed = list(bench.current_log)
    changed[rows["B5"]] = dataclasses.replace(changed[rows["B5"]], current_a=0.40)
    results = lc.evaluate(dataclasses.replace(bench, current_log=tuple(changed)))
    assert remedy(results, "measured-off-prediction").path == f"current_log[{rows['B5']}].current_a"


def test_points_whose_voltage_rises_with_heat_are_refused(bench):
    warm = tuple(
        dataclasses.replace(point, temperature_c=65.0, voltage_v=point.voltage_v + 0.5) for point in bench.board_points
    )
    with pytest.raises(InputErrors, match="rises with its temperature"):
        lc.evaluate(dataclasses.replace(bench, board_points=(*bench.board_points, *warm)))


def test_a_coefficient_from_points_is_shown_and_no_default_stands_in(bench):
    blank = dataclasses.replace(bench.boards[0], voltage_coefficient_v_per_k=0.0)
    warm = tuple(
        dataclasses.replace(point, temperature_c=65.0, voltage_v=point.voltage_v - 0.72) for point in bench.board_points
    )
    results = lc.evaluate(dataclasses.replace(bench, boards=(blank,), board_points=(*bench.board_points, *warm)))
    said = [entry for entry in results.assumptions if entry.path.endswith("voltage_coefficient_v_per_k")]
    assert len(said) == 1
    assert "-18.0 mV/K" in said[0].value
