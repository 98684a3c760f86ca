"""A light's spectrum: radiant power over wavelength, and its integrals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, choice, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.photometry_curve import LUMENS_PER_WATT_AT_555_NM, photopic_efficiency, photopic_wavelengths
from ledcalc.ppfd.dose import photons_per_joule

__all__ = ["Spectrum"]

# What every table must cover, so that its photons of 400-700 nm are known.
PAR_NM = (400.0, 700.0)
FINE_STEP_NM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectrum:
    """Radiant power per nm over wavelength, along lines between its points, unknown beyond its ends.

    ``radiant_w_per_nm`` in W/nm or any multiple of it: ratios do not depend on the scale, fluxes carry it. Build one
    with ``from_table``, ``from_csv_text``, ``led_spectrum`` or ``mix_spectra``.

    Raises
    ------
    ArgumentError (a ValueError): no point, columns of unlike length, wavelengths that do not rise, a value below 0,
    nothing but 0, or a table that does not cover 400 to 700 nm

    Examples
    --------
    >>> even = Spectrum(wavelength_nm=[400.0, 700.0], radiant_w_per_nm=[1.0, 1.0])
    >>> even.radiant_flux_w(), round(even.photon_flux_umol_s(), 1)
    (300.0, 1379.3)
    """

    wavelength_nm: FloatArray
    radiant_w_per_nm: FloatArray
    name: str = ""

    def __post_init__(self) -> None:
        wavelength = np.array(numbers("wavelength_nm", self.wavelength_nm, at_least=100, at_most=3000))
        radiant = np.array(numbers("radiant_w_per_nm", self.radiant_w_per_nm))
        _check_table(wavelength, radiant)
        for field, column in (("wavelength_nm", wavelength), ("radiant_w_per_nm", radiant)):
            column.setflags(write=False)
            object.__setattr__(self, field, column)

    @classmethod
    def from_table(
        cls, wavelength_nm: ArrayLike, value: ArrayLike, *, basis: str = "radiant", name: str = ""
    ) -> Spectrum:
        """Build a spectrum from a table, such as a datasheet's curve read off or a spectrometer's file.

        Parameters
        ----------
        wavelength_nm : nm, one-dimensional, rising, from 400 or below to 700 or above; rows of 0 where no light is
        value : same length, at least 0: power or photons per nm, in any unit
        basis : ``radiant`` (W or relative to it) or ``photon`` (umol/s or relative to it): what ``value`` counts
        name : what the light is called

        Raises
        ------
        ArgumentError (a ValueError): as for ``Spectrum``, or an unknown basis

        Examples
        --------
        >>> round(Spectrum.from_table([400, 700], [1, 1], basis="photon").photon_flux_umol_s(), 3)
        300.0
        """
        choice("basis", basis, ("radiant", "photon"))
        wavelength = numbers("wavelength_nm", wavelength_nm, at_least=100, at_most=3000)
        values = numbers("value", value)
        _check_table(wavelength, values)
        if basis == "photon":
            # Straight lines between photon counts are not straight in power: points of 1 nm keep them.
            fine = np.arange(wavelength[0], wavelength[-1], FINE_STEP_NM)
            grid = np.union1d(wavelength, fine)
            values = np.interp(grid, wavelength, values) / np.asarray(photons_per_joule(grid))
            wavelength = grid
        return cls(wavelength_nm=wavelength, radiant_w_per_nm=values, name=name)

    @classmethod
    def from_csv_text(cls, text: str, *, basis: str = "radiant", name: str = "") -> Spectrum:
        """Build a spectrum from CSV text: wavelength in nm and value a line, one header line if any.

        Parameters
        ----------
        text : columns parted by comma, semicolon, tab or blanks; decimal points; lines that begin with # are skipped
        basis, name : as for ``from_table``

        Raises
        ------
        ArgumentError (a ValueError): a line that is not two numbers, or as for ``from_table``

        Examples
        --------
        >>> Spectrum.from_csv_text("nm,W\\n400,1\\n700,1\\n").radiant_flux_w()
        300.0
        """
        rows = _csv_rows(text)
        return cls.from_table([row[0] for row in rows], [row[1] for row in rows], basis=basis, name=name)

    def radiant(self, wavelength_nm: ArrayLike) -> Numbers:
        """Return the radiant power per nm at a wavelength, W/nm or the table's multiple; 0 beyond the table's ends."""
        asked = numbers("wavelength_nm", wavelength_nm, above=0)
        return answer(np.interp(asked, self.wavelength_nm, self.radiant_w_per_nm, left=0.0, right=0.0))

    def covers(self, low_nm: float, high_nm: float) -> bool:
        """Say whether the table reaches over a band."""
        return bool(self.wavelength_nm[0] <= low_nm and high_nm <= self.wavelength_nm[-1])

    def radiant_flux_w(self, low_nm: float | None = None, high_nm: float | None = None) -> float:
        """Return the radiant flux of a band in W (or the table's multiple), as far as the table goes."""
        return self._integral(low_nm, high_nm, np.ones_like)

    def photon_flux_umol_s(self, low_nm: float | None = None, high_nm: float | None = None) -> float:
        """Return the photon flux of a band in umol/s (or the table's multiple), as far as the table goes."""
        return self._integral(low_nm, high_nm, lambda nm: np.asarray(photons_per_joule(nm)))

    def luminous_flux_lm(self) -> float:
        """Return the luminous flux in lm (or the table's multiple): 683 lm/W x integral of V(lambda), all visible."""
        seen = photopic_wavelengths()
        inside = self._integral(seen[0], seen[-1], lambda nm: np.asarray(photopic_efficiency(nm)), seen)
        return LUMENS_PER_WATT_AT_555_NM * inside

    def scaled(self, factor: float) -> Spectrum:
        """Return the same light, ``factor`` (above 0) times as much."""
        by = float(numbers("factor", factor, above=0))
        return Spectrum(wavelength_nm=self.wavelength_nm, radiant_w_per_nm=self.radiant_w_per_nm * by, name=self.name)

    def _integral(
        self,
        low_nm: float | None,
        high_nm: float | None,
        weight: Callable[[FloatArray], FloatArray],
        kinks_nm: FloatArray | None = None,
    ) -> float:
        """Integrate spectrum x weight; Simpson's rule is exact, as both are straight between points and kinks."""
        first, last = float(self.wavelength_nm[0]), float(self.wavelength_nm[-1])
        low = first if low_nm is None else max(float(numbers("low_nm", low_nm, above=0)), first)
        high = last if high_nm is None else min(float(numbers("high_nm", high_nm, above=0)), last)
        if high <= low:
            return 0.0
        inner = self.wavelength_nm if kinks_nm is None else np.concatenate([self.wavelength_nm, kinks_nm])
        grid = np.unique(np.concatenate([[low, high], inner[(inner > low) & (inner < high)]]))
        middle = (grid[1:] + grid[:-1]) / 2.0
        ends, half = self.radiant(grid) * weight(grid), self.radiant(middle) * weight(middle)
        return float(np.sum(np.diff(grid) * (ends[1:] + ends[:-1] + 4.0 * half) / 6.0))


def _check_table(wavelength: FloatArray, values: FloatArray) -> None:
    if wavelength.size == 0:
        raise ArgumentError("wavelength_nm", [], "at least two points; this spectrum is empty")
    if wavelength.ndim != 1 or wavelength.shape != values.shape:
        raise ArgumentError("value", values.shape, f"one value a wavelength, one-dimensional: {wavelength.shape}")
    step = np.diff(wavelength)
    if (step <= 0).any():
        row = int(np.argmax(step <= 0)) + 1
        fault = "stands twice" if step[row - 1] == 0 else f"follows {wavelength[row - 1]:g}"
        raise ArgumentError("wavelength_nm", float(wavelength[row]), f"rising, each once; point {row + 1} {fault}")
    if (values < 0).any():
        row = int(np.argmax(values < 0))
        problem = f"at least 0; at {wavelength[row]:g} nm it is below (set a meter's noise to 0)"
        raise ArgumentError("value", float(values[row]), problem)
    if wavelength[0] > PAR_NM[0] or wavelength[-1] < PAR_NM[1]:
        raise ArgumentError(
            "wavelength_nm",
            f"{wavelength[0]:g} to {wavelength[-1]:g}",
            "a table from 400 or below to 700 or above; add rows of 0 where there is no light",
        )
    if not values.any():
        raise ArgumentError("value", 0.0, "some light: every value is 0")


def _csv_rows(text: str) -> list[tuple[float, float]]:
    rows: list[tuple[float, float]] = []
    header_allowed = True
    for count, line in enumerate(text.lstrip("\N{ZERO WIDTH NO-BREAK SPACE}").splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        divider = next((mark for mark in ";\t," if mark in line), None)
        cells = [cell.strip() for cell in line.strip().split(divider)]
        try:
            wavelength, value = (float(cell) for cell in cells)
        except ValueError:
            if not header_allowed:
                wanted = "two numbers with decimal points: wavelength in nm and value"
                raise ArgumentError(f"line {count} of the spectrum", line.strip(), wanted) from None
        else:
            rows.append((wavelength, value))
        header_allowed = False
    return rows
