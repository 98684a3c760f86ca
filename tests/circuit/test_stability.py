"""The stability verdict against simulation in time: thermal states integrated by SciPy, 500 random cases."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ledcalc.circuit import BoardCurve, Branch, Driver, Link, Load, Network, current_split
from ledcalc.circuit.stability import largest_of_diagonal_less_outer, largest_of_matrix
from ledcalc.circuit.warm_up import HOTTEST_RISE_K

AMBIENT_C = 25.0


@given(st.lists(st.tuples(st.floats(-1, 3), st.just(0.0) | st.floats(1e-6, 1)), min_size=1, max_size=7))
@example([(0.3, 1.0), (0.0, 0.0)])
@example([(0.3, 0.2), (0.3, 0.1), (0.0, 0.5)])
@example([(0.0, 1.0), (1.97e-265, 1.0)])
def test_rank_one_eigenvalue_against_a_dense_solver(rows):
    diagonal, outer = np.array(rows).T
    root = np.sqrt(outer)
    dense = largest_of_matrix((np.diag(diagonal) - np.outer(root, root))[None])[0]
    for variants in (1, 80):
        several = [np.tile(column[:, None], variants) for column in (diagonal, outer)]
        assert largest_of_diagonal_less_outer(*several) == pytest.approx(np.full(variants, dense), abs=1e-9)


def random_circuit(rng):
    """Return boards with heat, and the same circuit with boards held at given temperatures."""
    count = int(rng.integers(1, 5))
    curve = BoardCurve.from_diode(
        rng.uniform(0.3, 0.8),
        10 ** rng.uniform(-14, -11),
        rng.uniform(0.5, 2),
        voltage_coefficient_v_per_k=-rng.uniform(0.005, 0.03),
    )
    thermal, radiant = rng.uniform(0.3, 4.0, count), rng.uniform(0.2, 0.5, count)
    offsets, wires = rng.normal(0, 0.02, count), rng.uniform(0.01, 0.2, count)
    amps = float(rng.uniform(0.3, 1.5) * count)
    kind = rng.integers(0, 3)
    knee = float(curve.voltage(amps / count))
    driver = [
        Driver(voltage_setting_v=1e3, current_setting_a=amps),
        Driver(voltage_setting_v=knee, current_setting_a=1e3),
        Driver(voltage_setting_v=1e3, current_setting_a=1e3, power_limit_w=amps * knee),
    ][kind]

    def circuit(heated, temperature):
        shift = offsets if heated else offsets + curve.voltage_coefficient_v_per_k * (temperature - AMBIENT_C)
        ends = [(f"a{n}", "N") for n in range(count)]
        loads = [
            Load(
                *end,
                curve,
                thermal_resistance_k_per_w=thermal[n] * heated,
                radiant_fraction=radiant[n],
                offset_v=float(shift[n]),
            )
            for n, end in enumerate(ends)
        ]
        return Network(cables=[Link("P", f"a{n}", wires[n]) for n in range(count)], boards=loads)

    branches = [
        Branch(curve=curve, wire_resistance_ohm=w, thermal_resistance_k_per_w=t, radiant_fraction=r, offset_v=o)
        for w, t, r, o in zip(wires, thermal, radiant, offsets, strict=True)
    ]
    return branches, circuit, driver, thermal, radiant


def simulated_end(circuit, driver, thermal, radiant, duration):
    """Return where temperatures are, from cold, after a time in thermal time constants; None where they ran away."""

    def rate(_, temperature):
        split = current_split(circuit(False, temperature), driver=driver, ambient_c=AMBIENT_C)
        return AMBIENT_C + thermal * (1 - radiant) * split.power_w - temperature

    def hot(_, temperature):
        return temperature.max() - AMBIENT_C - HOTTEST_RISE_K

    hot.terminal = True
    run = solve_ivp(
        rate, (0, duration), np.full(thermal.size, AMBIENT_C), method="LSODA", rtol=1e-7, atol=1e-6, events=hot
    )
    return None if run.t_events[0].size else run.y[:, -1]


@pytest.mark.slow
@pytest.mark.parametrize("block", range(20))
def test_verdict_against_simulation_in_time(block):
    """Where the split settles, the simulation from cold ends in the same state; where it does not, it runs away."""
    rng = np.random.default_rng(block)
    misjudged = []
    for number in range(25):
        branches, circuit, driver, thermal, radiant = random_circuit(rng)
        split = current_split(branches, driver=driver, ambient_c=AMBIENT_C)
        near_limit = split.settled and split.loop_gain > 0.99
        # A disturbance decays as exp(-(1 - gain) t): the nearer to the limit, the longer one has to look.
        duration = 200.0 if not split.settled or near_limit else max(200.0, 15.0 / (1.0 - split.loop_gain))
        end = simulated_end(circuit, driver, thermal, radiant, duration)
        if split.settled and end is not None:
            agree = np.abs(end - split.temperature_c).max() < 0.02 + 1e-3 * (end.max() - AMBIENT_C)
        else:
            agree = split.settled == (end is not None)
        if not agree and not near_limit:
            misjudged.append((number, split.settled, split.loop_gain, split.temperature_c, end))
    assert not misjudged
