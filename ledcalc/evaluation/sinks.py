"""Thermal resistance of the fixture's heat sinks: as stated, or from dimensions at the temperature they are at."""

from __future__ import annotations

from ledcalc.fixture import HeatSink
from ledcalc.heat import BarePlate, PlateFinSink, sink_heat_capacity, sink_resistance, sink_state

__all__ = ["fans_off_factor", "heat_capacity_of", "resistance_of"]


def resistance_of(sink: HeatSink, surface_c: float, ambient_c: float, altitude_m: float) -> float:
    """Return the resistance from sink to air in K/W with the sink at a temperature, as it was found."""
    if sink.sink_resistance_k_per_w is not None:
        return sink.sink_resistance_k_per_w
    worked_out = sink_resistance(
        _dimensions(sink),
        surface_c,
        ambient_c=ambient_c,
        altitude_m=altitude_m,
        air_speed_m_per_s=sink.air_speed_m_per_s or 0.0,
    )
    return sink.resistance_fraction * worked_out


def fans_off_factor(
    sink: HeatSink, present_k_per_w: float, heat_w: float, ambient_c: float, altitude_m: float
) -> float:
    """Return what a stopped fan multiplies the sink's resistance by: as stated, else worked out for still air."""
    if sink.air_speed_m_per_s is None or sink.fans_off_factor > 1 or heat_w <= 0:
        return sink.fans_off_factor
    still = sink_state(_dimensions(sink), heat_w, ambient_c=ambient_c, altitude_m=altitude_m)
    return max(sink.resistance_fraction * still.thermal_resistance_k_per_w / present_k_per_w, 1.0)


def heat_capacity_of(sink: HeatSink) -> float | None:
    """Return the heat capacity in J/K: as stated, else of a finned sink's metal; None: not known."""
    if sink.heat_capacity_j_per_k is not None or sink.sink_resistance_k_per_w is not None:
        return sink.heat_capacity_j_per_k
    dimensions = _dimensions(sink)
    return float(sink_heat_capacity(dimensions)) if isinstance(dimensions, PlateFinSink) else None


def _dimensions(sink: HeatSink) -> BarePlate | PlateFinSink:
    """Return the sink's dimensions; the inputs have been checked to hold all of them."""
    width, length, hangs = float(sink.width_m or 0.0), float(sink.length_m or 0.0), str(sink.orientation)
    if sink.fin_count is None:
        return BarePlate(
            width_m=width, length_m=length, emissivity_fraction=sink.emissivity_fraction, orientation=hangs
        )
    return PlateFinSink(
        width_m=width,
        length_m=length,
        base_thickness_m=float(sink.base_thickness_m or 0.0),
        fin_count=sink.fin_count,
        fin_height_m=float(sink.fin_height_m or 0.0),
        fin_thickness_m=float(sink.fin_thickness_m or 0.0),
        conductivity_w_per_m_k=sink.conductivity_w_per_m_k,
        emissivity_fraction=sink.emissivity_fraction,
        orientation=hangs,
    )
