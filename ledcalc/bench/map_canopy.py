"""What a measured mean says of the canopy: flux, dose, and how much of the fixture's light arrives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import numbers
from ledcalc.bench.estimates import Estimate
from ledcalc.ppfd.dose import daily_light_integral

__all__ = ["CanopyFigures", "canopy_figures"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CanopyFigures:
    """Light on the canopy as measured.

    ``canopy_flux`` in umol/s; ``dose`` the daily light integral, mol m-2 d-1; ``fixture_share`` the flux over the
    fixture's; ``canopy_efficacy`` the flux over the power, umol/J. ``verdict`` is "more than the fixture makes",
    "about all that the fixture makes" (the uncertainty reaches past all of it), "less than the fixture makes", or "not
    known".
    """

    canopy_flux: Estimate
    dose: Estimate
    fixture_share: Estimate
    canopy_efficacy: Estimate
    verdict: str


def canopy_figures(
    mean: Estimate,
    area_m: tuple[float, float],
    *,
    fixture_flux: Estimate,
    power: Estimate,
    photoperiod_h: float,
    level_fraction: float = 0.95,
) -> CanopyFigures:
    """Return flux, dose and efficacy on a canopy from a measured mean.

    Parameters
    ----------
    mean : umol m-2 s-1: over the area, such as ``map_means(...).fitted``
    area_m : m, above 0: width and depth
    fixture_flux : umol/s: what the fixture makes in all, with nothing in common with the sensor's errors
    power : W: what it draws; say beside the efficacy whether at the boards (DC) or at the mains (AC)
    photoperiod_h : h, from 0 to 24
    level_fraction : above 0, below 1: confidence of the verdict

    Returns
    -------
    CanopyFigures; what rests on an unknown figure is NaN, with the reason in ``missing``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Light of other sources counts as the fixture's unless it was taken off the readings. In a room, light that floor
    and walls send back to the canopy counts each time that it comes down.

    References
    ----------
    Flux = mean x area; first-order combination as JCGM 100:2008 (GUM) 5.1.2.

    Examples
    --------
    >>> known = [Estimate(value=value, parts=()) for value in (800.0, 600.0, 300.0)]
    >>> found = canopy_figures(known[0], (1.0, 0.5), fixture_flux=known[1], power=known[2], photoperiod_h=16)
    >>> found.canopy_flux.value, round(found.fixture_share.value, 3), round(found.canopy_efficacy.value, 3)
    (400.0, 0.667, 1.333)
    >>> round(found.dose.value, 2), found.verdict
    (46.08, 'less than the fixture makes')
    """
    width, depth = numbers("area_m", area_m, above=0).tolist()
    level = float(numbers("level_fraction", level_fraction, above=0, below=1))
    flux = mean.scaled(width * depth)
    share = flux.over(fixture_flux)
    return CanopyFigures(
        canopy_flux=flux,
        dose=mean.scaled(float(daily_light_integral(1.0, photoperiod_h))),
        fixture_share=share,
        canopy_efficacy=flux.over(power),
        verdict=_verdict(share, share.half_width(level)),
    )


def _verdict(share: Estimate, half: float) -> str:
    if np.isnan(share.value) or np.isnan(half):
        return "not known"
    if share.value - half > 1.0:
        return "more than the fixture makes"
    return "about all that the fixture makes" if share.value + half > 1.0 else "less than the fixture makes"
