"""What the driver makes of its load: efficiency, power factor, draw from the mains, loss; and the room's own air."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledcalc.fixture import DriverModel, DriverPoint, Site
from ledcalc.heat import room_air_rise
from ledcalc.wiring import DriverAtLoad, driver_at_load

__all__ = ["Draw", "air_rise", "draw_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """The driver at its load; ``is_held``: outside the points given for it."""

    efficiency_fraction: float
    power_factor_fraction: float
    mains_power_w: float
    is_held: bool


def draw_of(model: DriverModel, points: Sequence[DriverPoint], site: Site, output_w: float) -> Draw:
    """Return what the driver draws for an output power: by its points, else by its stated efficiency."""
    own = [point for point in points if point.driver == model.tag]
    if own:
        at = driver_at_load(
            output_w / model.power_limit_w,
            site.mains_v,
            point_load_fraction=[point.load_fraction for point in own],
            point_efficiency_fraction=[point.efficiency_fraction for point in own],
            point_power_factor_fraction=[point.power_factor_fraction or model.power_factor_fraction for point in own],
            point_mains_v=None if own[0].mains_v is None else [float(point.mains_v or 0.0) for point in own],
        )
    else:
        at = DriverAtLoad(
            efficiency_fraction=model.efficiency_fraction,
            power_factor_fraction=model.power_factor_fraction,
            is_held=False,
        )
    efficiency = float(at.efficiency_fraction)
    return Draw(
        efficiency_fraction=efficiency,
        power_factor_fraction=float(at.power_factor_fraction),
        mains_power_w=output_w / efficiency,
        is_held=bool(at.is_held),
    )


def air_rise(site: Site, mains_power_w: float) -> float:
    """Return how far the fixture warms the room's air above the air that comes in; 0 where no ventilation is stated."""
    if site.ventilation_m3_per_h is None:
        return 0.0
    return float(
        room_air_rise(
            mains_power_w,
            ventilation_m3_per_h=site.ventilation_m3_per_h,
            envelope_w_per_k=site.envelope_w_per_k,
            air_temperature_c=site.air_temperature_c,
            altitude_m=site.altitude_m,
        )
    )
