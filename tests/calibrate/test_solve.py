"""The solver beside closed forms and general libraries, on models that are linear or bounded."""

import numpy as np
import pytest
from scipy.optimize import curve_fit, least_squares

from ledcalc.calibrate.solve import solve
from ledcalc.errors import ArgumentError

RNG = np.random.default_rng(8)
X = np.linspace(-1.0, 2.0, 12)
DESIGN = np.stack([np.ones_like(X), X, X**2], axis=1)
SIGMA = RNG.uniform(0.05, 0.3, X.size)
MEASURED = DESIGN @ [0.4, -1.2, 0.7] + SIGMA * RNG.normal(size=X.size)
PRIOR = np.array([0.1, -1.0, 0.2])
ROOT = np.array([[0.5, 0.0, 0.0], [0.2, 0.4, 0.0], [-0.1, 0.3, 0.6]])
COVARIANCE = ROOT @ ROOT.T


def fitted(*, covariance=COVARIANCE, low=-50.0, high=50.0, design=DESIGN):
    return solve(
        lambda values: design @ values,
        lambda _: design,
        MEASURED,
        SIGMA,
        prior=PRIOR,
        covariance=covariance,
        low=np.full(3, low),
        high=np.full(3, high),
    )


def test_linear_model_is_generalised_least_squares():
    """Aitken's estimator with the prior as further observations, in closed form by numpy."""
    stacked = np.concatenate([DESIGN, np.eye(3)])
    observed = np.concatenate([MEASURED, PRIOR])
    omega = np.zeros((15, 15))
    omega[:12, :12], omega[12:, 12:] = np.diag(SIGMA**2), COVARIANCE
    inverse = np.linalg.inv(omega)
    covariance = np.linalg.inv(stacked.T @ inverse @ stacked)
    values = covariance @ stacked.T @ inverse @ observed
    found = fitted()
    assert found.values == pytest.approx(values, rel=1e-10)
    assert found.covariance == pytest.approx(covariance, rel=1e-10)
    off = observed - stacked @ values
    assert found.chi_square == pytest.approx(off @ inverse @ off, rel=1e-10)
    assert not found.at_bound.any()


def test_without_knowledge_beforehand_it_is_weighted_least_squares_as_scipy_has_it():
    values, covariance = curve_fit(
        lambda x, a, b, c: a + b * x + c * x**2, X, MEASURED, sigma=SIGMA, absolute_sigma=True, p0=[0, 0, 0]
    )
    found = fitted(covariance=np.eye(3) * 1e10)
    assert found.values == pytest.approx(values, abs=1e-6)
    assert found.covariance == pytest.approx(covariance, rel=1e-4)


def test_values_held_by_a_bound_are_those_of_scipy():
    whiten = np.linalg.inv(ROOT)

    def residuals(values):
        return np.concatenate([(DESIGN @ values - MEASURED) / SIGMA, whiten @ (values - PRIOR)])

    there = least_squares(residuals, [0.0, -0.5, 0.1], bounds=(-1.0, 0.5), xtol=1e-14, ftol=1e-14, gtol=1e-14)
    found = fitted(low=-1.0, high=0.5)
    assert found.values == pytest.approx(there.x, abs=1e-5)
    assert found.chi_square == pytest.approx(2 * there.cost, rel=1e-6)
    assert found.at_bound.any()


def test_a_curved_model_ends_where_scipy_ends():
    time = np.linspace(0.0, 3.0, 15)

    def decay(values):
        return values[0] * np.exp(-values[1] * time) + values[2]

    def slopes(values):
        fading = np.exp(-values[1] * time)
        return np.stack([fading, -values[0] * time * fading, np.ones_like(time)], axis=1)

    sigma = np.full(time.size, 0.02)
    measured = decay([2.0, 1.5, 0.3]) + sigma * np.random.default_rng(5).normal(size=time.size)
    wide = np.diag([1e4, 1e4, 1e4])
    found = solve(
        decay,
        slopes,
        measured,
        sigma,
        prior=np.array([1.0, 0.3, 0.0]),
        covariance=wide,
        low=np.full(3, -9.0),
        high=np.full(3, 9.0),
    )
    values, covariance = curve_fit(
        lambda t, a, b, c: a * np.exp(-b * t) + c, time, measured, sigma=sigma, absolute_sigma=True, p0=[1, 1, 0]
    )
    assert found.values == pytest.approx(values, abs=1e-4)
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-2)


def test_a_step_into_a_state_that_does_not_exist_is_cut_short():
    """The model has no value above 1: the search stays below it and still ends at the least squares."""
    found = solve(
        lambda values: None if values[0] > 1.0 else np.array([np.sqrt(2.0 - 2.0 * values[0])]),
        lambda values: np.array([[-1.0 / np.sqrt(2.0 - 2.0 * values[0])]]),
        np.array([0.05]),
        np.array([0.01]),
        prior=np.zeros(1),
        covariance=np.eye(1) * 1e4,
        low=np.full(1, -9.0),
        high=np.full(1, 9.0),
    )
    assert found.values[0] == pytest.approx(1.0 - 0.05**2 / 2.0, abs=1e-3)


def test_readings_without_width_are_refused():
    with pytest.raises(ArgumentError, match="sigma"):
        solve(
            lambda values: values,
            lambda _: np.eye(1),
            np.zeros(1),
            np.zeros(1),
            prior=np.zeros(1),
            covariance=np.eye(1),
            low=-np.ones(1),
            high=np.ones(1),
        )
