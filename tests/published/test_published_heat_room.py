"""Room air, junctions and shared sinks against handbook rules, and networks solved another way."""

import numpy as np
import pytest

from ledcalc.heat import (
    board_temperature,
    driver_case_temperature,
    junction_temperature,
    room_air_rise,
    shared_sink_matrix,
)

W_PER_BTU_PER_H, L_PER_S_PER_CFM, K_PER_F = 0.293071, 0.471947, 5 / 9


def test_room_air_of_the_handbook():
    """ASHRAE Fundamentals, sensible heat of ventilation (from memory): 1.23 W per L/s and kelvin, moist; dry 1.21."""
    w_per_l_s_k = 1000.0 / room_air_rise(1000.0, ventilation_m3_per_h=3.6)
    assert w_per_l_s_k == pytest.approx(1.23, rel=0.02)
    assert w_per_l_s_k == pytest.approx(1.21, rel=0.005)


def test_room_air_of_the_handbook_in_its_older_units():
    """The same handbook (from memory): 1.08 Btu/h per cubic foot a minute and degF, for 70 degF (21 degC)."""
    rule = 1.08 * W_PER_BTU_PER_H / (L_PER_S_PER_CFM * K_PER_F)
    assert 1000.0 / room_air_rise(1000.0, ventilation_m3_per_h=3.6, air_temperature_c=21.1) == pytest.approx(
        rule, rel=0.005
    )


def test_room_air_of_european_practice():
    """Common practice, no source: 0.33 to 0.34 W per m3/h and kelvin."""
    assert 0.33 < 1.0 / room_air_rise(1.0, ventilation_m3_per_h=1.0) < 0.34


@pytest.mark.parametrize(("temperature_c", "density"), [(20, 1.204), (40, 1.127), (60, 1.059), (100, 0.9458)])
def test_heat_capacity_against_a_textbooks_density(temperature_c, density):
    """Cengel & Ghajar, Table A-15 (20, 40 and 100 degC from memory), with c 1007 J/(kg K)."""
    got = 1.0 / room_air_rise(1.0, ventilation_m3_per_h=3600.0, air_temperature_c=temperature_c)
    assert got == pytest.approx(density * 1007, rel=0.003)


def test_junction_of_an_exercise_by_hand():
    """A published exercise, its answer not printed: 0.35 A, 2.1 V, 5.3 K/W (electrical), 52 degC: 55.9 degC by hand."""
    got = junction_temperature(52.0, 0.35 * 2.1, emitters_count=1, junction_resistance_k_per_w=5.3)
    assert got == pytest.approx(52 + 0.735 * 5.3, rel=1e-12)
    assert round(got, 1) == 55.9


def test_driver_case_is_a_board_without_light():
    """Ohm's law of heat: the same as a board whose power all turns to heat."""
    got = driver_case_temperature([10.0, 20.0], 1.5, ambient_c=[[30.0], [40.0]])
    assert got == pytest.approx(board_temperature([10.0, 20.0], 1.5, ambient_c=[[30.0], [40.0]]))
    assert got[1].tolist() == [55.0, 70.0]


def test_shared_sinks_against_a_network_of_nodes():
    """Node by node: conductances of interfaces and sinks put into Kirchhoff's equations and solved for each board."""
    labels = ["a", "b", "a", "c", "b", "a"]
    sink_of, interface = {"a": 1.2, "b": 2.5, "c": 4.0}, np.array([0.3, 0.2, 0.4, 0.5, 0.1, 0.35])
    names, count = list(sink_of), len(labels)
    conductance = np.zeros((count + 3, count + 3))
    for board, label in enumerate(labels):
        node, g = count + names.index(label), 1 / interface[board]
        conductance[[board, node], [board, node]] += g
        conductance[[board, node], [node, board]] -= g
    for number, name in enumerate(names):
        conductance[count + number, count + number] += 1 / sink_of[name]
    by_nodes = np.linalg.inv(conductance)[:count, :count]
    got = shared_sink_matrix(labels, [sink_of[label] for label in labels], interface)
    np.testing.assert_allclose(got, by_nodes, rtol=1e-9, atol=1e-12)
