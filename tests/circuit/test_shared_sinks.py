"""Boards on sinks that they share: by hand, against SciPy's simulation in time from cold, and in bounded work."""

from dataclasses import replace
from importlib import import_module

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ledcalc.circuit import (
    BoardCurve,
    Branch,
    Driver,
    Spread,
    current_split,
    home_run_network,
    series_of_groups,
    stability_advice,
    string_network,
    tolerance_of,
    trunk_network,
)
from ledcalc.circuit.assembly import kernel_of
from ledcalc.circuit.changed import with_ballast, with_heat_scaled
from ledcalc.heat import shared_sink_matrix

# Of the same name as a function of the package.
march = import_module("ledcalc.circuit.warm_up")
AIR_C = 25.0
N_V, IS_A, RS_OHM, TC_V_PER_K = 0.6, 1e-14, 1.5, -0.018
CURVE = BoardCurve.from_diode(N_V, IS_A, RS_OHM, voltage_coefficient_v_per_k=TC_V_PER_K)
INTERFACE_K_PER_W = 0.4


def on_one_plate(sink_k_per_w, *, offsets=(0.0,) * 8, interface_k_per_w=INTERFACE_K_PER_W):
    boards = [Branch(curve=CURVE, wire_resistance_ohm=0.1, radiant_fraction=0.5, offset_v=offset) for offset in offsets]
    count = len(boards)
    matrix = shared_sink_matrix(["plate"] * count, sink_k_per_w, interface_k_per_w)
    return home_run_network(boards, thermal_matrix_k_per_w=matrix)


def by_hand(amps, sink_k_per_w, count=8):
    """Return the temperature of like boards that take a current each: one unknown."""

    def excess(temperature):
        volts = N_V * np.log1p(amps / IS_A) + RS_OHM * amps + TC_V_PER_K * (temperature - AIR_C)
        return AIR_C + (INTERFACE_K_PER_W + count * sink_k_per_w) * 0.5 * volts * amps - temperature

    return brentq(excess, AIR_C, 2000.0)


@pytest.mark.parametrize("sink_k_per_w", [0.5, 1.0, 1.8, 2.0, 3.0, 4.0, 8.0, 20.0])
def test_current_limit_holds_boards_on_one_plate_however_hot(sink_k_per_w):
    """As a whole they need ever less voltage for more current: the limit holds that, the interfaces hold the rest."""
    network, amps = on_one_plate(sink_k_per_w), 0.55
    driver = Driver(voltage_setting_v=24.0, current_setting_a=8 * amps, power_limit_w=120.0)
    split = current_split(network, driver=driver)
    assert split.settled
    assert split.mode == "constant current"
    assert split.loop_gain < 0.1
    assert split.current_a == pytest.approx(np.full(8, amps), rel=1e-9)
    assert split.temperature_c == pytest.approx(np.full(8, by_hand(amps, sink_k_per_w)), abs=1e-6)


def test_spread_among_boards_on_a_hot_plate_is_solved_directly(monkeypatch):
    """Samples of such boards need no step-by-step warm-up, and none is lost."""

    def refuse(*_):
        raise AssertionError("followed from cold")

    monkeypatch.setattr("ledcalc.circuit.split.warmed_from_cold", refuse)
    driver = Driver(voltage_setting_v=24.0, current_setting_a=4.4, power_limit_w=120.0)
    for sink in (1.8, 4.0):
        result = tolerance_of(on_one_plate(sink), 0.7, Spread(board_sigma_v=0.02), driver=driver, samples=300)
        assert np.isfinite(result.highest_current_a).all()
        assert 0.56 < result.quantile_95_a < 0.65


def test_a_plate_that_runs_away_at_constant_voltage_is_followed_in_bounded_steps(monkeypatch):
    """Each step is at most two solutions of the circuit; what has no end is given up, with the others' answers kept."""
    solved = []

    def counted(*arguments):
        solved.append(arguments)
        return found(*arguments)

    found = march._rate
    monkeypatch.setattr(march, "_rate", counted)
    volts = np.linspace(15.0, 24.0, 40)
    split = current_split(on_one_plate(3.0), driver=Driver(voltage_setting_v=volts, current_setting_a=np.inf))
    assert 1 <= len(solved) <= 2 * march.MOST_MARCH_STEPS + 1
    assert split.settled[0]
    assert not split.settled[-1]
    assert np.isnan(split.current_a[:, ~split.settled]).all()
    # The edge is one: below it all settle, above it none.
    assert np.flatnonzero(~split.settled).tolist() == list(range(int(split.settled.sum()), 40))


def test_what_does_not_come_to_an_end_in_the_steps_allowed_is_not_settled(monkeypatch):
    monkeypatch.setattr(march, "MOST_MARCH_STEPS", 3)
    hogging = on_one_plate(0.5, offsets=(0.0, 0.1), interface_k_per_w=20.0)
    driver = Driver(voltage_setting_v=90.0, current_setting_a=2.0)
    split = current_split(hogging, driver=driver)
    assert not split.settled
    assert np.isnan(split.current_a).all()
    monkeypatch.undo()
    assert current_split(hogging, driver=driver).settled


# ---- against simulation in time


def random_case(seed):
    """Return a circuit of any wiring on one or two shared sinks, from cool to far too hot, with any limit binding."""
    rng = np.random.default_rng(seed)
    count = int(rng.choice([2, 4, 6]))
    curve = BoardCurve.from_diode(
        rng.uniform(0.3, 0.8),
        10 ** rng.uniform(-14, -11),
        rng.uniform(0.5, 2),
        voltage_coefficient_v_per_k=-rng.uniform(0.005, 0.03),
    )
    boards = [
        Branch(
            curve=curve,
            wire_resistance_ohm=rng.uniform(0.01, 0.2),
            radiant_fraction=rng.uniform(0.2, 0.5),
            offset_v=rng.normal(0, 0.02),
        )
        for _ in range(count)
    ]
    kind = ("home runs", "strings", "groups", "one end", "both ends", "reversed return")[seed % 6]
    half, pieces = count // 2, rng.uniform(0.005, 0.1, (2, count + (kind == "both ends")))
    if kind == "home runs":
        network, abreast = home_run_network(boards), count
    elif kind == "strings":
        network, abreast = string_network([boards[:half], boards[half:]]), 2
    elif kind == "groups":
        network, abreast = series_of_groups([boards[:half], boards[half:]]), half
    else:
        network, abreast = trunk_network(boards, *pieces, feed=kind), count
    sinks = rng.choice(["left", "right"] if rng.random() < 0.5 else ["left"], count).tolist()
    ohms = {name: 4.0 / count * 10 ** rng.uniform(-1, 1) for name in ("left", "right")}
    matrix = shared_sink_matrix(
        sinks, [ohms[name] for name in sinks], rng.uniform(0.1, 0.6) * float(rng.random() < 0.9)
    )
    amps = rng.uniform(0.3, 1.5)
    volts, total = float(curve.voltage(amps)) * count / abreast, amps * abreast
    driver = [
        Driver(voltage_setting_v=1e3, current_setting_a=total),
        Driver(voltage_setting_v=volts, current_setting_a=1e3),
        Driver(voltage_setting_v=1e3, current_setting_a=1e3, power_limit_w=volts * total),
        Driver(
            voltage_setting_v=volts * rng.uniform(0.95, 1.05),
            current_setting_a=total * rng.uniform(0.9, 2),
            power_limit_w=total * volts * rng.uniform(0.9, 2),
        ),
    ][int(rng.integers(0, 4))]
    return replace(network, thermal_matrix_k_per_w=matrix), driver, matrix


def simulated(network, driver, matrix, duration):
    """Return temperatures after so many thermal time constants, from cold, by LSODA; None where boards ran away."""
    kernel, _ = kernel_of(network, driver, np.asarray(AIR_C))

    def rate(_, temperature):
        warm = temperature[:, None]
        found = kernel.solve(warm, 0.0, None)
        watts = kernel.state(found.current_a, warm, 0.0).voltage_v * found.current_a
        return (AIR_C + matrix @ (kernel.boards.heat_fraction * watts))[:, 0] - temperature

    def hot(_, temperature):
        return temperature.max() - AIR_C - march.HOTTEST_RISE_K

    hot.terminal = True
    start = np.full(len(matrix), AIR_C)
    run = solve_ivp(rate, (0.0, duration), start, method="LSODA", rtol=1e-6, atol=1e-4, events=hot)
    return None if run.t_events[0].size else run.y[:, -1]


@pytest.mark.parametrize("block", range(8))
def test_no_steady_state_reached_from_cold_is_missed_and_none_made_up(block):
    verdicts = []
    for seed in range(10 * block, 10 * block + 10):
        network, driver, matrix = random_case(seed)
        split = current_split(network, driver=driver)
        # A disturbance decays as exp(-(1 - gain) t).
        duration = 200.0 if not split.settled else 200.0 + 15.0 / max(1.0 - split.loop_gain, 5e-3)
        end = simulated(network, driver, matrix, duration)
        assert split.settled == (end is not None), seed
        if end is not None:
            assert split.temperature_c == pytest.approx(end, abs=0.02 + 1e-3 * (end.max() - AIR_C)), seed
            assert split.loop_gain < 1.0
        verdicts.append(bool(split.settled))
    assert any(verdicts)


def test_the_random_cases_settle_hot_and_run_away():
    splits = [current_split(network, driver=driver) for network, driver, _ in map(random_case, range(80))]
    assert 1 <= sum(not split.settled for split in splits) <= 20
    assert sum(split.temperature_c.max() > 150.0 for split in splits if split.settled) >= 15
    assert {split.mode for split in splits if split.settled} == {"constant current", "constant voltage", "power limit"}


def test_alike_boards_hog_by_a_hair_of_difference():
    """A millivolt decides which board takes nearly all: a step may not jump over how it grows."""
    for hair in (1e-3, 1e-6):
        network = on_one_plate(0.5, offsets=(0.0, hair), interface_k_per_w=20.0)
        split = current_split(network, driver=Driver(voltage_setting_v=90.0, current_setting_a=2.0))
        assert split.settled
        assert split.loop_gain < 1.0
        assert split.current_a[0] > 1.5


# ---- what would help


@pytest.mark.parametrize("thermal_k_per_w", [8.6, 10.0, 12.0, 14.0])
@pytest.mark.parametrize("shared", [False, True])
def test_boards_that_run_away_are_given_remedies(thermal_k_per_w, shared):
    """At 22 V without a current limit; each remedy alone brings the gain to the margin, nothing less does."""
    boards = [
        Branch(
            curve=CURVE, wire_resistance_ohm=0.1, thermal_resistance_k_per_w=1.5 * thermal_k_per_w, radiant_fraction=0.5
        )
    ] * 8
    network = on_one_plate(thermal_k_per_w / 5.0) if shared else boards
    driver = Driver(voltage_setting_v=22.0, current_setting_a=np.inf)
    assert not current_split(network, driver=driver).settled
    advice = stability_advice(network, driver=driver)
    assert np.isnan(advice.loop_gain)
    assert advice.words.startswith("not steady")
    remedies = {
        "ballast": lambda more: (with_ballast(network, advice.ballast_ohm * more), driver),
        "sinks": lambda more: (with_heat_scaled(network, advice.sink_factor / more), driver),
        "voltage": lambda more: (network, replace(driver, voltage_setting_v=advice.voltage_setting_v / more)),
    }
    for remedy in remedies.values():
        just, short = (current_split(circuit, driver=tried) for circuit, tried in (remedy(1.001), remedy(0.98)))
        assert just.loop_gain <= 0.7 + 1e-9
        assert not short.loop_gain <= 0.7


def test_the_ballast_advised_is_enough_from_there_on():
    """Hot enough to be held by the current limit, boards are steady with little ballast, and then with more not."""
    boards = [
        Branch(curve=CURVE, wire_resistance_ohm=0.1, thermal_resistance_k_per_w=r, radiant_fraction=0.5)
        for r in (17.0, 17.5)
    ]
    driver = Driver(voltage_setting_v=24.0, current_setting_a=12.0)
    advice = stability_advice(boards, driver=driver)
    ohms = advice.ballast_ohm * np.geomspace(1.001, 50.0, 30)
    assert (current_split(with_ballast(boards, ohms), driver=driver).loop_gain <= 0.7).all()
