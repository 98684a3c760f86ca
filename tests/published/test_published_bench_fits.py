"""Fits and uncertainties of bench readings against certified data sets, the GUM's worked examples and libraries."""

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import linregress, t

from ledcalc.bench import MeterNoise, RatedBoards, fit_approach, referred_temperature, straight_line
from ledcalc.bench.error_sums import chance_within, half_width_of_sum, sum_tables

# NIST StRD, linear regression, Norris (as carried by scipy's tests): ozone monitors, y against x.
NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0
228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"""
NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7
228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"""
NORRIS = np.array([NORRIS_X.split(), NORRIS_Y.split()], dtype=float)
# NIST StRD, nonlinear regression, Misra1a and BoxBOD (as carried by the tests of a fitting library, lmfit 1.3.4):
# y = b1 (1 - exp(-b2 x)); certified b1, b2, their standard deviations, residual standard deviation.
MISRA1A = {
    "x": [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0],
    "y": [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78],
    "certified": (2.3894212918e02, 5.5015643181e-04, 2.7070075241e00, 7.2668688436e-06, 1.0187876330e-01),
}
BOXBOD = {
    "x": [1.0, 2.0, 3.0, 5.0, 7.0, 10.0],
    "y": [109.0, 149.0, 149.0, 191.0, 213.0, 224.0],
    "certified": (2.1380940889e02, 5.4723748542e-01, 1.2354515176e01, 1.0455993237e-01, 1.7088072423e01),
}
# JCGM 100:2008 (GUM) Table H.6, from memory: thermometer readings and corrections, reference temperature 20 degC. The
# example's six printed results come out of them.
THERMOMETER_C = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION_C = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def test_norris_straight_line():
    """NIST StRD Norris, certified to 15 digits."""
    line = straight_line(*NORRIS)
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-11)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.intercept_standard_error == pytest.approx(0.232818234301152, rel=1e-11)
    assert line.slope_standard_error == pytest.approx(0.429796848199937e-3, rel=1e-11)
    assert line.residual_standard_deviation == pytest.approx(0.884796396144373, rel=1e-11)
    assert line.degrees_of_freedom == 34


def test_intervals_of_a_line_against_statsmodels():
    """statsmodels 0.15.0 on Norris: OLS.get_prediction and WLS with fixed scale (figures of one run, typed in)."""
    x, y = NORRIS
    line = straight_line(x, y)
    assert line.standard_error_at([500.0, 0.2]) == pytest.approx([0.15150218, 0.23275172], rel=1e-7)
    reach = line.coverage_factor() * line.standard_error_at(500.0)
    assert [line.at(500.0) - reach, line.at(500.0) + reach] == pytest.approx([500.488196, 501.103975], abs=1e-6)
    weighted = straight_line(x, y, standard_uncertainty=0.2 + 0.001 * x)
    assert [weighted.intercept, weighted.slope] == pytest.approx([-0.36631796, 1.00241288], rel=1e-7)
    assert weighted.intercept_standard_error == pytest.approx(0.06429489, rel=1e-6)
    assert weighted.slope_standard_error == pytest.approx(0.00030427, abs=5e-9)
    assert weighted.standard_error_at(500.0) == pytest.approx(0.13725471, rel=1e-7)


def test_line_against_scipy():
    found, line = linregress(*NORRIS), straight_line(*NORRIS)
    assert (line.slope, line.slope_standard_error) == pytest.approx((found.slope, found.stderr), rel=1e-10)
    assert line.intercept_standard_error == pytest.approx(found.intercept_stderr, rel=1e-10)
    assert line.coverage_factor(0.99) == pytest.approx(t.ppf(0.995, 34), rel=1e-12)


def test_gum_annex_h3_thermometer():
    """JCGM 100 H.3: y1 = -0.1712(29), y2 = 0.00218(67), r = -0.930, s = 0.0035, b(30 degC) = -0.1494(41)."""
    line = straight_line(np.array(THERMOMETER_C) - 20.0, CORRECTION_C)
    assert line.intercept == pytest.approx(-0.1712, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.intercept_standard_error == pytest.approx(0.0029, abs=5e-5)
    assert line.slope_standard_error == pytest.approx(0.00067, abs=5e-6)
    correlation = line.covariance / (line.intercept_standard_error * line.slope_standard_error)
    assert correlation == pytest.approx(-0.930, abs=5e-4)
    assert line.residual_standard_deviation == pytest.approx(0.0035, abs=5e-5)
    assert line.at(10.0) == pytest.approx(-0.1494, abs=5e-5)
    assert line.standard_error_at(10.0) == pytest.approx(0.0041, abs=5e-5)


@pytest.mark.parametrize("data", [MISRA1A, BOXBOD], ids=["Misra1a", "BoxBOD"])
def test_certified_exponential_approach(data):
    """NIST StRD: certified parameters to ten digits, standard deviations to six."""
    steady, rate, steady_error, rate_error, scatter = data["certified"]
    fit = fit_approach(data["x"], data["y"], start=0.0)
    assert fit.steady == pytest.approx(steady, rel=1e-10)
    assert 1.0 / fit.time_constant_h == pytest.approx(rate, rel=1e-10)
    assert fit.steady_standard_error == pytest.approx(steady_error, rel=3e-7)
    assert fit.time_constant_standard_error_h / fit.time_constant_h**2 == pytest.approx(rate_error, rel=3e-7)
    assert fit.residual_standard_deviation == pytest.approx(scatter, rel=1e-9)
    # The interval holds the estimate, is wider than the linear one where the fit bends, and about as wide where not.
    low, high = fit.steady_interval.low, fit.steady_interval.high
    linear = t.ppf(0.975, len(data["x"]) - 2) * steady_error
    assert low < steady < high
    assert 0.95 * 2 * linear < high - low < 1.6 * 2 * linear


@pytest.mark.parametrize("data", [MISRA1A, BOXBOD], ids=["Misra1a", "BoxBOD"])
def test_free_start_against_scipy_curve_fit(data):
    def approach(x, steady, start, rate):
        return steady + (start - steady) * np.exp(-rate * (x - data["x"][0]))

    x, y = np.array(data["x"]), np.array(data["y"])
    guess = (data["certified"][0], y[0], data["certified"][1])
    expected, covariance = curve_fit(approach, x, y, p0=guess, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    fit = fit_approach(x, y)
    assert [fit.steady, fit.start, 1.0 / fit.time_constant_h] == pytest.approx(expected, rel=1e-6)
    errors = np.sqrt(np.diag(covariance))
    assert [fit.steady_standard_error, fit.start_standard_error] == pytest.approx(errors[:2], rel=1e-4)
    assert fit.time_constant_standard_error_h / fit.time_constant_h**2 == pytest.approx(errors[2], rel=1e-4)


def test_a_long_log_is_fitted_as_its_readings_are():
    """Long logs are fitted by means over stretches: the same as scipy's curve_fit on every reading."""
    rng = np.random.default_rng(2)
    x = np.sort(rng.uniform(0.0, 12.0, 5000))
    y = 2.0 + 0.2 * np.exp(-x / 0.7) + rng.normal(0.0, 0.02, x.size)

    def approach(x, steady, height, tau):
        return steady + height * np.exp(-x / tau)

    expected, covariance = curve_fit(
        approach, x, y, p0=(2.0, 0.2, 0.7), sigma=np.full(x.size, 0.02), absolute_sigma=True
    )
    fit = fit_approach(x, y, standard_uncertainty=0.02)
    error = np.sqrt(np.diag(covariance))
    assert abs(fit.steady - expected[0]) < 0.02 * error[0]
    assert abs(fit.time_constant_h - expected[2]) < 0.02 * error[2]
    assert fit.steady_standard_error == pytest.approx(error[0], rel=1e-3)
    # What the approach itself changes within a stretch counts as scatter.
    assert fit.chi_square == pytest.approx(float(np.sum((y - approach(x, *expected)) ** 2)) / 0.02**2, rel=1e-4)


def test_supplement_1_sum_of_four_rectangles():
    """JCGM 101 (GUM Supplement 1) 9.2.3 and 9.2.4, from memory: +-3.88; with one standard uncertainty of 10, +-17.0."""
    assert half_width_of_sum(np.full(4, 3**0.5)) == pytest.approx(3.88, abs=0.005)
    assert half_width_of_sum(np.array([1.0, 1.0, 1.0, 10.0]) * 3**0.5) == pytest.approx(17.0, abs=0.05)
    assert half_width_of_sum(np.zeros(4), 2.0) == pytest.approx(3.92, abs=0.005)


def test_sums_in_closed_form():
    """One rectangle: 0.95 of its half width. Two alike: a triangle, 2 - 2 sqrt 0.05 of it. Both by hand."""
    assert half_width_of_sum(np.array([2.0])) == pytest.approx(1.9, rel=1e-6)
    assert half_width_of_sum(np.array([1.0, 1.0])) == pytest.approx(2.0 - 2.0 * 0.05**0.5, rel=1e-5)
    assert chance_within(1.0, np.array([1.0, 1.0])) == pytest.approx(0.75, abs=1e-5)
    assert chance_within(0.5, np.array([2.0])) == pytest.approx(0.25, abs=1e-6)


@pytest.mark.parametrize(
    ("half_widths", "standard"),
    [([1.0], 0.3), ([1.0, 0.2], 0.0), ([1.0, 0.5, 0.25], 0.1), ([0.3] * 8, 0.0), ([1.0, 1.0, 0.01], 0.0)],
)
def test_sums_against_monte_carlo(half_widths, standard):
    """The same by 400,000 draws, as Supplement 1 does it: 0.5 % of the half width is four of its standard errors."""
    rng = np.random.default_rng(101)
    widths = np.array(half_widths)
    drawn = (rng.uniform(-1, 1, (400_000, widths.size)) * widths).sum(axis=1) + rng.normal(0, 1, 400_000) * standard
    assert half_width_of_sum(widths, standard) == pytest.approx(np.quantile(np.abs(drawn), 0.95), rel=5e-3)
    grid, chance = sum_tables(widths[None, :], np.array([standard]))
    places = np.linspace(0.1, 0.9, 5) * grid[0, -1]
    counted = [(drawn <= place).mean() for place in places]
    assert np.interp(places, grid[0], chance[0]) == pytest.approx(counted, abs=4e-3)


def test_rated_boards_against_monte_carlo():
    """Chance that all are below their rating, and the limit that none exceeds, by 400,000 draws of all errors."""
    rng = np.random.default_rng(7)
    current, draws = np.array([2.23, 2.20, 2.10, 1.95]), 400_000
    boards = RatedBoards(
        current_a=current,
        rating_a=2.2,
        own_half_width_a=[[0.02] * 4, [0.03] * 4],
        own_standard_uncertainty_a=[0.0, 0.01, 0.0, 0.0],
        common_half_width_fraction=0.015,
    )
    common = rng.uniform(-0.015, 0.015, (draws, 1))
    own = rng.uniform(-0.02, 0.02, (draws, 4)) + rng.uniform(-0.03, 0.03, (draws, 4))
    own[:, 1] += rng.normal(0, 0.01, draws)
    true = current * (1 - common) - own
    found = boards.verdict()
    assert found.all_below_fraction == pytest.approx((true.max(axis=1) <= 2.2).mean(), abs=3e-3)
    assert found.chance_below_fraction == pytest.approx((true <= 2.2).mean(axis=0), abs=3e-3)
    limit = np.quantile(true.max(axis=1), 0.95)
    assert found.highest_use_limit_fraction * 2.2 == pytest.approx(limit, abs=5e-4)


def test_clamp_of_an_application_note():
    """A meter maker's application note: 2 % + 2 counts at 100.0 A means 97.8 to 102.2 A."""
    clamp = MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.1)
    assert clamp.half_width(100.0) == pytest.approx(2.2)
    # GUM 4.3.7: a rectangle's standard uncertainty is its half width over the root of 3.
    whole = MeterNoise(accuracy_fraction=0.02, counts=0, repeating_fraction=0.0)
    assert whole.own_standard_uncertainty(100.0) == pytest.approx(2.0 / 3**0.5)


def test_rise_by_natural_convection():
    """Nu ~ Ra^(1/4) (any heat transfer text): half the heat leaves a rise of 0.5^0.8 = 0.574 of it."""
    assert referred_temperature(60.0, 20.0, common_air_c=20.0, power_ratio=0.5, power_exponent=0.8) == pytest.approx(
        20.0 + 40.0 * 0.574, abs=0.02
    )
