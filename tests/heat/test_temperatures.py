"""Junctions, drivers, rooms and shared sinks: balances by hand, shapes, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.heat import (
    board_temperature,
    driver_case_temperature,
    junction_temperature,
    optimum_fin_spacing,
    room_air_rise,
    shared_sink_matrix,
)

RESISTANCE = st.floats(0.01, 20.0)


@given(
    labels=st.lists(st.sampled_from("abc"), min_size=1, max_size=8),
    sinks=st.tuples(RESISTANCE, RESISTANCE, RESISTANCE),
    interface=RESISTANCE,
)
def test_shared_matrix_is_symmetric_and_warms(labels, sinks, interface):
    of = dict(zip("abc", sinks, strict=True))
    matrix = shared_sink_matrix(labels, [of[label] for label in labels], interface)
    assert (matrix == matrix.T).all()
    assert (np.linalg.eigvalsh(matrix) > 0).all()
    # All boards of a sink lit: the sink carries the sum of their heats.
    rise = matrix @ np.ones(len(labels))
    assert rise == pytest.approx([of[label] * labels.count(label) + interface for label in labels])


def test_boards_of_their_own_are_the_simple_case():
    heat = np.array([5.0, 10.0, 20.0])
    matrix = shared_sink_matrix([1, 2, 3], [1.0, 2.0, 3.0], 0.5)
    assert (matrix - np.diag(np.diag(matrix)) == 0).all()
    assert 25 + matrix @ heat == pytest.approx(board_temperature(heat, [1.5, 2.5, 3.5]))


@pytest.mark.parametrize(
    ("labels", "sink", "interface", "named"),
    [
        (["a", "a"], [1.0, 2.0], 0.1, "one resistance for the sink 'a'"),
        (["a", "b"], [1.0, 2.0, 3.0], 0.1, "one for each of 2 boards"),
        (["a", "b"], 1.0, [[0.1]] * 3, "interface_resistance_k_per_w"),
        (["a", "b"], -1.0, 0.1, "sink_resistance_k_per_w"),
        ([], 1.0, 0.1, "sink_of_board"),
        ("ab", 1.0, 0.1, "sink_of_board"),
    ],
)
def test_contradictions_on_a_sink_are_named(labels, sink, interface, named):
    with pytest.raises(ArgumentError, match=named):
        shared_sink_matrix(labels, sink, interface)


def test_more_leds_run_cooler():
    got = junction_temperature(60.0, 24.0, emitters_count=[12, 24, 48], junction_resistance_k_per_w=5.0)
    assert got.tolist() == [70.0, 65.0, 62.5]
    assert isinstance(junction_temperature(60, 24, emitters_count=12, junction_resistance_k_per_w=5), float)


@pytest.mark.parametrize("count", [0, 2.5, -1])
def test_leds_are_counted_in_whole(count):
    with pytest.raises(ArgumentError, match="emitters_count"):
        junction_temperature(60.0, 24.0, emitters_count=count, junction_resistance_k_per_w=5.0)


def test_bad_loss_is_named():
    with pytest.raises(ArgumentError, match="loss_w"):
        driver_case_temperature(-1.0, 1.5, ambient_c=25.0)


def test_room_by_envelope_alone_and_with_ventilation():
    """By hand: 500 W through 50 W/K are 10 K; as much again by ventilation halves it."""
    assert room_air_rise(500.0, ventilation_m3_per_h=0.0, envelope_w_per_k=50.0) == pytest.approx(10.0)
    flow = 50.0 * room_air_rise(1.0, ventilation_m3_per_h=1.0)
    assert room_air_rise(500.0, ventilation_m3_per_h=flow, envelope_w_per_k=50.0) == pytest.approx(5.0)


def test_thin_air_carries_less_heat():
    """At 2,000 m 79.495 kPa (U.S. Standard Atmosphere 1976): the rise grows as the pressure falls."""
    low, high = room_air_rise(500.0, ventilation_m3_per_h=100.0, altitude_m=[0.0, 2000.0])
    assert high / low == pytest.approx(101.325 / 79.495, rel=1e-3)


@pytest.mark.parametrize("ventilation", [0.0, [100.0, 0.0]])
def test_a_closed_room_has_no_steady_state(ventilation):
    with pytest.raises(ArgumentError, match="ventilation_m3_per_h"):
        room_air_rise(500.0, ventilation_m3_per_h=ventilation)


def test_optimum_spacing_takes_arrays():
    got = optimum_fin_spacing([0.1, 0.18], [1e6, 1.846e7])
    assert got == pytest.approx([2.714 * 0.1 / 1e6**0.25, 0.00745], rel=1e-3)
