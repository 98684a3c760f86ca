"""Networks of any wiring: against home runs, against hand-worked cases, and against the laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.circuit import BoardCurve, Branch, Driver, Link, Load, Network, current_split
from ledcalc.circuit.split import split_without_gain
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
HEAT = {"thermal_resistance_k_per_w": 2.0, "radiant_fraction": 0.45}


def home_run_network(ohms, **heat):
    cables = [
        link for n, ohm in enumerate(ohms) for link in (Link("P", f"a{n}", 0.4 * ohm), Link(f"b{n}", "N", 0.6 * ohm))
    ]
    return Network(cables=cables, boards=[Load(f"a{n}", f"b{n}", CURVE, **heat) for n in range(len(ohms))])


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.01, 0.4), min_size=1, max_size=5), st.floats(16, 40), st.floats(0.5, 8), st.floats(10, 200))
def test_home_runs_as_a_network_give_the_home_run_answer(ohms, volts, amps, watts):
    driver = Driver(voltage_setting_v=volts, current_setting_a=amps, power_limit_w=watts)
    direct = current_split([Branch(curve=CURVE, wire_resistance_ohm=ohm, **HEAT) for ohm in ohms], driver=driver)
    general = current_split(home_run_network(ohms, **HEAT), driver=driver)
    assert general.mode == direct.mode
    assert general.current_a == pytest.approx(direct.current_a, rel=1e-8, abs=1e-12)
    assert general.temperature_c == pytest.approx(direct.temperature_c, abs=1e-6)
    assert general.driver_voltage_v == pytest.approx(direct.driver_voltage_v, rel=1e-9)
    assert general.loop_gain == pytest.approx(direct.loop_gain, rel=1e-6, abs=1e-9)


def test_series_boards_share_one_current():
    boards = [Load("P", "x", CURVE), Load("x", "y", CURVE, offset_v=1.0), Load("y", "N", CURVE)]
    split = current_split(
        Network(cables=[], boards=boards), driver=Driver(voltage_setting_v=100, current_setting_a=0.7)
    )
    assert split.current_a == pytest.approx([0.7] * 3, rel=1e-12)
    assert split.driver_voltage_v == pytest.approx(3 * CURVE.voltage(0.7) + 1.0, rel=1e-12)


def test_strings_in_parallel_with_ballast():
    """Two strings of two; the common current divides so that both strings see one voltage."""
    boards = [Load("a", "m", CURVE), Load("m", "N", CURVE), Load("b", "k", CURVE, offset_v=0.3), Load("k", "N", CURVE)]
    network = Network(cables=[Link("P", "a", 1.0), Link("P", "b", 1.0)], boards=boards)
    split = current_split(network, driver=Driver(voltage_setting_v=100, current_setting_a=1.0))
    one, other = split.current_a[0], split.current_a[2]
    assert one + other == pytest.approx(1.0, rel=1e-12)
    assert split.current_a[1] == pytest.approx(one, rel=1e-12)
    assert one + 2 * CURVE.voltage(one) == pytest.approx(other + 2 * CURVE.voltage(other) + 0.3, rel=1e-10)


def test_a_trunk_starves_its_far_end_and_feeding_both_ends_mends_it():
    def trunk(*ends):
        cables = []
        for n in range(1, 5):
            cables += [Link(f"p{n}", f"p{n + 1}", 0.05), Link(f"n{n}", f"n{n + 1}", 0.05)]
        cables += [link for end in ends for link in (Link("P", f"p{end}", 0.02), Link("N", f"n{end}", 0.02))]
        return Network(cables=cables, boards=[Load(f"p{n}", f"n{n}", CURVE) for n in range(1, 6)])

    driver = Driver(voltage_setting_v=60, current_setting_a=5.0)
    one, both = (current_split(trunk(*ends), driver=driver).current_a for ends in ((1,), (1, 5)))
    assert (np.diff(one) < 0).all()
    assert both == pytest.approx(both[::-1], rel=1e-10)
    assert np.ptp(both) < np.ptp(one)
    # Reversed return: plus fed at one end, minus at the other, evens it too.
    crossed = trunk(1)
    crossed = Network(cables=[*crossed.cables[:-1], Link("N", "n5", 0.02)], boards=crossed.boards)
    assert np.ptp(current_split(crossed, driver=driver).current_a) < np.ptp(one)


def test_trunk_by_hand():
    """Two boards on a trunk at constant voltage, cold: V = (I1 + I2) R1 + V(I1) = ... + I2 R2 + V(I2)."""
    network = Network(
        cables=[Link("P", "a", 0.2), Link("a", "b", 0.3), Link("c", "N", 0.0)],
        boards=[Load("a", "c", CURVE), Load("b", "c", CURVE)],
    )
    split = current_split(network, driver=Driver(voltage_setting_v=19.0, current_setting_a=100))
    first, second = split.current_a
    assert (first + second) * 0.2 + CURVE.voltage(first) == pytest.approx(19.0, rel=1e-12)
    assert (first + second) * 0.2 + 0.3 * second + CURVE.voltage(second) == pytest.approx(19.0, rel=1e-12)


def test_boards_on_one_sink_warm_each_other():
    matrix = np.array([[2.0, 1.0], [1.0, 2.0]])
    loads = [Load("P", "N", CURVE, radiant_fraction=0.4)] * 2
    driver = Driver(voltage_setting_v=60, current_setting_a=2.0)
    shared = current_split(Network(cables=[], boards=loads, thermal_matrix_k_per_w=matrix), driver=driver)
    heat = 0.6 * shared.voltage_v * shared.current_a
    assert shared.temperature_c - 25.0 == pytest.approx(matrix @ heat, rel=1e-9)
    alone = current_split(
        [Branch(curve=CURVE, thermal_resistance_k_per_w=3.0, radiant_fraction=0.4)] * 2, driver=driver
    )
    # Alike boards each see 2 + 1 K/W; in the difference only 2 - 1, so that sharing a sink steadies them.
    assert shared.current_a == pytest.approx(alone.current_a)
    assert shared.loop_gain < alone.loop_gain


def test_variants_of_a_network_equal_cases_one_by_one():
    rng = np.random.default_rng(5)
    ohm, amps = rng.uniform(0.01, 0.5, 20), rng.uniform(0.5, 4, 20)

    def network(resistance):
        return Network(
            cables=[Link("P", "a", resistance), Link("a", "b", 0.1)],
            boards=[Load("a", "N", CURVE, **HEAT), Load("b", "N", CURVE, **HEAT)],
        )

    together = current_split(network(ohm), driver=Driver(voltage_setting_v=20.0, current_setting_a=amps))
    assert together.current_a.shape == (2, 20)
    for n in range(20):
        alone = current_split(
            network(float(ohm[n])), driver=Driver(voltage_setting_v=20.0, current_setting_a=float(amps[n]))
        )
        assert together.current_a[:, n] == pytest.approx(alone.current_a, rel=1e-10)
        assert together.mode[n] == alone.mode


def sets_of_wires(kind, rng, variants):
    """Return a network of four boards with variants, and a function for one of its cases."""

    def numbers(low, high):
        return rng.uniform(low, high, variants)

    hottest = 12.0 if kind == "strings" else 6.0
    heat = [{"thermal_resistance_k_per_w": numbers(0.0, hottest), "offset_v": numbers(-0.1, 0.1)} for _ in range(4)]
    if kind == "strings":
        links = [("P", "a0", numbers(0.1, 1)), ("P", "a2", numbers(0.1, 1))]
        ends = [("a0", "m0"), ("m0", "N"), ("a2", "m2"), ("m2", "N")]
    else:
        links = [(f"p{n}", f"p{n + 1}", numbers(0.01, 0.1)) for n in range(3)] + [("P", "p0", numbers(0.01, 0.1))]
        links += [("P", "p3", numbers(0.01, 0.1))] if kind == "both ends" else []
        ends = [(f"p{n}", "N") for n in range(4)]

    def case(only):
        def part(value):
            return value[only] if np.ndim(value) else value

        return Network(
            cables=[Link(start, end, part(ohm)) for start, end, ohm in links],
            boards=[
                Load(*end, CURVE, radiant_fraction=0.3, **{name: part(value) for name, value in own.items()})
                for end, own in zip(ends, heat, strict=True)
            ],
        )

    return case


@pytest.mark.parametrize("kind", ["trunk", "both ends", "strings"])
def test_many_variants_equal_cases_one_by_one(kind):
    """Eliminated together or solved one by one in LAPACK; some run away, some are followed step by step."""
    rng = np.random.default_rng(11)
    case = sets_of_wires(kind, rng, 120)
    series = 2 if kind == "strings" else 1
    volts, amps = series * rng.uniform(16, 22, 120), rng.choice([0.5, 3.0, 1e3], 120)
    together = current_split(case(slice(None)), driver=Driver(voltage_setting_v=volts, current_setting_a=amps))
    assert 0 < np.count_nonzero(~together.settled) < 60
    assert set(together.mode[together.settled]) >= {"constant current", "constant voltage"}
    for n in range(0, 120, 3):
        alone = current_split(
            case(n), driver=Driver(voltage_setting_v=float(volts[n]), current_setting_a=float(amps[n]))
        )
        assert together.settled[n] == alone.settled
        if alone.settled:
            assert together.current_a[:, n] == pytest.approx(alone.current_a, rel=1e-8, abs=1e-12)
            assert together.temperature_c[:, n] == pytest.approx(alone.temperature_c, abs=1e-5)
            assert together.loop_gain[n] == pytest.approx(alone.loop_gain, rel=1e-6, abs=1e-9)
            assert together.mode[n] == alone.mode


def test_variants_of_a_diode_are_followed_one_by_one_when_they_must_be():
    """Array-valued curves pass through the step-by-step warm-up as well."""
    slope = np.array([0.5, 0.6, 0.7])
    curve = BoardCurve.from_diode(slope, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
    branches = [Branch(curve=curve, thermal_resistance_k_per_w=12.0, offset_v=offset) for offset in (0.0, 1e-3)]
    split = current_split(branches, driver=Driver(voltage_setting_v=60, current_setting_a=1.0))
    assert split.current_a.shape == (2, 3)
    assert (split.current_a[0] > 0.9).all()


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: Link("a", "a", 1.0), "to_node"),
        (lambda: Link("a", "b", -1.0), "resistance_ohm"),
        (lambda: Load("a", "a", CURVE), "minus_node"),
        (lambda: Network(cables=[], boards=[]), "boards"),
        (lambda: Network(cables=["wire"], boards=[Load("P", "N", CURVE)]), "cables"),
        (lambda: Network(cables=[], boards=[Load("P", "N", CURVE)], supply=("P", "P")), "supply"),
        (
            lambda: Network(cables=[], boards=[Load("P", "N", CURVE)], thermal_matrix_k_per_w=[1.0, 2.0]),
            "thermal_matrix",
        ),
    ],
)
def test_networks_that_make_no_sense_are_refused(build, words):
    with pytest.raises(ArgumentError, match=words):
        build()


@pytest.mark.parametrize(
    ("network", "words"),
    [
        (
            Network(cables=[Link("P", "x", 0.1), Link("N", "P", 1.0)], boards=[Load("P", "N", CURVE)]),
            "short circuit: the wire N to P joins the driver's plus and minus",
        ),
        (
            Network(
                cables=[Link("P", "x", 0.1), Link("a", "P", 0.1), Link("a", "N", 1.0)], boards=[Load("x", "N", CURVE)]
            ),
            "short circuit: the wires a to P, a to N join the driver's plus and minus",
        ),
        (Network(cables=[], boards=[Load("P", "N", CURVE), Load("x", "y", CURVE)]), "some hang on nothing"),
    ],
)
def test_networks_that_cannot_run_are_refused(network, words):
    with pytest.raises(ArgumentError, match=words):
        current_split(network, driver=Driver(voltage_setting_v=30, current_setting_a=1))


def test_a_branch_that_ends_in_the_air_takes_nothing():
    """A board whose minus hangs on a node with no way back: open, the others carry all."""
    network = Network(cables=[], boards=[Load("P", "N", CURVE), Load("P", "x", CURVE)])
    split = current_split(network, driver=Driver(voltage_setting_v=60, current_setting_a=1.0))
    assert split.current_a == pytest.approx([1.0, 0.0], abs=1e-9)


@pytest.mark.parametrize("series", [False, True])
def test_many_variants_on_a_shared_sink_equal_cases_one_by_one(series):
    """Eliminated together or solved one by one in LAPACK, an island between the boards or none; some run away."""
    rng = np.random.default_rng(4)
    volts, amps = (2 if series else 1) * rng.uniform(16, 22, 120), rng.choice([0.5, 3.0, 1e3], 120)
    offset = rng.uniform(-0.1, 0.1, (4, 120))
    ends = [("P", "m"), ("P", "m"), ("m", "N"), ("m", "N")] if series else [("P", "N")] * 4
    matrix = np.diag([2.0, 3.0, 4.0, 5.0]) + 1.5

    def case(only):
        boards = [
            Load(plus, minus, CURVE, radiant_fraction=0.3, offset_v=own[only])
            for (plus, minus), own in zip(ends, offset, strict=True)
        ]
        return Network(cables=[], boards=boards, thermal_matrix_k_per_w=matrix)

    driver = Driver(voltage_setting_v=volts, current_setting_a=amps)
    together = current_split(case(slice(None)), driver=driver)
    bounded = split_without_gain(case(slice(None)), driver, 25.0)
    assert 0 < np.count_nonzero(~together.settled) < 90
    assert bounded.current_a == pytest.approx(together.current_a, rel=1e-9, abs=1e-12, nan_ok=True)
    has_gain = together.settled & (together.loop_gain < 1.0)
    assert (bounded.loop_gain >= together.loop_gain - 1e-9)[has_gain].all()
    assert (bounded.loop_gain < 1.0)[has_gain].all()
    for n in range(0, 120, 3):
        alone = current_split(
            case(n), driver=Driver(voltage_setting_v=float(volts[n]), current_setting_a=float(amps[n]))
        )
        assert together.settled[n] == alone.settled
        if alone.settled:
            assert together.current_a[:, n] == pytest.approx(alone.current_a, rel=1e-8, abs=1e-12)
            assert together.temperature_c[:, n] == pytest.approx(alone.temperature_c, abs=1e-5)
            assert together.loop_gain[n] == pytest.approx(alone.loop_gain, rel=1e-6, abs=1e-9)
            assert together.mode[n] == alone.mode
