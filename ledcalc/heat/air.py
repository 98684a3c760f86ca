"""Properties of dry air against temperature and altitude."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, broadcasting, numbers

__all__ = ["KELVIN", "Air", "air_at"]

KELVIN = 273.15
GAS_CONSTANT_J_PER_KG_K = 287.05
SEA_LEVEL_PRESSURE_PA = 101325.0
HEAT_CAPACITY_J_PER_KG_K = 1006.0
COLDEST_C, HOTTEST_C = -60.0, 400.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Air:
    """Dry air: conductivity, kinematic viscosity, thermal diffusivity, Prandtl number, and 1/T."""

    conductivity_w_per_m_k: FloatArray
    viscosity_m2_per_s: FloatArray
    diffusivity_m2_per_s: FloatArray
    prandtl: FloatArray
    expansion_per_k: FloatArray


@broadcasting
def air_at(temperature_c: ArrayLike, *, altitude_m: ArrayLike = 0.0) -> Air:
    """Return the properties of dry air.

    Parameters
    ----------
    temperature_c : degC, -60 to 400
    altitude_m : m over sea level, -500 to 5000

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Within 3.5 % of textbook tables between -20 and 130 degC, which differ from each other as much; moisture left out.

    References
    ----------
    U.S. Standard Atmosphere 1976: Sutherland's viscosity, conductivity, pressure against altitude; ideal gas.

    Examples
    --------
    >>> round(float(air_at(26.85).conductivity_w_per_m_k), 4)
    0.0263
    """
    kelvin = numbers("temperature_c", temperature_c, at_least=COLDEST_C, at_most=HOTTEST_C) + KELVIN
    altitude = numbers("altitude_m", altitude_m, at_least=-500, at_most=5000)
    pressure = SEA_LEVEL_PRESSURE_PA * (1.0 - 2.25577e-5 * altitude) ** 5.25588
    density = pressure / (GAS_CONSTANT_J_PER_KG_K * kelvin)
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4) / density
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10.0 ** (-12.0 / kelvin))
    diffusivity = conductivity / (density * HEAT_CAPACITY_J_PER_KG_K)
    return Air(
        conductivity_w_per_m_k=np.asarray(conductivity),
        viscosity_m2_per_s=np.asarray(viscosity),
        diffusivity_m2_per_s=np.asarray(diffusivity),
        prandtl=np.asarray(viscosity / diffusivity),
        expansion_per_k=np.asarray(1.0 / kelvin),
    )
