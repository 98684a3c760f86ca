"""Photons a joule, photons a day."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers

__all__ = [
    "daily_light_integral",
    "energy_per_mol_kwh",
    "photon_efficacy",
    "photons_per_joule",
    "photoperiod_for_dose",
    "ppfd_for_dose",
]

SECONDS_PER_HOUR = 3600.0
UMOL_PER_MOL = 1e6
JOULES_PER_KWH = 3.6e6
# Planck constant x speed of light x Avogadro constant, all exact since the SI of 2019: J m mol-1.
JOULE_METRE_PER_MOL = 6.62607015e-34 * 299792458.0 * 6.02214076e23
NM_PER_M_AND_UMOL_PER_MOL = 1e-9 * UMOL_PER_MOL


@broadcasting
def photon_efficacy(photon_flux_umol_s: ArrayLike, power_w: ArrayLike) -> Numbers:
    """Return photons per joule of electricity; say beside it which power: DC at the boards, or AC at the mains.

    Parameters
    ----------
    photon_flux_umol_s : umol/s, at least 0
    power_w : W, above 0

    Returns
    -------
    umol/J, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Photon efficacy as in ANSI/ASABE S640 (public summaries).

    Examples
    --------
    >>> photon_efficacy(260.0, 100.0)
    2.6
    """
    return answer(numbers("photon_flux_umol_s", photon_flux_umol_s, at_least=0) / numbers("power_w", power_w, above=0))


@broadcasting
def daily_light_integral(ppfd: ArrayLike, photoperiod_h: ArrayLike) -> Numbers:
    """Return the daily light integral: DLI = PPFD x 3600 x hours / 1e6.

    Parameters
    ----------
    ppfd : umol m-2 s-1, at least 0, held for the whole photoperiod
    photoperiod_h : h, from 0 to 24

    Returns
    -------
    mol m-2 d-1, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    ANSI/ASABE S640 (public summaries).

    Examples
    --------
    >>> round(daily_light_integral(200.0, 16.0), 2)
    11.52
    """
    hours = numbers("photoperiod_h", photoperiod_h, at_least=0, at_most=24)
    return answer(numbers("ppfd", ppfd, at_least=0) * hours * SECONDS_PER_HOUR / UMOL_PER_MOL)


@broadcasting
def ppfd_for_dose(dli_mol_m2_d: ArrayLike, photoperiod_h: ArrayLike) -> Numbers:
    """Return the PPFD that gives a daily light integral within a photoperiod.

    Parameters
    ----------
    dli_mol_m2_d : mol m-2 d-1, at least 0
    photoperiod_h : h, above 0, at most 24

    Returns
    -------
    umol m-2 s-1, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    ANSI/ASABE S640 (public summaries).

    Examples
    --------
    >>> round(ppfd_for_dose(17.0, 16.0), 1)
    295.1
    """
    hours = numbers("photoperiod_h", photoperiod_h, above=0, at_most=24)
    return answer(numbers("dli_mol_m2_d", dli_mol_m2_d, at_least=0) * UMOL_PER_MOL / (hours * SECONDS_PER_HOUR))


@broadcasting
def photoperiod_for_dose(dli_mol_m2_d: ArrayLike, ppfd: ArrayLike) -> Numbers:
    """Return how long a PPFD must last for a daily light integral; above 24 h it cannot: the light is too weak.

    Parameters
    ----------
    dli_mol_m2_d : mol m-2 d-1, at least 0
    ppfd : umol m-2 s-1, above 0

    Returns
    -------
    h, in the shape that the arguments broadcast to; not cut off at 24

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    ANSI/ASABE S640 (public summaries).

    Examples
    --------
    >>> round(photoperiod_for_dose(17.0, 295.1), 1)
    16.0
    """
    dose = numbers("dli_mol_m2_d", dli_mol_m2_d, at_least=0)
    return answer(dose * UMOL_PER_MOL / (numbers("ppfd", ppfd, above=0) * SECONDS_PER_HOUR))


@broadcasting
def energy_per_mol_kwh(photon_efficacy_umol_per_j: ArrayLike, delivered_fraction: ArrayLike = 1.0) -> Numbers:
    """Return the electricity for a mole of photons that arrives.

    Parameters
    ----------
    photon_efficacy_umol_per_j : umol/J, above 0; say beside the result which power it counts: DC, or AC at the mains
    delivered_fraction : above 0, at most 1: share of the photons that reaches the crop

    Returns
    -------
    kWh/mol, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    1 mol / efficacy, 3.6 MJ/kWh.

    Examples
    --------
    >>> round(energy_per_mol_kwh(2.5, 0.8), 4)
    0.1389
    """
    efficacy = numbers("photon_efficacy_umol_per_j", photon_efficacy_umol_per_j, above=0)
    delivered = numbers("delivered_fraction", delivered_fraction, above=0, at_most=1)
    return answer(UMOL_PER_MOL / (efficacy * delivered * JOULES_PER_KWH))


def photons_per_joule(wavelength_nm: ArrayLike) -> Numbers:
    """Return the photons in one joule of light of one wavelength.

    Parameters
    ----------
    wavelength_nm : nm, above 0

    Returns
    -------
    umol/J, in the shape of ``wavelength_nm``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    lambda / (h c N_A), exact constants of the SI.

    Examples
    --------
    >>> round(photons_per_joule(660.0), 4)
    5.5172
    """
    wavelength = numbers("wavelength_nm", wavelength_nm, above=0)
    return answer(wavelength * NM_PER_M_AND_UMOL_PER_MOL / JOULE_METRE_PER_MOL)
