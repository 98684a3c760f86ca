"""Circuits solved side by side against each by itself: every wiring, mixed curves, settings and sinks of their own."""

from dataclasses import replace

import numpy as np
import pytest

from ledcalc.circuit import BoardCurve, Branch, Driver, Network, current_split
from ledcalc.circuit.changed import without_boards
from ledcalc.circuit.led_matrix import with_led_fault
from ledcalc.circuit.stacked import stacks_of
from ledcalc.circuit.topologies import home_run_network, series_of_groups, string_network, trunk_network

POINTS = BoardCurve.from_points([0.1, 0.3, 0.8, 1.5], [16.0, 16.8, 18.0, 19.4], voltage_coefficient_v_per_k=-0.015)
DIODE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
COURSE = BoardCurve.from_points_at_temperatures(
    [0.3, 0.6, 1.0, 0.3, 1.0], [16.8, 17.6, 18.3, 16.1, 17.7], [25.0, 25.0, 25.0, 75.0, 75.0]
)
SHORTED = with_led_fault(POINTS, "LED shorted", series_count=6, parallel_count=3)
CURVES = [POINTS, DIODE, COURSE, SHORTED]


def circuits(seed):
    """Return circuits of four boards, wired in all ways, some with a board lost."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(30):
        boards = [
            Branch(
                curve=CURVES[rng.integers(len(CURVES))],
                wire_resistance_ohm=rng.uniform(0.01, 0.5),
                thermal_resistance_k_per_w=rng.uniform(0.0, 3.0),
                radiant_fraction=rng.uniform(0.3, 0.6),
                offset_v=rng.normal(0.0, 0.05),
            )
            for _ in range(4)
        ]
        kind = rng.choice(["home runs", "trunk", "strings", "groups", "shared sink"])
        network = {
            "home runs": lambda own: own,
            "trunk": lambda own: trunk_network(own, [0.1] * 4, [0.05] * 4),
            "strings": lambda own: string_network([own[:2], own[2:]]),
            "groups": lambda own: series_of_groups([own[:2], own[2:]]),
            "shared sink": lambda own: home_run_network(
                own, thermal_matrix_k_per_w=np.diag(rng.uniform(0.5, 2.0, 4)) + rng.uniform(0.1, 0.5)
            ),
        }[kind](boards)
        if rng.random() < 0.3:
            network, _ = without_boards(network, {int(rng.integers(4))})
        driver = Driver(
            voltage_setting_v=rng.uniform(17.0, 45.0),
            current_setting_a=rng.uniform(1.0, 4.0),
            power_limit_w=rng.choice([np.inf, rng.uniform(20.0, 60.0)]),
            cut_off_v=rng.choice([0.0, 17.5]),
        )
        found.append((network, driver, rng.uniform(0.0, 40.0)))
    return found


@pytest.mark.parametrize("seed", range(4))
def test_side_by_side_is_as_by_itself(seed):
    cases = circuits(seed)
    stacks = stacks_of(cases)
    assert sorted(number for stack in stacks for number in stack.numbers) == list(range(len(cases)))
    assert len(stacks) < 0.6 * len(cases)
    for stack in stacks:
        together = stack.split()
        for column, number in enumerate(stack.numbers):
            network, driver, ambient_c = cases[number]
            alone = current_split(network, driver=driver, ambient_c=ambient_c)
            assert together.settled[column] == alone.settled
            assert together.mode[column] == alone.mode
            assert together.current_a[:, column] == pytest.approx(alone.current_a, rel=1e-9, abs=1e-12, nan_ok=True)
            assert together.temperature_c[:, column] == pytest.approx(alone.temperature_c, abs=1e-7, nan_ok=True)
            assert together.loop_gain[column] == pytest.approx(alone.loop_gain, rel=1e-7, abs=1e-9, nan_ok=True)


def test_some_of_a_stack_at_other_settings():
    cases = circuits(9)
    for stack in stacks_of(cases):
        columns = list(range(0, len(stack.numbers), 2))
        settings = [0.5 + 0.1 * column for column in columns]
        together = stack.at_settings(columns, settings)
        for place, (column, amps) in enumerate(zip(columns, settings, strict=True)):
            network, driver, ambient_c = cases[stack.numbers[column]]
            alone = current_split(network, driver=replace(driver, current_setting_a=amps), ambient_c=ambient_c)
            assert together.current_a[:, place] == pytest.approx(alone.current_a, rel=1e-9, abs=1e-12, nan_ok=True)


def test_wirings_that_differ_are_not_mixed():
    board = Branch(curve=DIODE)
    crossed = Network(cables=[], boards=string_network([[board, board]]).boards, thermal_matrix_k_per_w=np.eye(2))
    cases = [[board] * 2, string_network([[board, board]]), home_run_network([board] * 2), crossed]
    driver = Driver(voltage_setting_v=40.0, current_setting_a=1.0)
    assert len(stacks_of([(case, driver, 25.0) for case in cases])) == 4
