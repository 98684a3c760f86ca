"""Natural convection: Nusselt numbers of plates and of fins; fin efficiency; radiation."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, numbers
from ledcalc.heat.air import KELVIN, Air

__all__ = [
    "fin_efficiency",
    "nusselt_fins_up",
    "nusselt_hot_side_down",
    "nusselt_hot_side_up",
    "nusselt_parallel_plates",
    "nusselt_vertical_plate",
    "nusselt_vertical_plate_laminar",
    "optimum_fin_spacing",
    "radiated_power",
    "rayleigh",
]

GRAVITY_M_PER_S2 = 9.80665
STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374419e-8


@broadcasting
def rayleigh(difference_k: ArrayLike, length_m: ArrayLike, air: Air) -> FloatArray:
    """Return the Rayleigh number g beta dT L^3 / (nu a) for a temperature difference in K over a length in m."""
    buoyancy = GRAVITY_M_PER_S2 * air.expansion_per_k * np.abs(numbers("difference_k", difference_k))
    length = numbers("length_m", length_m, above=0)
    return np.asarray(buoyancy * length**3 / (air.viscosity_m2_per_s * air.diffusivity_m2_per_s))


def nusselt_vertical_plate(rayleigh_number: ArrayLike, prandtl: ArrayLike) -> Numbers:
    """Return the mean Nusselt number of an isothermal vertical plate, any Rayleigh number, over its height.

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Churchill & Chu 1975, as Incropera eq. 9.26 and Cengel have it.

    Examples
    --------
    >>> round(nusselt_vertical_plate(1.813e9, 0.690))
    147
    """
    ra, pr = _numbers(rayleigh_number), numbers("prandtl", prandtl, above=0)
    return answer((0.825 + 0.387 * ra ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2)


def nusselt_vertical_plate_laminar(rayleigh_number: ArrayLike, prandtl: ArrayLike) -> Numbers:
    """Return the mean Nusselt number of an isothermal vertical plate in laminar flow, over its height.

    Validity
    --------
    Rayleigh number below 1e9, and the nearer law there; it lies from 8 % above (1e4) to 25 % below (short of 1e9) the
    law for any Rayleigh number.

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Churchill & Chu 1975; Incropera eq. 9.27.

    Examples
    --------
    >>> round(nusselt_vertical_plate_laminar(7.07e7, 0.71), 1)
    47.8
    """
    ra, pr = _numbers(rayleigh_number), numbers("prandtl", prandtl, above=0)
    return answer(0.68 + 0.670 * ra**0.25 / (1 + (0.492 / pr) ** (9 / 16)) ** (4 / 9))


def nusselt_hot_side_up(rayleigh_number: ArrayLike) -> Numbers:
    """Return the mean Nusselt number of a horizontal plate with its hot side up, over area / perimeter.

    Validity
    --------
    1e4 to 1e11; below 1e4 the same law is carried on.

    References
    ----------
    Incropera eq. 9.30 and 9.31; Cengel 9-22 and 9-23.

    Examples
    --------
    >>> round(nusselt_hot_side_up(1e6), 2)
    17.08
    """
    ra = _numbers(rayleigh_number)
    return answer(np.where(ra < 1e7, 0.54 * ra**0.25, 0.15 * ra ** (1 / 3)))


def nusselt_hot_side_down(rayleigh_number: ArrayLike) -> Numbers:
    """Return the mean Nusselt number of a horizontal plate with its hot side down, over area / perimeter.

    Validity
    --------
    1e5 to 1e10. Other handbooks have Ra^(1/5): within 14 % from 1e5 to 1e6, where sinks of boards are, but a fifth to a
    half less from 1e7 on, which is plates of half a metre.

    References
    ----------
    Cengel 9-24: 0.27 Ra^(1/4).

    Examples
    --------
    >>> round(nusselt_hot_side_down(1e8), 1)
    27.0
    """
    return answer(0.27 * _numbers(rayleigh_number) ** 0.25)


def nusselt_parallel_plates(rayleigh_by_spacing: ArrayLike, spacing_over_length: ArrayLike) -> Numbers:
    """Return the Nusselt number, over the spacing, of vertical channels between isothermal plates or fins.

    Parameters
    ----------
    rayleigh_by_spacing : Rayleigh number with the spacing as its length
    spacing_over_length : spacing over the channel's height, above 0

    References
    ----------
    Bar-Cohen & Rohsenow 1984; Cengel 9-31: Nu = [576/(Ra S/L)^2 + 2.873/(Ra S/L)^0.5]^-0.5.

    Examples
    --------
    >>> round(nusselt_parallel_plates(1000.0, 0.054), 2)
    1.3
    """
    group = _numbers(rayleigh_by_spacing) * numbers("spacing_over_length", spacing_over_length, above=0)
    group = np.maximum(group, 1e-12)
    return answer((576.0 / group**2 + 2.873 / np.sqrt(group)) ** -0.5)


def nusselt_fins_up(rayleigh_by_spacing: ArrayLike) -> Numbers:
    """Return the Nusselt number, over the spacing, of fins that stand up from a level base.

    Validity
    --------
    Spacing below the fins' length; towards wide spacing it becomes 0.53 Ra^(1/4), the plate with its hot side up.

    References
    ----------
    Jones & Smith 1970, J. Heat Transfer 92(1):6-10, from memory.

    Examples
    --------
    >>> round(nusselt_fins_up(1e4), 2)
    2.69
    """
    ra = np.maximum(_numbers(rayleigh_by_spacing), 1e-12)
    return answer(6.7e-4 * ra * (1.0 - np.exp(-((7460.0 / ra) ** 0.44))) ** 1.7)


@broadcasting
def optimum_fin_spacing(length_m: ArrayLike, rayleigh_by_length: ArrayLike) -> Numbers:
    """Return the spacing of vertical isothermal fins that carries the most heat away from a given base, in m.

    Parameters
    ----------
    length_m : m, above 0: height of the fins' channels
    rayleigh_by_length : Rayleigh number with that height as its length, above 0

    References
    ----------
    Bar-Cohen & Rohsenow 1984; Cengel 9-32: S = 2.714 L / Ra^(1/4).

    Examples
    --------
    >>> round(optimum_fin_spacing(0.18, 1.846e7), 5)
    0.00745
    """
    ra = numbers("rayleigh_by_length", rayleigh_by_length, above=0)
    return answer(2.714 * numbers("length_m", length_m, above=0) / ra**0.25)


@broadcasting
def fin_efficiency(
    height_m: ArrayLike, thickness_m: ArrayLike, film_w_per_m2_k: ArrayLike, conductivity_w_per_m_k: ArrayLike
) -> Numbers:
    """Return the efficiency of a straight fin: tanh(m Lc)/(m Lc), m = sqrt(2 h/(k t)), Lc = L + t/2.

    Parameters
    ----------
    height_m, thickness_m : m, above 0
    film_w_per_m2_k : W/(m2 K), at least 0
    conductivity_w_per_m_k : W/(m K), above 0

    References
    ----------
    Any heat-transfer text.

    Examples
    --------
    >>> round(fin_efficiency(0.03, 0.001, 5.0, 200.0), 4)
    0.9848
    """
    thickness = numbers("thickness_m", thickness_m, above=0)
    film = numbers("film_w_per_m2_k", film_w_per_m2_k, at_least=0)
    conductivity = numbers("conductivity_w_per_m_k", conductivity_w_per_m_k, above=0)
    reach = np.sqrt(2.0 * film / (conductivity * thickness)) * (numbers("height_m", height_m, above=0) + thickness / 2)
    return answer(np.where(reach > 1e-9, np.tanh(reach) / np.maximum(reach, 1e-9), 1.0))


@broadcasting
def radiated_power(
    area_m2: ArrayLike, surface_c: ArrayLike, surroundings_c: ArrayLike, emissivity_fraction: ArrayLike
) -> Numbers:
    """Return the net power that a surface radiates to its surroundings, in W.

    Parameters
    ----------
    area_m2 : m2, at least 0
    surface_c, surroundings_c : degC
    emissivity_fraction : 0 to 1

    References
    ----------
    Stefan-Boltzmann law (CODATA 2018 constant).

    Examples
    --------
    >>> round(radiated_power(0.7242, 231.85, 22.85, 1.0), 0)
    2356.0
    """
    area = numbers("area_m2", area_m2, at_least=0) * numbers(
        "emissivity_fraction", emissivity_fraction, at_least=0, at_most=1
    )
    hot, cold = (
        numbers(name, value, above=-KELVIN) + KELVIN
        for name, value in (("surface_c", surface_c), ("surroundings_c", surroundings_c))
    )
    return answer(STEFAN_BOLTZMANN_W_PER_M2_K4 * area * (hot**4 - cold**4))


def _numbers(rayleigh_number: ArrayLike) -> FloatArray:
    return numbers("rayleigh_number", rayleigh_number, at_least=0)
