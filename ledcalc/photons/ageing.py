"""How much light LEDs keep: exponential projection from tests, by the method of ANSI/IES TM-21."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.tables import table

__all__ = ["MaintenanceLife", "PhotonMaintenance", "maintenance_at_temperature", "tm21_fit"]

ZERO_CELSIUS_K = 273.15
# The letter of the notation says which flux was measured; L as in the standard, Q and R from memory.
FLUX_LETTERS = {"luminous flux": "L", "photon flux": "Q", "radiant flux": "R"}


@dataclass(frozen=True, slots=True, kw_only=True)
class MaintenanceLife:
    """Hours until ``percent`` of the light is left.

    ``calculated_h`` is the fit's (infinite where it does not fall), ``reported_h`` what may be said: the time in the
    test where it was reached there, else the calculated one up to the limit. ``over_limit``: more than ``reported_h``.
    ``text`` is the standard's notation, to three significant digits.
    """

    percent: float
    name: str
    calculated_h: float
    reported_h: float
    over_limit: bool
    reached_in_test: bool
    text: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotonMaintenance:
    """Fit Phi(t) = B exp(-alpha t): ``initial_fraction`` is B, ``decay_per_h`` alpha.

    ``limit_h`` is how far may be projected; ``tested_h`` and ``tested_fraction`` are the averaged, normalised readings,
    ``fitted_count`` of them fitted from ``window_from_h`` on; ``notes`` say where the test is thinner than the method
    asks for.
    """

    initial_fraction: float
    decay_per_h: float
    test_duration_h: float
    limit_h: float
    window_from_h: float = float("nan")
    fitted_count: int = 0
    flux: str = "luminous flux"
    tested_h: FloatArray = field(default_factory=lambda: np.zeros(0))
    tested_fraction: FloatArray = field(default_factory=lambda: np.zeros(0))
    notes: tuple[str, ...] = ()

    def fraction(self, hours_h: ArrayLike) -> Numbers:
        """Return the fit's share of light left after hours lit (h, at least 0); beyond ``limit_h`` it is a guess."""
        hours = numbers("hours_h", hours_h, at_least=0)
        return answer(self.initial_fraction * np.exp(-self.decay_per_h * hours))

    def kept_fraction(self, hours_h: ArrayLike) -> Numbers:
        """Return the share of the new light to count on after hours lit: 1 at 0 h, never more, never rising again."""
        hours = numbers("hours_h", hours_h, at_least=0)
        kept = np.minimum(self.initial_fraction * np.exp(-max(self.decay_per_h, 0.0) * hours), 1.0)
        return answer(np.where(hours > 0, kept, 1.0))

    def life(self, percent: float = 90.0) -> MaintenanceLife:
        """Return the hours until a percentage of the light is left, calculated and as reported.

        Parameters
        ----------
        percent : above 0, below 100

        Raises
        ------
        ArgumentError (a ValueError): a number out of its range
        """
        kept = float(numbers("percent", percent, above=0, below=100)) / 100.0
        fall = self.decay_per_h
        calculated = max(float(np.log(self.initial_fraction / kept)) / fall, 0.0) if fall > 0 else float("inf")
        crossed = _crossing(self.tested_h, self.tested_fraction, kept)
        over = crossed is None and calculated > self.limit_h
        reported = min(calculated, self.limit_h) if crossed is None else crossed
        name = f"{FLUX_LETTERS[self.flux]}{percent:g}({np.floor(self.test_duration_h / 1000.0 + 0.5):g}k)"
        return MaintenanceLife(
            percent=float(percent),
            name=name,
            calculated_h=calculated,
            reported_h=reported,
            over_limit=over,
            reached_in_test=crossed is not None,
            text=f"{name} {'>' if over else '='} {_three_digits(reported, down=over):,.0f} h",
        )


def tm21_fit(
    hours_h: ArrayLike, flux_fraction: ArrayLike, *, unit_count: int | None = None, flux: str = "luminous flux"
) -> PhotonMaintenance:
    """Fit a maintenance test's readings and say how far they may be projected.

    Parameters
    ----------
    hours_h : h, at least 0, rising: times of the readings
    flux_fraction : above 0: averages at those times (one row, normalised), or one row a unit, in any unit of flux; a
        reading at 0 h normalises each row, and rows of units need it
    unit_count : units tested, where only their averages are given
    flux : ``luminous flux``, ``photon flux`` or ``radiant flux``: what was measured

    Returns
    -------
    PhotonMaintenance

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, shapes that differ, a test too short, too few units, or
    fewer than two readings in the window

    Validity
    --------
    LED packages at the temperature and current of the test; what else ages in a fixture is not in it.

    References
    ----------
    ANSI/IES TM-21 (public summaries, fit window partly from memory), table ``tm21``: normalise, average, least squares
    on the logarithm.

    Examples
    --------
    >>> hours = [0, 1000, 2000, 3000, 4000, 5000, 6000]
    >>> fit = tm21_fit(hours, [1, 0.998, 0.996, 0.994, 0.992, 0.990, 0.988], unit_count=20)
    >>> fit.life(70.0).text
    'L70(6k) > 36,000 h'
    """
    choice("flux", flux, tuple(FLUX_LETTERS))
    hours, average, units = _averages(hours_h, flux_fraction, unit_count)
    duration = float(hours[-1])
    numbers("test duration in h", duration, at_least=_rule("shortest_test_h"))
    numbers("unit_count", units, at_least=_rule("few_units_count"))
    many = units >= _rule("many_units_count")
    fitted = hours >= _window_start(hours)
    if fitted.sum() < 2:
        raise ArgumentError("hours_h", hours.tolist(), "at least two readings in the fit window")
    slope, level = np.polyfit(hours[fitted], np.log(average[fitted]), 1)
    # Equal readings give a slope of rounding noise: level.
    decay = -float(slope) if abs(slope) * duration > 1e-12 else 0.0
    return PhotonMaintenance(
        initial_fraction=float(np.exp(level)),
        decay_per_h=decay,
        test_duration_h=duration,
        limit_h=duration * _rule("many_units_limit_factor" if many else "few_units_limit_factor"),
        window_from_h=float(hours[fitted][0]),
        fitted_count=int(fitted.sum()),
        flux=flux,
        tested_h=hours,
        tested_fraction=average,
        notes=_notes(hours[fitted], decay),
    )


def maintenance_at_temperature(
    cooler: PhotonMaintenance, hotter: PhotonMaintenance, *, cooler_c: float, hotter_c: float, temperature_c: float
) -> PhotonMaintenance:
    """Return the maintenance between two tested temperatures.

    Parameters
    ----------
    cooler, hotter : fits of two tests that both fall
    cooler_c, hotter_c : degC of the tests, at the place where the fixture's LEDs are measured
    temperature_c : degC of the LEDs there, at most ``hotter_c``; below ``cooler_c`` the cooler test stands

    Returns
    -------
    PhotonMaintenance; its duration and limit are the lesser of the two

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, tests of unlike flux, or a fit that does not fall

    References
    ----------
    ANSI/IES TM-21 (public summaries): alpha = A exp(-Ea/(k T)), B = sqrt(B1 B2).

    Examples
    --------
    >>> hours = [0, 1000, 2000, 3000, 4000, 5000, 6000]
    >>> cool = tm21_fit(hours, [1, 0.998, 0.996, 0.994, 0.992, 0.990, 0.988], unit_count=20)
    >>> hot = tm21_fit(hours, [1, 0.99, 0.98, 0.97, 0.96, 0.95, 0.94], unit_count=20)
    >>> between = maintenance_at_temperature(cool, hot, cooler_c=55.0, hotter_c=85.0, temperature_c=70.0)
    >>> cool.decay_per_h < between.decay_per_h < hot.decay_per_h
    True
    """
    low = float(numbers("cooler_c", cooler_c, above=-ZERO_CELSIUS_K))
    high = float(numbers("hotter_c", hotter_c, above=low))
    asked = float(numbers("temperature_c", temperature_c, above=-ZERO_CELSIUS_K, at_most=high))
    choice("flux of the hotter test", hotter.flux, (cooler.flux,))
    if asked <= low:
        return cooler
    numbers("decay_per_h (a fit that does not fall: take the hotter test's)", cooler.decay_per_h, above=0)
    numbers("decay_per_h of the hotter test", hotter.decay_per_h, above=0)
    inverse = [1.0 / (celsius + ZERO_CELSIUS_K) for celsius in (low, high, asked)]
    share = (inverse[0] - inverse[2]) / (inverse[0] - inverse[1])
    return PhotonMaintenance(
        initial_fraction=float(np.sqrt(cooler.initial_fraction * hotter.initial_fraction)),
        # ln(alpha) is straight over 1/T.
        decay_per_h=float(cooler.decay_per_h ** (1.0 - share) * hotter.decay_per_h**share),
        test_duration_h=min(cooler.test_duration_h, hotter.test_duration_h),
        limit_h=min(cooler.limit_h, hotter.limit_h),
        flux=cooler.flux,
        notes=(f"between the tests at {low:g} and {high:g} degC", *cooler.notes, *hotter.notes),
    )


@cache
def _rule(name: str) -> float:
    return float(next(row["value"] for row in table("tm21") if row["name"] == name))


def _three_digits(hours: float, *, down: bool) -> float:
    """Round to three significant digits; a limit downwards, so that no more is said than the test allows."""
    rounded = float(f"{hours:.3g}")
    if down and rounded > hours:
        rounded -= 10.0 ** (np.floor(np.log10(hours)) - 2.0)
    return rounded


def _averages(
    hours_h: ArrayLike, flux_fraction: ArrayLike, unit_count: int | None
) -> tuple[FloatArray, FloatArray, float]:
    hours = numbers("hours_h", hours_h, at_least=0)
    rows = np.atleast_2d(numbers("flux_fraction", flux_fraction, above=0))
    if hours.ndim != 1 or hours.size < 2 or rows.ndim != 2 or rows.shape[1] != hours.size:
        raise ArgumentError("flux_fraction", rows.shape, f"one reading a time, at least two times: {hours.shape}")
    if (np.diff(hours) <= 0).any():
        raise ArgumentError("hours_h", hours.tolist(), "rising, each time once")
    if rows.shape[0] > 1 and unit_count not in (None, rows.shape[0]):
        raise ArgumentError("unit_count", unit_count, f"None, or the number of rows: {rows.shape[0]}")
    if rows.shape[0] > 1 and hours[0] > 0:
        raise ArgumentError("hours_h", float(hours[0]), "a first reading at 0 h, which normalises each unit")
    if hours[0] == 0:
        rows = rows / rows[:, :1]
    if unit_count is None and rows.shape[0] == 1:
        raise ArgumentError("unit_count", None, "how many units the averages are of")
    count = rows.shape[0] if unit_count is None else unit_count
    return hours, rows.mean(axis=0), float(whole_numbers("unit_count", count, at_least=1))


def _window_start(hours: FloatArray) -> float:
    duration = float(hours[-1])
    if duration <= _rule("long_test_h"):
        return max(duration - _rule("window_h"), _rule("earliest_reading_h"))
    start = duration * (1.0 - _rule("long_window_fraction"))
    return float(hours[hours <= start][-1]) if (hours <= start).any() else start


def _crossing(hours: FloatArray, kept: FloatArray, level: float) -> float | None:
    reached = np.flatnonzero(kept <= level)
    if reached.size == 0:
        return None
    at = int(reached[0])
    if at == 0:
        return float(hours[0])
    return float(np.interp(level, kept[[at, at - 1]], hours[[at, at - 1]]))


def _notes(fitted_h: FloatArray, decay_per_h: float) -> tuple[str, ...]:
    notes = []
    spacing = _rule("reading_spacing_h")
    if float(np.diff(fitted_h).max()) > spacing:
        notes.append(f"readings more than {spacing:g} h apart in the fit window")
    if decay_per_h <= 0:
        notes.append("the readings do not fall: no life is calculated, the limit is reported")
    return tuple(notes)
