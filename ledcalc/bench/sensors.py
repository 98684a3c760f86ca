"""Quantum sensors: what a reading of PPFD is worth, and which of its errors repeat from place to place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.bench.coverage import SHAPES
from ledcalc.bench.meters import meter_half_width
from ledcalc.bench.uncertainty import standard_uncertainty
from ledcalc.errors import ArgumentError

__all__ = ["CommonError", "QuantumSensor", "ReadingErrors"]

# Reading, shading and levelling by hand scatter by some 2 %: common practice, no source.
USUAL_NOISE_FRACTION = 0.02
LIMITS, NORMAL = SHAPES[1], SHAPES[0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CommonError:
    """An error that a sensor carries from reading to reading: each one's standard uncertainty, all of one sign."""

    name: str
    standard_uncertainty_umol_m2_s: FloatArray
    shape: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadingErrors:
    """Standard uncertainties of readings: what is new at each (an entry a reading), and what all have in common."""

    noise_umol_m2_s: FloatArray
    common: tuple[CommonError, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantumSensor:
    """A quantum sensor and its stated accuracy.

    Parameters
    ----------
    calibration_fraction : at least 0, below 1: limits of the calibration, of the reading; 0.05 for +-5 %
    calibration_coverage_factor : above 0: the k of a certificate that states an expanded uncertainty; None: limits
    spectral_fraction : at least 0, below 1: limits of the spectral error under this light, of the reading
    cosine_angles_deg, cosine_fraction : angles from straight above, rising from above 0 to 90, and the limits of the
        cosine error there, of the light from there; none: not counted
    zero_half_width_umol_m2_s : at least 0: limits of what it shows in the dark
    counts, resolution : at least 0: digits that the data sheet adds, and the last digit's value, umol m-2 s-1
    noise_fraction : at least 0, below 1: standard deviation of a reading repeated by hand at one place, of the reading
    placement_m : at least 0: how far from its place the sensor may have been put, along x and along y
    zero_reading_umol_m2_s : what it showed in the dark, taken off every reading
    correction_factor : above 0: what every reading is then multiplied by (calibration, spectrum)

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or cosine figures that do not fit

    Validity
    --------
    Calibration, spectral, cosine and zero errors repeat with one sensor: they move a whole map and nearly cancel in
    ratios. Noise, digits and placement are new at each reading: they average out.

    References
    ----------
    JCGM 100:2008 (GUM), 4.3 and 5.2 (errors in common). Usual figures, from memory: calibration 5 %, cosine 2 % at 45
    deg and 5 % at 75 deg.
    """

    calibration_fraction: float = 0.0
    calibration_coverage_factor: float | None = None
    spectral_fraction: float = 0.0
    cosine_angles_deg: tuple[float, ...] = ()
    cosine_fraction: tuple[float, ...] = ()
    zero_half_width_umol_m2_s: float = 0.0
    counts: float = 0.0
    resolution: float = 0.0
    noise_fraction: float = USUAL_NOISE_FRACTION
    placement_m: float = 0.0
    zero_reading_umol_m2_s: float = 0.0
    correction_factor: float = 1.0

    def __post_init__(self) -> None:
        for name in ("calibration_fraction", "spectral_fraction", "noise_fraction"):
            numbers(name, getattr(self, name), at_least=0, below=1)
        for name in ("zero_half_width_umol_m2_s", "counts", "resolution", "placement_m"):
            numbers(name, getattr(self, name), at_least=0)
        numbers("zero_reading_umol_m2_s", self.zero_reading_umol_m2_s)
        numbers("correction_factor", self.correction_factor, above=0)
        if self.calibration_coverage_factor is not None:
            numbers("calibration_coverage_factor", self.calibration_coverage_factor, above=0)
        angles = numbers("cosine_angles_deg", self.cosine_angles_deg, above=0, at_most=90)
        shares = numbers("cosine_fraction", self.cosine_fraction, at_least=0, below=1)
        if angles.shape != shares.shape or (np.diff(angles) <= 0).any():
            raise ArgumentError("cosine_angles_deg", angles.tolist(), f"rising, one each of {shares.size} fractions")

    def corrected(self, raw_umol_m2_s: ArrayLike) -> Numbers:
        """Return readings less the dark reading, times the correction factor; not below 0."""
        raw = numbers("raw_umol_m2_s", raw_umol_m2_s, at_least=0)
        return answer(np.maximum(raw - self.zero_reading_umol_m2_s, 0.0) * self.correction_factor)

    def cosine_limit(self, incidence_deg: ArrayLike | None = None) -> Numbers:
        """Return the limits of the cosine error as a share of the reading.

        Parameters
        ----------
        incidence_deg : from 0 to 90: where the light mostly comes from, from straight above; None: from the whole
            hemisphere alike, errors weighted by sin(2 angle) as CIE's f2 does (from memory)

        Returns
        -------
        straight between the angles stated, from 0 at 0 deg; the last one's beyond it
        """
        angles = np.array([0.0, *self.cosine_angles_deg])
        shares = np.array([0.0, *self.cosine_fraction])
        if incidence_deg is not None:
            return answer(np.interp(numbers("incidence_deg", incidence_deg, at_least=0, at_most=90), angles, shares))
        if not shares.any():
            return 0.0
        node, weight = np.polynomial.legendre.leggauss(48)
        angle = (node + 1.0) * 45.0
        return float(weight @ (np.interp(angle, angles, shares) * np.sin(2.0 * np.deg2rad(angle))) * np.pi / 4.0)

    def errors(self, ppfd: ArrayLike, *, incidence_deg: ArrayLike | None = None) -> ReadingErrors:
        """Return the standard uncertainties of corrected readings; placement is left to whoever knows the slope.

        Parameters
        ----------
        ppfd : umol m-2 s-1, at least 0: corrected readings
        incidence_deg : as ``cosine_limit``: one a reading, or one for all
        """
        readings = numbers("ppfd", ppfd, at_least=0)
        k = self.calibration_coverage_factor
        calibration = readings * self.calibration_fraction / (np.sqrt(3.0) if k is None else k)
        factor = self.correction_factor
        common = (
            ("calibration", calibration, LIMITS if k is None else NORMAL),
            ("spectrum", readings * self.spectral_fraction / np.sqrt(3.0), LIMITS),
            ("cosine", readings * self.cosine_limit(incidence_deg) / np.sqrt(3.0), LIMITS),
            ("zero", np.full_like(readings, self.zero_half_width_umol_m2_s * factor / np.sqrt(3.0)), LIMITS),
        )
        digits = standard_uncertainty(self.counts * self.resolution * factor)
        return ReadingErrors(
            noise_umol_m2_s=np.hypot(readings * self.noise_fraction, digits),
            common=tuple(
                CommonError(name=name, standard_uncertainty_umol_m2_s=size, shape=shape)
                for name, size, shape in common
                if size.any()
            ),
        )

    def half_width(self, ppfd: ArrayLike, *, incidence_deg: ArrayLike | None = None) -> Numbers:
        """Return how far the true value may lie from a corrected reading, either way: all limits added, noise twice.

        Parameters
        ----------
        ppfd : umol m-2 s-1, at least 0: corrected readings
        incidence_deg : as ``cosine_limit``

        Examples
        --------
        >>> sensor = QuantumSensor(calibration_fraction=0.05, counts=1, resolution=1.0, noise_fraction=0.01)
        >>> round(sensor.half_width(850.0), 1)  # 42.5 + 17 + 1
        60.5
        """
        readings = numbers("ppfd", ppfd, at_least=0)
        shares = self.calibration_fraction + self.spectral_fraction + 2.0 * self.noise_fraction
        digits = meter_half_width(
            0.0, accuracy_fraction=0.0, counts=self.counts, resolution=self.resolution * self.correction_factor
        )
        zero = self.zero_half_width_umol_m2_s * self.correction_factor
        return answer(readings * (shares + self.cosine_limit(incidence_deg)) + digits + zero)
