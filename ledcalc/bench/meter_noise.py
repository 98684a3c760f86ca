"""What a meter's stated accuracy is made of: what repeats from reading to reading, and what is each reading's own."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, choice, numbers
from ledcalc.bench.meters import meter_half_width

__all__ = ["LIMITS", "MeterNoise"]

LIMITS = ("rectangular", "normal")
# Half width over standard uncertainty: exact for a rectangle; normal limits are read as 95 % ones.
PER_STANDARD = {"rectangular": 3.0**0.5, "normal": NormalDist().inv_cdf(0.975)}


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterNoise:
    """The error of one meter's readings as a model: the same for all it reads, and anew with each reading.

    Three independent parts, each within its half width: calibration (``repeating_fraction`` of the percentage, one
    draw a meter: it cancels in shares and in drift), the wire's place in the jaw and the like (the rest of the
    percentage, anew with each reading), and the last digits (anew with each reading). ``offset`` is a fourth, one draw
    a meter.

    Parameters
    ----------
    accuracy_fraction : from 0 to below 1: the percentage of reading, as a share
    counts : at least 0: the digits that the data sheet adds
    resolution : at least 0, in the meter's unit: value of the last digit
    repeating_fraction : from 0 to 1: which share of the percentage repeats. 0.5, half calibration and half place in the
        jaw, is common practice for clamps, no source; 1 for a shunt or a sensor that stays put
    offset : at least 0, in the meter's unit: how far its zero may be off throughout
    limits : "rectangular": anywhere within is as likely; "normal": the half widths hold 95 %

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    JCGM 100 (GUM) 4.3.7: limits without further knowledge are a rectangle, standard uncertainty half width / sqrt 3.

    Examples
    --------
    >>> clamp = MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01)
    >>> round(clamp.half_width(2.0), 3), round(clamp.own_standard_uncertainty(2.0), 4)
    (0.06, 0.0163)
    """

    accuracy_fraction: float
    counts: float = 0.0
    resolution: float = 0.0
    repeating_fraction: float = 0.5
    offset: float = 0.0
    limits: str = "rectangular"

    def __post_init__(self) -> None:
        numbers("accuracy_fraction", self.accuracy_fraction, at_least=0, below=1)
        for name in ("counts", "resolution", "offset"):
            numbers(name, getattr(self, name), at_least=0)
        numbers("repeating_fraction", self.repeating_fraction, at_least=0, at_most=1)
        choice("limits", self.limits, LIMITS)

    @property
    def calibration_fraction(self) -> float:
        """Half width of what repeats with the reading, as a share of it."""
        return self.accuracy_fraction * self.repeating_fraction

    def half_width(self, reading: ArrayLike) -> Numbers:
        """Return how far the true value may lie from one reading, either way: data sheet's figure and offset."""
        stated = meter_half_width(
            reading, accuracy_fraction=self.accuracy_fraction, counts=self.counts, resolution=self.resolution
        )
        return answer(np.asarray(stated) + self.offset)

    def own_half_widths(self, reading: ArrayLike) -> FloatArray:
        """Return the half widths of what each reading errs by itself: place in the jaw, digits; shape (2, ...)."""
        size = np.abs(np.asarray(reading, dtype=float))
        place = self.accuracy_fraction * (1.0 - self.repeating_fraction) * size
        return np.stack([place, np.full_like(size, self.counts * self.resolution)])

    def own_standard_uncertainty(self, reading: ArrayLike) -> Numbers:
        """Return the standard uncertainty of what each reading errs by itself."""
        return answer(np.sqrt((self.own_half_widths(reading) ** 2).sum(axis=0)) / PER_STANDARD[self.limits])

    def parts(self, half_widths: FloatArray) -> tuple[FloatArray, float]:
        """Return independent half widths as what ``error_sums`` takes: rectangular ones, and one normal deviation."""
        if self.limits == "normal":
            return np.zeros(1), float(np.sqrt((half_widths**2).sum()) / PER_STANDARD["normal"])
        return np.ravel(half_widths), 0.0
