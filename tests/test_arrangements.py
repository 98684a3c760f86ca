"""Fixtures beyond plain home runs: wires, lead sets, shared sinks, dimming, room air, curves; each by a second way."""

import dataclasses
import itertools

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.errors import InputErrors
from ledcalc.evaluation.conducting import conducting, leading_on

PAIRS = (("B1", "B5"), ("B2", "B6"), ("B3", "B7"), ("B4", "B8"))


def wired(fixture, ways, **changes):
    """Return the fixture in single wires, one row a way."""
    cables = tuple(
        dataclasses.replace(fixture.cables[0], tag=f"W{number}", from_node=start, to_node=end, one_way_length_m=1.0)
        for number, (start, end) in enumerate(ways, start=1)
    )
    driver = dataclasses.replace(fixture.drivers[0], voltage_high_v=250.0, power_limit_w=400.0, current_low_a=0.1)
    return dataclasses.replace(fixture, arrangement="single wires", cables=cables, drivers=(driver,), **changes)


def strings(pairs=PAIRS):
    return [
        way
        for first, second in pairs
        for way in (("driver +", f"{first} +"), (f"{first} -", f"{second} +"), (f"{second} -", "driver -"))
    ]


def placed(fixture, **changes):
    """Return the fixture with its eight boards as rows of the Positions sheet, each with the changes."""
    return dataclasses.replace(
        fixture,
        positions=tuple(
            lc.Position(tag=f"B{n}", x_m=0.15 + 0.3 * ((n - 1) % 4), y_m=0.15 + 0.3 * ((n - 1) // 4), **changes)
            for n in range(1, 9)
        ),
    )


def test_all_boards_in_series_carry_one_current_and_add_their_volts(bench):
    tags = [f"B{n}" for n in range(1, 9)]
    ways = [("driver +", "B1 +"), *((f"{a} -", f"{b} +") for a, b in itertools.pairwise(tags)), ("B8 -", "driver -")]
    results = lc.evaluate(wired(bench, ways, voltage_setting_v=200.0, current_setting_a=0.55))
    assert results.operating.mode == "constant current"
    assert results.boards.current_a == pytest.approx([0.55] * 8)
    wire_v = float((results.wires.resistance_ohm * results.wires.current_a).sum())
    assert results.operating.voltage_v == pytest.approx(results.boards.voltage_v.sum() + wire_v, rel=1e-9)
    # A single wire leads one way: half of what a cable out and back has, contacts aside.
    contact = bench.cables[0].contact_resistance_ohm
    cable = lc.conductor_resistance("18 AWG", 1.0, conductor_temperature_c=results.wires.conductor_temperature_c[0])
    assert results.wires.resistance_ohm[0] == pytest.approx(cable + contact, rel=1e-9)
    opened = [found for found in results.what_if.faults if found.kind == "board open"]
    assert all(len(found.dark) == 8 for found in opened)


def test_strings_share_evenly_and_a_lost_string_loads_the_others(bench):
    results = lc.evaluate(wired(bench, strings(), voltage_setting_v=60.0, current_setting_a=2.2))
    assert results.boards.current_a == pytest.approx([0.55] * 8)
    assert results.boards.one_lost_current_a == pytest.approx([2.2 / 3] * 8)
    assert results.operating.lead_set_current_a == pytest.approx({1: 2.2})


def test_a_reversed_return_evens_out_what_a_trunk_fed_at_one_end_does_not(bench):
    tags = [f"B{n}" for n in range(1, 9)]
    plus = [("driver +", "B1 +"), *((f"{a} +", f"{b} +") for a, b in itertools.pairwise(tags))]
    minus = [(f"{a} -", f"{b} -") for a, b in itertools.pairwise(tags)]
    same, reversed_ = (
        lc.evaluate(wired(bench, [*plus, *minus, (end, "driver -")], voltage_setting_v=24.0)).boards.current_a
        for end in ("B1 -", "B8 -")
    )
    assert np.ptp(reversed_) < 0.35 * np.ptp(same)
    assert reversed_ == pytest.approx(reversed_[::-1], rel=1e-9)


def test_a_joint_is_a_node_like_any_other(bench):
    ways = [("driver +", "rail"), ("driver -", "return")]
    ways += [way for n in range(1, 9) for way in (("rail", f"B{n} +"), (f"B{n} -", "return"))]
    results = lc.evaluate(wired(bench, ways, voltage_setting_v=26.0))
    assert results.wires.current_a[:2] == pytest.approx([4.4, 4.4])
    assert results.boards.current_a == pytest.approx([0.55] * 8)


@pytest.mark.parametrize("turned", ["B1", "B5"])
def test_a_board_the_wrong_way_round_leaves_its_string_dark(bench, turned):
    swapped = [
        tuple(f"{end[:-1]}{'+' if end[-1] == '-' else '-'}" if end.startswith(turned) else end for end in way)
        for way in strings()
    ]
    results = lc.evaluate(wired(bench, swapped, voltage_setting_v=60.0, current_setting_a=1.65))
    assert results.boards.current_a[[0, 4]].tolist() == [0.0, 0.0]
    assert np.delete(results.boards.current_a, [0, 4]) == pytest.approx([0.55] * 6)
    assert results.operating.mode == "constant current"
    [found] = [found for found in results.findings if found.code == "board-without-current"]
    assert found.message.startswith("B1, B5 get no current")


def test_what_current_can_pass():
    wires = [(("driver", "+"), ("A", "+")), (("A", "-"), ("B", "+")), (("B", "-"), ("driver", "-"))]
    assert conducting(["A", "B"], wires) == [0, 1]
    assert conducting(["A", "B"], wires[:-1]) == []
    stray = [*wires, (("A", "-"), ("J", "")), (("K", ""), ("L", ""))]
    assert leading_on(["A", "B"], stray) == [0, 1, 2]


def test_separately_limited_lead_sets_hold_the_setting_each(bench):
    model = dataclasses.replace(
        bench.drivers[0], lead_sets_count=2, lead_sets="separately limited", current_low_a=0.5, power_limit_w=200.0
    )
    sets = [1, 1, 1, 2, 2, 2, 2, 2]
    cables = tuple(dataclasses.replace(run, lead_set=own) for run, own in zip(bench.cables, sets, strict=True))
    fixture = dataclasses.replace(bench, drivers=(model,), cables=cables, current_setting_a=2.0)
    results = lc.evaluate(fixture)
    boards, operating = results.boards, results.operating
    assert boards.current_a[:3].sum() == pytest.approx(2.0)
    assert boards.current_a[3:].sum() == pytest.approx(2.0)
    assert operating.lead_set_current_a == pytest.approx({1: 2.0, 2: 2.0})
    assert operating.current_a == pytest.approx(4.0)
    assert operating.set_current_a == pytest.approx(2.0)
    assert operating.power_w == pytest.approx((boards.power_w.sum() + results.wires.loss_w.sum()), rel=1e-9)
    # One board lost: the two others on its set share its 2 A, the other set does not notice.
    first = next(found for found in results.what_if.faults if found.kind == "board open" and found.where == "B1")
    assert first.current_a[1:3].sum() == pytest.approx(2.0)
    assert first.current_a[3:] == pytest.approx(boards.current_a[3:])
    over = next(found for found in results.findings if found.code == "one-lost-over-current")
    assert over.value == pytest.approx(boards.one_lost_current_a.max())
    across = dataclasses.replace(cables[0], tag="W9", from_node="B4")
    joined = dataclasses.replace(fixture, arrangement="shared trunk", cables=(*cables, across))
    with pytest.raises(InputErrors, match="limits separately"):
        lc.evaluate(joined)


def test_boards_on_one_sink_are_as_warm_as_on_sinks_of_eight_times_the_resistance(bench):
    alone = lc.evaluate(placed(bench))
    eighth = dataclasses.replace(bench.heat_sinks[0], sink_resistance_k_per_w=3.6 / 8)
    together = lc.evaluate(placed(dataclasses.replace(bench, heat_sinks=(eighth,)), shared_sink="rail"))
    assert together.boards.temperature_c.mean() == pytest.approx(alone.boards.temperature_c.mean(), abs=0.02)
    heat = together.boards.heat_w
    assert together.boards.sink_heat_w == pytest.approx([heat.sum()] * 8)
    # By hand: air + all heat through the sink + own heat through its interface.
    assert together.boards.temperature_c == pytest.approx(20.0 + heat.sum() * 3.6 / 8 + 0.4 * heat, abs=1e-7)
    # On one sink a board that warms up warms all: they part less.
    assert together.operating.loop_gain < alone.operating.loop_gain
    assert together.what_if.warm_up is not None
    assert together.what_if.warm_up.temperature_c[:, -1] == pytest.approx(together.boards.temperature_c, abs=0.3)


def test_a_shared_sink_given_by_dimensions_is_worked_out_at_the_heat_of_all_its_boards(bench):
    sink = lc.HeatSink(
        tag="Channel 300",
        orientation="vertical",
        width_m=0.12,
        length_m=0.3,
        base_thickness_m=0.004,
        fin_count=8,
        fin_height_m=0.03,
        fin_thickness_m=0.002,
        interface_resistance_k_per_w=0.4,
    )
    results = lc.evaluate(placed(dataclasses.replace(bench, heat_sinks=(sink,)), shared_sink="rail"))
    boards = results.boards
    rise = boards.sink_temperature_c - 20.0
    assert rise == pytest.approx(boards.sink_resistance_k_per_w * boards.heat_w.sum(), rel=1e-6)
    blown = dataclasses.replace(sink, air_speed_m_per_s=2.0)
    forced = lc.evaluate(placed(dataclasses.replace(bench, heat_sinks=(blown,)), shared_sink="rail"))
    assert forced.boards.sink_temperature_c.max() < boards.sink_temperature_c.max() - 5.0
    # With the fan stopped it is the sink in still air again.
    still = next(found for found in forced.what_if.faults if found.kind == "fans off")
    assert still.temperature_c == pytest.approx(boards.temperature_c, abs=0.5)


def test_one_shared_sink_has_one_model(bench):
    other = dataclasses.replace(bench.heat_sinks[0], tag="Other")
    fixture = placed(dataclasses.replace(bench, heat_sinks=(*bench.heat_sinks, other)), shared_sink="rail")
    mixed = (dataclasses.replace(fixture.positions[0], heat_sink="Other"), *fixture.positions[1:])
    with pytest.raises(InputErrors, match="one heat sink model a shared sink"):
        lc.evaluate(dataclasses.replace(fixture, positions=mixed))


def test_dimming_scales_the_current_setting_and_remedies_reckon_with_it(bench):
    dimmed = lc.evaluate(dataclasses.replace(bench, dimming_fraction=0.5))
    plain = lc.evaluate(dataclasses.replace(bench, current_setting_a=2.2))
    assert dimmed.boards.current_a == pytest.approx(plain.boards.current_a)
    assert "dimmed" in dimmed.operating.explanation
    assert dimmed.what_if.trim.current_setting_a == pytest.approx(5.0)
    weak = dataclasses.replace(bench.boards[0], rated_current_a=0.25)
    over = lc.evaluate(dataclasses.replace(bench, dimming_fraction=0.5, boards=(weak,)))
    [found] = [found for found in over.findings if found.code == "board-over-current"]
    cured = lc.evaluate(lc.with_values(over.fixture, found.changes))
    assert "board-over-current" not in {found.code for found in cured.findings}
    assert cured.boards.current_a.max() == pytest.approx(0.25, rel=0.012)


def test_the_fixture_warms_the_air_it_hangs_in(bench):
    site = dataclasses.replace(bench.site, ventilation_m3_per_h=100.0)
    results = lc.evaluate(dataclasses.replace(bench, site=site))
    rise = results.operating.air_temperature_c - 20.0
    # 0.34 W per m3/h and kelvin, common practice, no source; air at 20 degC has 0.336 (1.205 kg/m3, 1005 J/(kg K)).
    assert rise == pytest.approx(results.operating.mains_power_w / (0.336 * 100.0), rel=0.01)
    plain = lc.evaluate(bench)
    assert results.boards.temperature_c.max() - plain.boards.temperature_c.max() == pytest.approx(rise, abs=0.1)
    assert results.wires.ambient_c == pytest.approx([20.0 + rise] * 8, abs=0.005)
    hot = next(found for found in results.what_if.faults if found.kind == "hottest day")
    assert hot.where == f"air of {32.0 + rise:g} degC"


def test_efficiency_and_power_factor_go_with_the_load(bench):
    full, half = (lc.evaluate(dataclasses.replace(bench, current_setting_a=amps)).operating for amps in (4.4, 2.2))
    load = half.power_w / 120.0
    assert half.efficiency_fraction == pytest.approx(0.83 + (load - 0.25) / 0.25 * 0.05, abs=1e-12)
    assert full.efficiency_fraction > half.efficiency_fraction
    assert half.mains_power_w == pytest.approx(half.power_w / half.efficiency_fraction)
    assert full.case_temperature_c == pytest.approx(20.0 + 3.0 * full.loss_w)
    stated = lc.evaluate(dataclasses.replace(bench, driver_points=())).operating
    assert (stated.efficiency_fraction, stated.power_factor_fraction) == (0.9, 0.96)


def test_points_between_two_mains_voltages(bench):
    points = tuple(
        lc.DriverPoint(driver="Twin-dial 120", mains_v=volts, load_fraction=1.0, efficiency_fraction=share)
        for volts, share in ((100.0, 0.88), (200.0, 0.92))
    )
    operating = lc.evaluate(dataclasses.replace(bench, driver_points=points)).operating
    assert operating.efficiency_fraction == pytest.approx(0.88 + 0.2 * 0.04)
    assert operating.power_factor_fraction == 0.96
    mixed = (*points, lc.DriverPoint(driver="Twin-dial 120", load_fraction=0.5, efficiency_fraction=0.85))
    with pytest.raises(InputErrors, match="some do not"):
        lc.evaluate(dataclasses.replace(bench, driver_points=mixed))


def test_points_at_two_temperatures_give_both_coefficients(bench):
    warm = tuple(
        dataclasses.replace(
            point,
            temperature_c=65.0,
            voltage_v=point.voltage_v - 0.018 * 40.0,
            photon_flux_umol_s=point.photon_flux_umol_s * 0.96,
        )
        for point in bench.board_points
    )
    blank = dataclasses.replace(bench.boards[0], voltage_coefficient_v_per_k=0.0, flux_coefficient_fraction_per_k=0.0)
    two = lc.evaluate(dataclasses.replace(bench, boards=(blank,), board_points=(*bench.board_points, *warm)))
    one = lc.evaluate(bench)
    assert two.boards.current_a == pytest.approx(one.boards.current_a, rel=1e-6)
    assert two.boards.photon_flux_umol_s == pytest.approx(one.boards.photon_flux_umol_s, rel=1e-6)


def test_a_diode_stands_in_for_the_points_voltages(bench):
    slope, saturation, series = 0.6, 1e-15, 1.2
    model = dataclasses.replace(
        bench.boards[0],
        diode_slope_v=slope,
        diode_saturation_current_a=saturation,
        diode_series_resistance_ohm=series,
    )
    results = lc.evaluate(dataclasses.replace(bench, boards=(model,)))
    amps, warmer = results.boards.current_a, results.boards.temperature_c - 25.0
    by_hand = slope * np.log1p(amps / saturation) + series * amps - 0.018 * warmer
    assert results.boards.voltage_v == pytest.approx(by_hand, rel=1e-9)


def test_offsets_of_boards_move_their_shares(bench):
    fixture = placed(bench)
    low = dataclasses.replace(fixture.positions[2], offset_v=-0.2)
    results = lc.evaluate(dataclasses.replace(fixture, positions=(*fixture.positions[:2], low, *fixture.positions[3:])))
    assert results.boards.current_a.argmax() == 2
    assert results.boards.current_a.sum() == pytest.approx(4.4)


def test_incoming_boards_are_matched_and_the_lowest_goes_on_the_longest_run(bench_results):
    selection = bench_results.selection
    where = dict(zip(selection.tag, selection.place, strict=True))
    # The two furthest from the rest stay spares: N5 is 98 mV over the mean, N9 122 mV below it.
    assert {tag for tag, place in where.items() if not place} == {"N5", "N9"}
    assert where["N3"] == "B5"
    assert where["N2"] == "B4"
    assert np.nansum(selection.expected_current_a) == pytest.approx(4.4)
    spread, unmatched = (
        np.nanmax(row) - np.nanmin(row) for row in (selection.expected_current_a, selection.as_listed_a)
    )
    assert spread < 0.5 * unmatched
    offsets = [selection.offset_v[selection.tag.index(tag)] for tag in ("N3", "N9")]
    assert offsets == pytest.approx([-0.052, -0.122])


def test_metal_within_reach_is_judged_by_its_surface(bench):
    def limits(**changes):
        sink = dataclasses.replace(bench.heat_sinks[0], **changes)
        return lc.evaluate(dataclasses.replace(bench, heat_sinks=(sink,))).boards.touch_limit_c

    # ISO 13732-1, from memory: 65 degC at 1 s on bare metal, 3 K more on lacquer; less 5 K of reading.
    assert limits() == pytest.approx([60.0] * 8)
    assert limits(surface="coated metal") == pytest.approx([63.0] * 8)
    assert np.isnan(limits(within_reach="no")).all()


def test_a_driver_that_cuts_off_gives_nothing(bench):
    model = dataclasses.replace(bench.drivers[0], cut_off_v=23.0)
    results = lc.evaluate(dataclasses.replace(bench, drivers=(model,)))
    assert results.operating.mode == "switched off"
    assert results.boards.current_a.tolist() == [0.0] * 8
    assert results.light.statistics.mean == 0.0
    assert results.severity == "stop"


def test_terminals_of_less_temperature_than_the_insulation_limit_a_run(bench):
    """NEC 310.16, 12 AWG: 30 A by insulation of 90 degC at 30 degC, 20 A by terminals of 60 degC."""
    cables = tuple(
        dataclasses.replace(
            run, size="12 AWG", wire_kind="building wire", insulation_c=90.0, ambient_c=30.0, grouped_circuits_count=1
        )
        for run in bench.cables
    )
    plain, held = (
        lc.evaluate(
            dataclasses.replace(bench, cables=tuple(dataclasses.replace(run, terminal_c=warm) for run in cables))
        )
        for warm in (None, 60.0)
    )
    assert plain.wires.ampacity_a == pytest.approx([30.0] * 8)
    assert held.wires.ampacity_a == pytest.approx([20.0] * 8)
    assert all(status.endswith("limited by its terminals") for status in held.wires.status)


def test_what_the_runs_do_to_the_shares(bench_results):
    """Without drops all eight boards, alike, would take the same; longer runs take from their own boards."""
    bare = bench_results.what_if.without_wires_a
    # Heat shares stay those of the wired fixture, so that a thousandth is left between them.
    assert bare == pytest.approx([4.4 / 8] * 8, rel=2e-3)
    moved = bench_results.boards.current_a - bare
    assert bench_results.boards.tag[int(np.argmin(moved))] == "B5"
    assert moved.sum() == pytest.approx(0.0, abs=1e-9)
