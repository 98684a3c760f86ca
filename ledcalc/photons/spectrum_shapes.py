"""Spectra of LEDs from peak and width, and of several channels together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, choice, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.spectrum import Spectrum

__all__ = ["led_spectrum", "mix_spectra", "spectrum_of_leds"]

SHAPES = ("gaussian", "ohno")
BASES = ("radiant", "photon", "ppf")
# Far enough beyond every peak allowed for the tails to vanish, and over all bands that are reported.
GRID_NM = (200.0, 1000.0)
# g where (g + 2 g^5) / 3 is one half: where Ohno's curve has fallen to half its peak.
OHNO_HALF = 0.8086092632090855
# A table that ends in light falls to darkness over this step when others reach beyond it.
EDGE_NM = 1e-6


def led_spectrum(
    peak_nm: float, full_width_nm: float, *, shape: str = "gaussian", radiant_w: float = 1.0, name: str = ""
) -> Spectrum:
    """Return the spectrum of a single-colour LED from its datasheet's peak wavelength and width at half the peak.

    Parameters
    ----------
    peak_nm : nm, from 350 to 850
    full_width_nm : nm, from 2 to 150: full width at half of the peak (spectral half width of datasheets)
    shape : ``gaussian`` in wavelength, or ``ohno``: (g + 2 g^5) / 3 of the Gaussian g, peaked and with wider feet
    radiant_w : W, above 0: radiant flux of the whole
    name : what the light is called

    Returns
    -------
    Spectrum of 200 to 1000 nm

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown shape

    Validity
    --------
    Single-colour LEDs; real ones lean to one side. Not for white ones: use the datasheet's curve. Both shapes are
    models: at one peak and width their photons a joule agree within 0.5 % where all light is counted, their lux per
    PPFD in blue and red within a tenth, what little of them falls into other bands not at all.

    References
    ----------
    Ohno 2005, Opt. Eng. 44(11):111302, eq. for single LEDs, its width set so that the curve has the given one.

    Examples
    --------
    >>> round(led_spectrum(660.0, 20.0).photon_flux_umol_s(400.0, 700.0), 3)
    5.517
    """
    peak = float(numbers("peak_nm", peak_nm, at_least=350, at_most=850))
    width = float(numbers("full_width_nm", full_width_nm, at_least=2, at_most=150))
    flux = float(numbers("radiant_w", radiant_w, above=0))
    step = min(1.0, width / 10.0)
    wavelength = np.linspace(*GRID_NM, round((GRID_NM[1] - GRID_NM[0]) / step) + 1)
    at_half = 0.5 if choice("shape", shape, SHAPES) == "gaussian" else OHNO_HALF
    bell = at_half ** ((2.0 * (wavelength - peak) / width) ** 2)
    values = bell if shape == "gaussian" else (bell + 2.0 * bell**5) / 3.0
    unscaled = Spectrum(wavelength_nm=wavelength, radiant_w_per_nm=values, name=name)
    return unscaled.scaled(flux / unscaled.radiant_flux_w())


def mix_spectra(spectra: Sequence[Spectrum], weights: ArrayLike, *, basis: str = "radiant", name: str = "") -> Spectrum:
    """Return the light of several channels together.

    Parameters
    ----------
    spectra : one a channel; their own scales do not matter
    weights : one a channel, at least 0, not all 0: how much of the basis each gives
    basis : ``radiant`` (W), ``photon`` (umol/s of all its photons) or ``ppf`` (umol/s of 400 to 700 nm)
    name : what the mix is called

    Returns
    -------
    Spectrum over all wavelengths that any channel covers, in the scale of the weights

    Raises
    ------
    ArgumentError (a ValueError): no channel, not one weight a channel, a number out of its range, or weight by PPF on a
    channel that gives none

    Validity
    --------
    A channel is dark beyond the ends of its table.

    Examples
    --------
    >>> blue, red = led_spectrum(450.0, 20.0), led_spectrum(660.0, 20.0)
    >>> mix = mix_spectra([blue, red], [20.0, 80.0], basis="photon")
    >>> round(mix.photon_flux_umol_s(400.0, 500.0), 1)
    20.0
    """
    choice("basis", basis, BASES)
    shares = np.atleast_1d(numbers("weights", weights, at_least=0))
    if not spectra or shares.shape != (len(spectra),):
        raise ArgumentError("weights", shares.shape, f"one a channel, {len(spectra)} channels, at least one")
    if not shares.any():
        raise ArgumentError("weights", shares.tolist(), "at least one above 0")
    factors = [_factor(part, float(share), basis) for part, share in zip(spectra, shares, strict=True)]
    tables = [_with_dark_ends(part, spectra) for part in spectra]
    wavelength = np.unique(np.concatenate([nm for nm, _ in tables]))
    total = np.zeros_like(wavelength)
    for (nm, values), factor in zip(tables, factors, strict=True):
        total += factor * np.interp(wavelength, nm, values, left=0.0, right=0.0)
    return Spectrum(wavelength_nm=wavelength, radiant_w_per_nm=total, name=name)


def spectrum_of_leds(
    peak_nm: ArrayLike,
    full_width_nm: ArrayLike,
    weights: ArrayLike,
    *,
    basis: str = "radiant",
    shape: str = "gaussian",
    name: str = "",
) -> Spectrum:
    """Return the light of LEDs of several peaks, as ``led_spectrum`` and ``mix_spectra`` make it.

    Parameters
    ----------
    peak_nm, full_width_nm, weights : one a kind of LED; a single width holds for all
    basis, name : as for ``mix_spectra``
    shape : as for ``led_spectrum``

    Raises
    ------
    ArgumentError (a ValueError): as for those

    Examples
    --------
    >>> round(spectrum_of_leds([450.0, 660.0], 20.0, [0.2, 0.8], basis="photon").radiant_flux_w(), 4)
    0.1982
    """
    peaks = np.atleast_1d(numbers("peak_nm", peak_nm))
    widths = np.atleast_1d(numbers("full_width_nm", full_width_nm))
    if peaks.ndim != 1 or widths.shape not in ((1,), peaks.shape):
        raise ArgumentError("full_width_nm", widths.shape, f"a single width, or one a peak: {peaks.shape}")
    parts = [
        led_spectrum(float(peak), float(width), shape=shape)
        for peak, width in zip(peaks, np.broadcast_to(widths, peaks.shape), strict=True)
    ]
    return mix_spectra(parts, weights, basis=basis, name=name)


def _factor(part: Spectrum, share: float, basis: str) -> float:
    if share == 0.0:
        return 0.0
    whole = {"radiant": part.radiant_flux_w, "photon": part.photon_flux_umol_s}.get(basis)
    amount = whole() if whole else part.photon_flux_umol_s(400.0, 700.0)
    if amount <= 0.0:
        raise ArgumentError("basis", basis, f"'radiant' or 'photon': {part.name or 'a channel'} has no PPF")
    return share / amount


def _with_dark_ends(part: Spectrum, spectra: Sequence[Spectrum]) -> tuple[FloatArray, FloatArray]:
    first, last = part.wavelength_nm[0], part.wavelength_nm[-1]
    low = min(other.wavelength_nm[0] for other in spectra)
    high = max(other.wavelength_nm[-1] for other in spectra)
    before = [first - EDGE_NM] if low < first and part.radiant_w_per_nm[0] > 0 else []
    after = [last + EDGE_NM] if high > last and part.radiant_w_per_nm[-1] > 0 else []
    nm = np.concatenate([before, part.wavelength_nm, after])
    return nm, np.concatenate([np.zeros(len(before)), part.radiant_w_per_nm, np.zeros(len(after))])
