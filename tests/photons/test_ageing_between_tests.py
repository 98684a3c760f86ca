"""Which maintenance test holds at a temperature, and which crop a text names."""

import numpy as np
import pytest
from scipy import constants

from ledcalc.errors import ArgumentError
from ledcalc.photons import MaintenanceTest, maintenance_among_tests, match_crop, tm21_fit

HOURS = np.arange(0, 6001, 1000)


def fit_at(celsius, rate_per_h, units=20):
    fit = tm21_fit(HOURS, np.exp(-rate_per_h * HOURS), unit_count=units, flux="photon flux")
    return MaintenanceTest(temperature_c=celsius, unit_count=units, fit=fit)


THREE = (fit_at(55.0, 1e-6), fit_at(85.0, 4e-6), fit_at(105.0, 9e-6, units=10))


def test_the_neighbours_of_a_temperature_by_the_arrhenius_law():
    """alpha = A exp(-Ea/(k T)), constants of CODATA by SciPy, from the two tests beside the temperature only."""
    for asked, cooler, hotter in ((70.0, *THREE[:2]), (95.0, *THREE[1:])):
        low, high, at = (celsius + 273.15 for celsius in (cooler.temperature_c, hotter.temperature_c, asked))
        k = constants.physical_constants["Boltzmann constant in eV/K"][0]
        ratio = hotter.fit.decay_per_h / cooler.fit.decay_per_h
        energy_ev = k * np.log(ratio) / (1.0 / low - 1.0 / high)
        expected = cooler.fit.decay_per_h * np.exp(-energy_ev / k * (1.0 / at - 1.0 / low))
        found = maintenance_among_tests(THREE, asked)
        assert found.fit.decay_per_h == pytest.approx(expected, rel=1e-9)
        assert f"between the tests at {cooler.temperature_c:g} and {hotter.temperature_c:g} degC" in found.basis
    assert maintenance_among_tests(THREE, 95.0).fit.limit_h == 33_000


def test_a_tests_own_temperature_is_its_own_fit():
    for test in THREE:
        assert maintenance_among_tests(THREE, test.temperature_c).fit is test.fit


def test_outside_the_tests():
    assert maintenance_among_tests(THREE, 20.0).fit is THREE[0].fit
    assert "stands in" in maintenance_among_tests(THREE, 20.0).basis
    above = maintenance_among_tests(THREE, 105.1)
    assert above.fit is None
    assert "not projected" in above.basis


def test_a_fit_that_does_not_fall_leaves_it_to_the_worse_one():
    level = fit_at(55.0, -1e-6)
    assert maintenance_among_tests((level, THREE[1]), 70.0).fit is THREE[1].fit
    risen = MaintenanceTest(temperature_c=85.0, unit_count=20, fit=level.fit)
    found = maintenance_among_tests((THREE[0], risen), 70.0)
    assert found.fit is THREE[0].fit
    assert "that of 55 degC stands in" in found.basis


@pytest.mark.parametrize("tests", [(), (THREE[1], THREE[0]), (THREE[0], THREE[0])])
def test_tests_out_of_order_are_refused(tests):
    with pytest.raises(ArgumentError, match="temperatures rising"):
        maintenance_among_tests(tests, 50.0)


def test_what_is_kept_is_never_more_than_new():
    fit = tm21_fit(HOURS, 1.02 * np.exp(-1e-6 * HOURS) / np.where(HOURS > 0, 1.0, 1.02), unit_count=20)
    assert fit.fraction(1.0) > 1.0
    assert fit.kept_fraction([0.0, 1.0, 30_000.0]) == pytest.approx([1.0, 1.0, 1.02 * np.exp(-0.03)])


@pytest.mark.parametrize(
    ("text", "crop", "nearest"),
    [
        ("Head  Lettuce", "head lettuce", None),
        ("seedlings before transplant (lettuce and tomato)", "seedlings before transplant", None),
        ("tomato, greenhouse: beef", "tomato, greenhouse", None),
        ("head letuce", None, "head lettuce"),
        ("Tomato", None, "tomato, greenhouse"),
        ("pepper seedlings", None, "pepper"),
        ("part shade plants", None, "shade plants"),
        ("roses", None, None),
        ("+1", None, None),
        ("", None, None),
    ],
)
def test_crops_by_name_or_nearly(text, crop, nearest):
    found = match_crop(text)
    assert (found.target.crop if found.target else None, found.nearest) == (crop, nearest)
