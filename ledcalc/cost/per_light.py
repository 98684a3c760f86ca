"""What light costs: by the photon flux that is bought, by the photons that reach the crop."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers

__all__ = ["cost_per_dli_area", "cost_per_flux", "cost_per_mol"]


@broadcasting
def cost_per_flux(purchase_cost: ArrayLike, photon_flux_umol_s: ArrayLike) -> Numbers:
    """Return what a fixture costs to buy for each umol/s that it gives.

    Parameters
    ----------
    purchase_cost : money, at least 0
    photon_flux_umol_s : umol/s, at least 0

    Returns
    -------
    money a umol/s, NaN without light, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> cost_per_flux(180.0, 240.0)
    0.75
    """
    return _ratio(numbers("purchase_cost", purchase_cost, at_least=0), "photon_flux_umol_s", photon_flux_umol_s)


@broadcasting
def cost_per_mol(yearly_cost: ArrayLike, canopy_photons_mol: ArrayLike) -> Numbers:
    """Return what a mole of photons on the crop costs.

    Parameters
    ----------
    yearly_cost : money a year, at least 0; say beside the result what it counts: energy alone, or all
    canopy_photons_mol : mol a year that reach the crop, at least 0

    Returns
    -------
    money a mol, NaN without light, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> cost_per_mol(50.0, 1000.0)
    0.05
    """
    return _ratio(numbers("yearly_cost", yearly_cost, at_least=0), "canopy_photons_mol", canopy_photons_mol)


@broadcasting
def cost_per_dli_area(yearly_cost: ArrayLike, dli_mol_m2_d: ArrayLike, area_m2: ArrayLike) -> Numbers:
    """Return what one mol m-2 d-1 of daily light over one square metre costs for a year.

    Parameters
    ----------
    yearly_cost : money a year, at least 0
    dli_mol_m2_d : mol m-2 d-1, at least 0: mean over the area and over the days lit
    area_m2 : m2 lit, at least 0

    Returns
    -------
    money a year for each mol m-2 d-1 and m2, NaN without light, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> cost_per_dli_area(60.0, 12.0, 0.5)
    10.0
    """
    lit = numbers("dli_mol_m2_d", dli_mol_m2_d, at_least=0) * numbers("area_m2", area_m2, at_least=0)
    return _ratio(numbers("yearly_cost", yearly_cost, at_least=0), "dli_mol_m2_d x area_m2", lit)


def _ratio(cost: ArrayLike, name: str, light: ArrayLike) -> Numbers:
    money, given = np.broadcast_arrays(np.asarray(cost, dtype=float), numbers(name, light, at_least=0))
    return answer(np.divide(money, given, out=np.full(given.shape, np.nan), where=given > 0))
