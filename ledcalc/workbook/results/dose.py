"""Figures on the dose: what is published for the crop, how long a day it takes, what a mole costs; light for eyes."""

from __future__ import annotations

import numpy as np

from ledcalc.light_views import mean_illuminance
from ledcalc.photons import CropTarget, energy_per_mol_kwh, match_crop, photoperiod_for_dose
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Fact, fact

__all__ = ["dose_facts", "illuminance_facts"]

DLI_UNIT = "mol m-2 d-1"
HOURS_A_DAY = 24.0


def dose_facts(results: Evaluation) -> tuple[Fact, ...]:
    """Return the published dose of the crop, the photoperiod for the dose wanted, and the energy of a mole."""
    site = results.fixture.site
    match = match_crop(site.crop) if site.crop else None
    crop = match.target if match else None
    found = []
    if crop is not None:
        found.append(_published(results, crop))
    elif match is not None and match.nearest is not None:
        remark = f"the table has {match.nearest!r}: name that to have its dose here"
        found.append(fact("Published dose of the crop", "not known by this name", remark=remark))
    found += _photoperiod(results, crop)
    if results.light.canopy_efficacy_umol_per_j > 0:
        energy = float(energy_per_mol_kwh(results.light.canopy_efficacy_umol_per_j))
        found.append(
            fact("Energy of a mole on the crop, AC basis", energy, "kWh/mol", 3, "mains over flux on the crop")
        )
    return tuple(found)


def illuminance_facts(results: Evaluation) -> tuple[Fact, ...]:
    """Return the mean illuminance by the boards' spectra; nothing where one of them has none."""
    light = mean_illuminance(results)
    if light is None:
        return ()
    remark = f"{light.lx_per_umol_m2_s:.1f} lx a umol m-2 s-1 by the spectrum; {light.luminous_flux_lm:,.0f} lm in all"
    return (fact("Mean illuminance", light.mean_lx, "lx", 0, remark),)


def _published(results: Evaluation, crop: CropTarget) -> Fact:
    place = crop.place(results.light.dli_mean_mol_m2_d)
    source = crop.source if crop.read_from in crop.source else f"{crop.source}, {crop.read_from}"
    remark = f"{crop.quantity}; the mean lies {place} it; confidence {crop.confidence}: {source}"
    return fact(f"Published: {crop.crop}", _range(crop.low_mol_m2_d, crop.high_mol_m2_d), DLI_UNIT, 1, remark)


def _photoperiod(results: Evaluation, crop: CropTarget | None) -> list[Fact]:
    """Return how long a day the dose takes at the present PPFD: the site's own target, else what is published."""
    site, mean = results.fixture.site, results.light.statistics.mean
    low, high, whose = site.target_dli_low_mol_m2_d, site.target_dli_high_mol_m2_d, "the site's target"
    if low is None and high is None and crop is not None:
        low, high, whose = crop.low_mol_m2_d, crop.high_mol_m2_d, "published"
    ends = [end for end in (low, high) if end is not None]
    if not ends or mean <= 0:
        return []
    hours = np.atleast_1d(photoperiod_for_dose(ends, mean))
    bound = "" if len(ends) > 1 else "at least " if low is not None else "at most "
    remark = f"at the mean PPFD, for {bound}{_range(ends[0], ends[-1])} {DLI_UNIT}, {whose}"
    if hours[-1] > HOURS_A_DAY:
        remark += "; no day has more than 24 h"
    return [fact("Light a day for the dose", _range(float(hours[0]), float(hours[-1]), 1), "h", 1, remark)]


def _range(low: float, high: float, digits: int | None = None) -> str:
    shown = [f"{end:g}" if digits is None else f"{end:.{digits}f}" for end in (low, high)]
    return shown[0] if shown[0] == shown[1] else " to ".join(shown)
