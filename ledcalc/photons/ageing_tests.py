"""Maintenance at a temperature from tests at several: which two it lies between, and what stands in elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.ageing import ZERO_CELSIUS_K, PhotonMaintenance, maintenance_at_temperature

__all__ = ["MaintenanceAt", "MaintenanceTest", "maintenance_among_tests"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MaintenanceTest:
    """The fit of a test of ``unit_count`` units at a temperature."""

    temperature_c: float
    unit_count: int
    fit: PhotonMaintenance


@dataclass(frozen=True, slots=True, kw_only=True)
class MaintenanceAt:
    """The fit that holds at a temperature, None where tests carry none; ``basis`` says what it rests on."""

    fit: PhotonMaintenance | None
    basis: str


def maintenance_among_tests(tests: Sequence[MaintenanceTest], temperature_c: float) -> MaintenanceAt:
    """Return the maintenance at a temperature, by the tests beside it.

    Parameters
    ----------
    tests : at least one, rising in temperature, each temperature once
    temperature_c : degC, where the tests measure theirs

    Returns
    -------
    MaintenanceAt: the test's own fit at its temperature; between two tests their interpolation, or the fit that falls
    more where one does not fall; the coolest test's below all of them; None above

    Raises
    ------
    ArgumentError (a ValueError): no test, temperatures that do not rise, or a number out of its range

    References
    ----------
    ANSI/IES TM-21 (public summaries): interpolation between two temperatures, none above the hottest, the coolest
    test below it. A fit that does not fall has no place on the Arrhenius line: own choice, the worse one.

    Examples
    --------
    >>> from ledcalc.photons.ageing import tm21_fit
    >>> fit = tm21_fit([0, 1000, 2000, 3000, 4000, 5000, 6000], [1, 0.99, 0.98, 0.97, 0.96, 0.95, 0.94], unit_count=20)
    >>> maintenance_among_tests([MaintenanceTest(temperature_c=55.0, unit_count=20, fit=fit)], 40.0).basis
    'cooler than the coolest test: that of 55 degC stands in'
    """
    asked = float(numbers("temperature_c", temperature_c, above=-ZERO_CELSIUS_K))
    at = [test.temperature_c for test in tests]
    if not at or any(high <= low for low, high in pairwise(at)):
        raise ArgumentError("tests", at, "at least one, temperatures rising, each once")
    if asked > at[-1]:
        return MaintenanceAt(fit=None, basis=f"hotter than the hottest test, {at[-1]:g} degC: not projected")
    if asked < at[0]:
        return MaintenanceAt(fit=tests[0].fit, basis=f"cooler than the coolest test: that of {at[0]:g} degC stands in")
    if asked in at:
        return MaintenanceAt(fit=tests[at.index(asked)].fit, basis=f"the test at {asked:g} degC")
    above = next(number for number, warm in enumerate(at) if warm > asked)
    return _between(tests[above - 1], tests[above], asked)


def _between(cooler: MaintenanceTest, hotter: MaintenanceTest, asked_c: float) -> MaintenanceAt:
    between = f"between the tests at {cooler.temperature_c:g} and {hotter.temperature_c:g} degC"
    if min(cooler.fit.decay_per_h, hotter.fit.decay_per_h) > 0:
        fit = maintenance_at_temperature(
            cooler.fit,
            hotter.fit,
            cooler_c=cooler.temperature_c,
            hotter_c=hotter.temperature_c,
            temperature_c=asked_c,
        )
        return MaintenanceAt(fit=fit, basis=between)
    worse = max((hotter, cooler), key=lambda test: test.fit.decay_per_h)
    stands = f"one of them does not fall: that of {worse.temperature_c:g} degC stands in"
    return MaintenanceAt(fit=worse.fit, basis=f"{between}, {stands}")
