"""Photon maintenance against least squares worked otherwise, the rules as public summaries give them, and Arrhenius."""

import numpy as np
import pytest
from scipy import constants, optimize, stats

from ledcalc.photons import maintenance_at_temperature, tm21_fit
from ledcalc.tables import table

# Numbers that no second source known to us confirms: they stand on public summaries of the standard, or on memory.
CELLS_ON_ONE_SOURCE = {"tm21": 10}
HOURS = np.arange(0, 6001, 1000)
READINGS = np.array([1.0, 1.004, 0.998, 0.993, 0.987, 0.984, 0.978])


def test_fit_against_the_normal_equations_by_hand():
    """Six readings of 1000 to 6000 h: means 3500 h and of ln; slope = sum(dx dy)/sum(dx dx), 17.5e6 h2 by hand."""
    fit = tm21_fit(HOURS, READINGS, unit_count=25)
    x, y = HOURS[1:] - 3500.0, np.log(READINGS[1:])
    assert (x**2).sum() == 17.5e6
    slope = (x * y).sum() / 17.5e6
    assert fit.decay_per_h == pytest.approx(-slope, rel=1e-9)
    assert fit.initial_fraction == pytest.approx(np.exp(y.mean() - slope * 3500.0), rel=1e-12)


@pytest.mark.parametrize(
    ("last_h", "first_h"), [(6000, 1000), (8000, 3000), (10_000, 5000), (12_000, 6000), (17_000, 8000)]
)
def test_window_and_fit_against_scipy(last_h, first_h):
    """SciPy's linregress on what the rules leave: the last 5,000 h, or the last half with the reading before it."""
    hours = np.arange(0, last_h + 1, 1000)
    rng = np.random.default_rng(last_h)
    readings = np.exp(-2e-6 * hours) * (1 + 0.002 * rng.standard_normal(hours.size))
    readings[0] = 1.0
    fit = tm21_fit(hours, readings, unit_count=20)
    inside = hours >= first_h
    line = stats.linregress(hours[inside], np.log(readings[inside]))
    assert fit.window_from_h == first_h
    assert fit.fitted_count == inside.sum()
    assert fit.decay_per_h == pytest.approx(-line.slope, rel=1e-8)
    assert fit.initial_fraction == pytest.approx(np.exp(line.intercept), rel=1e-10)


def test_units_are_normalised_before_they_are_averaged():
    """By NumPy's lstsq on the mean of each unit's share of its own first reading; their levels do not weigh."""
    rng = np.random.default_rng(3)
    levels = rng.uniform(50, 150, size=(24, 1))
    units = levels * np.exp(-rng.uniform(1e-6, 9e-6, size=(24, 1)) * HOURS)
    fit = tm21_fit(HOURS, units)
    mean = (units / units[:, :1]).mean(axis=0)
    design = np.column_stack([np.ones(6), HOURS[1:]])
    (level, slope), *_ = np.linalg.lstsq(design, np.log(mean[1:]), rcond=None)
    assert fit.initial_fraction == pytest.approx(np.exp(level), rel=1e-10)
    assert fit.decay_per_h == pytest.approx(-slope, rel=1e-8)
    assert fit.tested_fraction == pytest.approx(mean, rel=1e-12)


def test_life_is_where_the_exponential_meets_the_level():
    """SciPy's root finder on B exp(-alpha t) = p, within the limit."""
    fit = tm21_fit(HOURS, np.exp(-8e-6 * HOURS), unit_count=20)
    life = fit.life(90.0)
    root = optimize.brentq(lambda hours: fit.fraction(hours) - 0.9, 0, 1e6, xtol=1e-6)
    assert life.calculated_h == pytest.approx(root, abs=1e-3)
    assert life.reported_h == life.calculated_h
    assert life.text == "L90(6k) = 13,200 h"


@pytest.mark.parametrize(
    ("duration_h", "units", "limit_h"),
    [(6000, 20, 36_000), (10_000, 20, 60_000), (6000, 19, 33_000), (6000, 10, 33_000), (10_000, 10, 55_000)],
)
def test_projection_limits(duration_h, units, limit_h):
    """Six times the test from 20 units, 5.5 times from 10: 6,000 h give 36,000 h, 10,000 h give 60,000 h."""
    hours = np.arange(0, duration_h + 1, 1000)
    fit = tm21_fit(hours, np.exp(-1e-7 * hours), unit_count=units)
    life = fit.life(70.0)
    assert fit.limit_h == limit_h
    assert life.over_limit
    assert life.reported_h == limit_h
    assert life.text == f"L70({duration_h // 1000}k) > {limit_h:,} h"
    # ln(1/0.7) / 1e-7 = 3.57 million h, which must not be said.
    assert life.calculated_h == pytest.approx(np.log(1 / 0.7) / 1e-7, rel=1e-6)


def test_readings_that_rise_give_the_limit():
    """alpha at or below 0: nothing to calculate, the limit is reported."""
    fit = tm21_fit(HOURS, [1, 1.001, 1.002, 1.003, 1.004, 1.005, 1.006], unit_count=20)
    assert fit.decay_per_h < 0
    assert fit.life(70).calculated_h == np.inf
    assert fit.life(70).text == "L70(6k) > 36,000 h"
    assert any("do not fall" in note for note in fit.notes)


def test_between_temperatures_by_arrhenius():
    """alpha = A exp(-Ea/(k T)): A and Ea solved by NumPy from two tests, with the Boltzmann constant in eV/K."""
    cool = tm21_fit(HOURS, np.exp(-2e-6 * HOURS), unit_count=20)
    hot = tm21_fit(HOURS, 1.01 * np.exp(-7e-6 * HOURS) / np.where(HOURS == 0, 1.01, 1.0), unit_count=20)
    ev_per_k = constants.k / constants.e
    assert ev_per_k == pytest.approx(8.617e-5, rel=1e-4)
    rows = np.array([[1.0, -1 / (ev_per_k * (celsius + 273.15))] for celsius in (55.0, 85.0)])
    ln_a, activation_ev = np.linalg.solve(rows, np.log([cool.decay_per_h, hot.decay_per_h]))
    got = maintenance_at_temperature(cool, hot, cooler_c=55.0, hotter_c=85.0, temperature_c=68.0)
    assert got.decay_per_h == pytest.approx(np.exp(ln_a - activation_ev / (ev_per_k * (68.0 + 273.15))), rel=1e-9)
    assert got.initial_fraction == pytest.approx(np.sqrt(1.01), rel=1e-9)


def test_rules_are_those_of_the_summaries_and_their_cells_are_counted():
    rules = {row["name"]: float(row["value"]) for row in table("tm21")}
    assert rules == {
        "shortest_test_h": 6000,
        "window_h": 5000,
        "long_test_h": 10_000,
        "long_window_fraction": 0.5,
        "earliest_reading_h": 1000,
        "reading_spacing_h": 1000,
        "many_units_count": 20,
        "few_units_count": 10,
        "many_units_limit_factor": 6,
        "few_units_limit_factor": 5.5,
    }
    # The windows meet: half of a test of 10,000 h is 5,000 h.
    assert rules["long_window_fraction"] * rules["long_test_h"] == rules["window_h"]
    assert rules["shortest_test_h"] - rules["window_h"] == rules["earliest_reading_h"]
    assert len(rules) == CELLS_ON_ONE_SOURCE["tm21"]
    assert all("from memory" in row["read_from"] or row["read_from"] == "public summaries" for row in table("tm21"))
