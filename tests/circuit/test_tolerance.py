"""Spread of boards and settings: Monte Carlo against order statistics worked out another way, and the closed form."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from ledcalc.circuit import BoardCurve, Branch, Driver, current_split
from ledcalc.circuit.tolerance import Spread, highest_current_estimate, tolerance_of
from ledcalc.circuit.topologies import home_run_network, string_network, trunk_network
from ledcalc.errors import ArgumentError

CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
BOARD = Branch(curve=CURVE, wire_resistance_ohm=0.05, thermal_resistance_k_per_w=1.5, radiant_fraction=0.5)
DRIVER = Driver(voltage_setting_v=40.0, current_setting_a=7.5)
SETTINGS = [(0.02, 0.0), (0.04, 0.0), (0.08, 0.02), (0.02, 0.05)]


def wired(kind, boards):
    """Return boards in one of the usual wirings."""
    count = len(boards)
    if kind == "trunk":
        return trunk_network(boards, [0.04] * count, [0.04] * count)
    if kind == "strings":
        return string_network([boards[: count // 2], boards[count // 2 :]])
    if kind == "shared sink":
        return home_run_network(boards, thermal_matrix_k_per_w=np.eye(count) + 0.1)
    return boards


@pytest.mark.parametrize("kind", ["home runs", "trunk", "strings", "shared sink"])
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("fraction", "within"), [(0.0, 0.005), (0.2, 0.01)])
def test_the_closed_form_is_within_half_a_hundredth(kind, seed, fraction, within):
    """Unlike wires and sinks, up to 0.5 % of the voltage, with tolerances of the driver: against 10,000 samples, whose
    own 99 % point is known to two thousandths; within a hundredth where wires and sinks differ by chance as well."""
    rng = np.random.default_rng(seed)
    boards = [
        Branch(
            curve=CURVE,
            wire_resistance_ohm=rng.uniform(0.02, 0.5),
            thermal_resistance_k_per_w=rng.uniform(0.5, 2.0),
            radiant_fraction=0.45,
        )
        for _ in range(2 * int(rng.integers(1, 5)))
    ]
    network, amps = wired(kind, boards), 1.4 if kind == "strings" else 0.7 * len(boards)
    running = current_split(network, driver=Driver(voltage_setting_v=200.0, current_setting_a=amps)).driver_voltage_v
    # Far below the ceiling, at it with amps to spare, and between the two.
    volts, room = [(1.3, 1.0), (1.0, 3.0), (1.005, 1.0)][seed % 3]
    driver = Driver(voltage_setting_v=volts * running, current_setting_a=room * amps)
    spread = Spread(
        board_sigma_v=rng.uniform(0.02, 0.088),
        current_setting_fraction=rng.choice([0.0, 0.05]),
        voltage_setting_fraction=rng.choice([0.0, 0.01]),
        wire_fraction=fraction,
        sink_fraction=fraction,
    )
    result = tolerance_of(network, 5.0, spread, driver=driver, samples=10_000)
    assert result.estimate_95_a == pytest.approx(result.quantile_95_a, rel=within)
    assert result.estimate_99_a == pytest.approx(result.quantile_99_a, rel=within)


def test_a_circuit_without_a_steady_state_has_no_estimate():
    hot = Branch(curve=CURVE, thermal_resistance_k_per_w=60.0)
    free = Driver(voltage_setting_v=19.0, current_setting_a=np.inf)
    assert np.isnan(highest_current_estimate([hot], 0.95, Spread(board_sigma_v=0.01), driver=free))


@pytest.mark.parametrize("driver", [Driver(voltage_setting_v=40.0, current_setting_a=9.0), DRIVER])
def test_settings_found_by_samples_near_the_edge_hold_for_all(driver):
    """Every sample solved again at the settings found: the edge lies at the rating."""
    trunk = trunk_network([BOARD] * 5, [0.1] * 5, [0.1] * 5)
    spread = Spread(board_sigma_v=0.06, current_setting_fraction=0.03, wire_fraction=0.1)
    result = tolerance_of(trunk, 1.5, spread, driver=driver, samples=2000)
    for setting, share in ((result.setting_for_95_a, 0.95), (result.setting_for_99_a, 0.99)):
        tried = Driver(voltage_setting_v=40.0, current_setting_a=setting)
        again = tolerance_of(trunk, 1.5, spread, driver=tried, samples=2000)
        ranked = np.sort(again.highest_current_a)
        assert ranked[int(np.ceil(share * 2000)) - 1] == pytest.approx(1.5, rel=1.1e-5)


@pytest.mark.parametrize(("sigma", "turned"), SETTINGS)
def test_closed_form_and_monte_carlo_agree_for_like_boards(sigma, turned):
    spread = Spread(board_sigma_v=sigma, current_setting_fraction=turned)
    result = tolerance_of([BOARD] * 6, 1.5, spread, driver=DRIVER)
    assert result.estimate_95_a == pytest.approx(result.quantile_95_a, rel=0.005)
    assert result.estimate_99_a == pytest.approx(result.quantile_99_a, rel=0.005)


def test_small_spreads_follow_the_exact_order_statistic():
    """Cold boards of slope r: I_k - mean = -(v_k - mean v)/r; the highest of N normal deviates from their mean, by its
    own simulation in NumPy alone, and its 95 % point by SciPy for two boards, where it is exact."""
    board = Branch(curve=CURVE, wire_resistance_ohm=0.05)
    slope = float(CURVE.slope(1.0)) + 0.05
    result = tolerance_of(
        [board] * 2, 1.5, Spread(board_sigma_v=0.001), driver=Driver(voltage_setting_v=40.0, current_setting_a=2.0)
    )
    # |v1 - v2| / 2 is half-normal of sigma/sqrt(2).
    exact = 1.0 + 0.001 / np.sqrt(2.0) * stats.halfnorm.ppf(0.95) / slope
    assert result.quantile_95_a - 1.0 == pytest.approx(exact - 1.0, rel=0.03)
    assert result.estimate_95_a - 1.0 == pytest.approx(exact - 1.0, rel=0.03)


def test_the_settings_for_95_and_99_per_cent_do_what_they_say():
    spread = Spread(board_sigma_v=0.08, current_setting_fraction=0.02)
    result = tolerance_of([BOARD] * 6, 1.35, spread, driver=DRIVER)
    assert result.chance_over_rating_fraction > 0.05
    assert result.setting_for_99_a < result.setting_for_95_a < 7.5
    for setting, share in ((result.setting_for_95_a, 0.05), (result.setting_for_99_a, 0.01)):
        driver = Driver(voltage_setting_v=40.0, current_setting_a=setting)
        again = tolerance_of([BOARD] * 6, 1.35, spread, driver=driver, seed=2)
        assert again.chance_over_rating_fraction == pytest.approx(share, abs=0.01)


def test_more_boards_instead():
    spread = Spread(board_sigma_v=0.08)
    result = tolerance_of([BOARD] * 6, 1.3, spread, driver=DRIVER)
    count = result.boards_for_95_count
    assert count > 6
    within = tolerance_of([BOARD] * count, 1.3, spread, driver=DRIVER)
    fewer = tolerance_of([BOARD] * (count - 1), 1.3, spread, driver=DRIVER)
    assert within.chance_over_rating_fraction <= 0.055
    assert fewer.chance_over_rating_fraction > 0.045


def test_no_spread_is_the_plain_split_and_a_seed_repeats_itself():
    result = tolerance_of([BOARD] * 3, 3.0, Spread(), driver=DRIVER, samples=100)
    plain = current_split([BOARD] * 3, driver=DRIVER).current_a.max()
    assert result.highest_current_a == pytest.approx(np.full(100, plain), rel=1e-12)
    assert result.estimate_99_a == pytest.approx(plain, rel=1e-12)
    spread = Spread(board_sigma_v=0.05, wire_fraction=0.2, sink_fraction=0.2, voltage_setting_fraction=0.01)
    one, other = (tolerance_of([BOARD] * 3, 3.0, spread, driver=DRIVER, samples=100, seed=7) for _ in range(2))
    assert one.highest_current_a.tolist() == other.highest_current_a.tolist()


def test_where_the_ceiling_binds_the_dial_is_turned_below_what_flows():
    ceiling = Driver(voltage_setting_v=17.9, current_setting_a=7.5)
    spread = Spread(board_sigma_v=0.05)
    flowing = float(current_split([BOARD] * 4, driver=ceiling).driver_current_a)
    result = tolerance_of([BOARD] * 4, flowing / 4, spread, driver=ceiling, samples=2000)
    assert result.chance_over_rating_fraction > 0.5
    assert result.setting_for_95_a < flowing
    assert np.isinf(tolerance_of([BOARD] * 4, 5.0, spread, driver=ceiling, samples=2000).setting_for_95_a)


def test_a_trunk_is_sampled_too():
    trunk = trunk_network([BOARD] * 3, [0.1] * 3, [0.1] * 3)
    spread = Spread(board_sigma_v=0.03, wire_fraction=0.1)
    driver = Driver(voltage_setting_v=40.0, current_setting_a=3.0)
    result = tolerance_of(trunk, 1.5, spread, driver=driver, samples=1000)
    assert result.boards_for_95_count == 0
    assert result.quantile_95_a > float(current_split(trunk, driver=driver).current_a.max())
    assert result.estimate_95_a == pytest.approx(result.quantile_95_a, rel=0.005)


def test_numbers_out_of_range_are_refused():
    with pytest.raises(ArgumentError, match="board_sigma_v"):
        Spread(board_sigma_v=-1.0)
    with pytest.raises(ArgumentError, match="samples"):
        tolerance_of([BOARD], 1.0, Spread(), driver=DRIVER, samples=10)
    with pytest.raises(ArgumentError, match="share_fraction"):
        highest_current_estimate([BOARD], 1.0, Spread(), driver=DRIVER)


def test_a_driver_that_is_off_takes_no_board_over_its_rating():
    off = Driver(voltage_setting_v=40.0, current_setting_a=7.5, cut_off_v=39.0)
    result = tolerance_of([BOARD] * 4, 1.5, Spread(board_sigma_v=0.05), driver=off, samples=100)
    assert result.quantile_99_a == result.chance_over_rating_fraction == 0.0
    assert np.isnan(result.setting_for_95_a)


def test_where_boards_begin_to_hog_the_setting_is_found_to_a_hundredth():
    """What the worst board carries jumps there: just below few samples are over the rating, just above nearly all."""
    curve = BoardCurve.from_diode(0.6, 1e-14, 1.5, voltage_coefficient_v_per_k=-0.018)
    boards = [Branch(curve=curve, wire_resistance_ohm=0.1, thermal_resistance_k_per_w=20.0, radiant_fraction=0.5)] * 4
    driver = Driver(voltage_setting_v=90.0, current_setting_a=2.2)

    def result_at(amps):
        at = replace(driver, current_setting_a=amps)
        return tolerance_of(boards, 0.9, Spread(board_sigma_v=0.01), driver=at, samples=200)

    setting = result_at(2.2).setting_for_95_a
    assert 0.5 < setting < 2.2
    assert result_at(setting).chance_over_rating_fraction <= 0.05
    assert result_at(setting * 1.02).chance_over_rating_fraction > 0.05
