"""The light of a block: fields by superposition, their statistics, dose, efficacies; and what it costs to run."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.cost import energy_cost, energy_kwh
from ledcalc.photons import daily_light_integral, ppfd_grid_statistics
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.figures import BlockCost, BlockLight, BlockOperating, BlockStatistics
from ledcalc.variants.blocks.layouts import layouts_of, map_points
from ledcalc.variants.blocks.steady import Steady
from ledcalc.variants.blocks.structure import Block

__all__ = ["cost_of", "light_of"]

NUMBERS_AT_A_TIME = 2_000_000


def light_of(block: Block, steady: Steady, operating: BlockOperating) -> BlockLight:
    """Return the light over the crop and what follows from it."""
    fixture, hours = block.structure.fixture, block.fixture.site.photoperiod_h
    statistics, per_flux = _statistics(block, steady.photon_flux_umol_s)
    flux, in_room = steady.photon_flux_umol_s.sum(axis=0), fixture.in_room_count
    canopy = statistics.area_weighted_mean * fixture.crop_width_m * fixture.crop_depth_m
    return BlockLight(
        statistics=statistics,
        ppfd_per_flux=per_flux,
        photon_flux_umol_s=flux,
        canopy_flux_umol_s=canopy,
        utilisation_fraction=_over(canopy, flux * in_room),
        dli_mean_mol_m2_d=column(daily_light_integral(statistics.mean, hours), block.count),
        dc_efficacy_umol_per_j=_over(flux, operating.power_w),
        ac_efficacy_umol_per_j=_over(flux, operating.mains_power_w),
        canopy_efficacy_umol_per_j=_over(canopy, operating.mains_power_w * in_room),
    )


def _over(value: FloatArray, by: FloatArray) -> FloatArray:
    """Return a ratio, NaN where there is nothing to divide by."""
    return np.asarray(np.divide(value, by, out=np.full(value.shape, np.nan), where=by > 0))


def _statistics(block: Block, flux_umol_s: FloatArray) -> tuple[BlockStatistics, FloatArray]:
    fixture = block.structure.fixture
    x, y = map_points(fixture)
    size = (fixture.crop_width_m, fixture.crop_depth_m)
    middle = (fixture.crop_width_m / 2, fixture.crop_depth_m / 2)
    weights = ppfd_grid_statistics(x, y, np.ones(x.size), area_m=size, centre_m=middle).area_weights
    found, per_flux = np.empty((4, block.count)), np.empty(flux_umol_s.shape)
    at_a_time = max(NUMBERS_AT_A_TIME // x.size, 1)
    for layout in layouts_of(block):
        per_flux[:, layout.variants] = layout.per_flux.mean(axis=1)[:, np.newaxis]
        for start in range(0, layout.variants.size, at_a_time):
            some = layout.variants[start : start + at_a_time]
            ppfd = flux_umol_s[:, some].T @ layout.per_flux
            found[:, some] = ppfd.mean(axis=1), ppfd.min(axis=1), ppfd.max(axis=1), ppfd @ weights
    mean, low, high, weighted = found
    statistics = BlockStatistics(
        mean=mean, minimum=low, maximum=high, min_over_mean=_over(low, mean), area_weighted_mean=weighted
    )
    return statistics, per_flux


def cost_of(block: Block, operating: BlockOperating) -> BlockCost:
    """Return energy of a year and its cost, at one price the whole year."""
    site, count = block.fixture.site, block.count
    kwh = column(energy_kwh(operating.mains_power_w, np.multiply(site.photoperiod_h, site.days_lit_count)), count)
    return BlockCost(energy_kwh=kwh, energy_cost=column(energy_cost(kwh, site.price_per_kwh), count))
