"""What the driver makes of its load in a block: efficiency, power factor, draw from the mains; and the room's air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray, Numbers
from ledcalc.heat import room_air_rise
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.structure import Block
from ledcalc.wiring import DriverAtLoad, driver_at_load

__all__ = ["BlockDraw", "air_rise", "draw_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockDraw:
    """The driver at its load, an entry a variant."""

    efficiency_fraction: FloatArray
    power_factor_fraction: FloatArray
    mains_power_w: FloatArray


def draw_of(block: Block, output_w: FloatArray) -> BlockDraw:
    """Return what the driver draws for an output power: by its points, else by its stated efficiency."""
    model, site = block.driver, block.fixture.site
    own = [point for point in block.fixture.driver_points if point.driver == model.tag]
    efficiency: Numbers = model.efficiency_fraction
    factor: Numbers = model.power_factor_fraction
    if own:

        def at(stand_in: float) -> DriverAtLoad:
            return driver_at_load(
                output_w / model.power_limit_w,
                site.mains_v,
                point_load_fraction=[point.load_fraction for point in own],
                point_efficiency_fraction=[point.efficiency_fraction for point in own],
                point_power_factor_fraction=[point.power_factor_fraction or stand_in for point in own],
                point_mains_v=None if own[0].mains_v is None else [float(point.mains_v or 0.0) for point in own],
            )

        found = at(1.0)
        efficiency, stated = found.efficiency_fraction, factor
        factor = found.power_factor_fraction
        if any(point.power_factor_fraction is None for point in own):
            # Points without a power factor have the model's, whatever that is in a variant: a straight line over it.
            half = at(0.5).power_factor_fraction
            factor = half + (factor - half) * (stated - 0.5) / 0.5
    efficiency = column(efficiency, block.count)
    return BlockDraw(
        efficiency_fraction=efficiency,
        power_factor_fraction=column(factor, block.count),
        mains_power_w=output_w / efficiency,
    )


def air_rise(block: Block, mains_power_w: FloatArray) -> FloatArray:
    """Return how far the fixture warms the room's air above the air that comes in; 0 where no ventilation is stated."""
    site = block.fixture.site
    if site.ventilation_m3_per_h is None:
        return np.zeros(block.count)
    rise = room_air_rise(
        mains_power_w,
        ventilation_m3_per_h=site.ventilation_m3_per_h,
        envelope_w_per_k=site.envelope_w_per_k,
        air_temperature_c=site.air_temperature_c,
        altitude_m=site.altitude_m,
    )
    return column(rise, block.count)
