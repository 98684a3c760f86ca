"""Thermal resistance of the fixture's heat sinks: as stated, or from dimensions at the temperature they are at."""

from __future__ import annotations

from ledcalc.fixture import HeatSink
from ledcalc.heat import BarePlate, PlateFinSink, sink_resistance

__all__ = ["resistance_of"]


def resistance_of(sink: HeatSink, surface_c: float, ambient_c: float, altitude_m: float) -> float:
    """Return the resistance from sink to air in K/W with the sink at a temperature."""
    if sink.sink_resistance_k_per_w is not None:
        return sink.sink_resistance_k_per_w
    return sink_resistance(_dimensions(sink), surface_c, ambient_c=ambient_c, altitude_m=altitude_m)


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
