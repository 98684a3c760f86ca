"""What air takes from a sink per kelvin: by its own draught, or blown along the sink, whichever is more."""

from __future__ import annotations

from ledcalc.heat.air import Air
from ledcalc.heat.convection import (
    fin_efficiency,
    nusselt_fins_up,
    nusselt_hot_side_down,
    nusselt_hot_side_up,
    nusselt_parallel_plates,
    nusselt_vertical_plate,
    nusselt_vertical_plate_laminar,
    rayleigh,
)
from ledcalc.heat.forced import nusselt_developing_channel, nusselt_flat_plate, reynolds
from ledcalc.heat.sinks import BarePlate, PlateFinSink, Sink

__all__ = ["convection_w_per_k", "radiating_m2"]

LAMINAR_BELOW = 1e9


def convection_w_per_k(sink: Sink, difference_k: float, air: Air, speed_m_per_s: float) -> float:
    """Return the convection per kelvin of a sink whose surface differs from the air, in a stream along its length."""
    if isinstance(sink, BarePlate):
        film = max(_plate_film(sink, difference_k, air), _stream_film(sink.length_m, air, speed_m_per_s))
        return film * sink.width_m * sink.length_m
    return _channels(sink, difference_k, air, speed_m_per_s) + _outer_sides(sink, difference_k, air, speed_m_per_s)


def radiating_m2(sink: Sink) -> float:
    """Return the area that a sink radiates through: its outline less the board side; channels see each other."""
    face = sink.width_m * sink.length_m
    if isinstance(sink, BarePlate):
        return face
    return face + 2.0 * (sink.fin_height_m + sink.base_thickness_m) * (sink.width_m + sink.length_m)


def _plate_film(plate: BarePlate, difference_k: float, air: Air) -> float:
    if plate.orientation == "vertical":
        return _upright_film(difference_k, plate.length_m, air)
    length = plate.width_m * plate.length_m / (2.0 * (plate.width_m + plate.length_m))
    law = nusselt_hot_side_up if plate.orientation == "face up" else nusselt_hot_side_down
    return float(law(rayleigh(difference_k, length, air)) * air.conductivity_w_per_m_k / length)


def _upright_film(difference_k: float, length_m: float, air: Air) -> float:
    """Return the film coefficient of an upright face: the laminar law as far as it holds."""
    ra = rayleigh(difference_k, length_m, air)
    law = nusselt_vertical_plate_laminar if ra < LAMINAR_BELOW else nusselt_vertical_plate
    return float(law(ra, air.prandtl) * air.conductivity_w_per_m_k / length_m)


def _stream_film(length_m: float, air: Air, speed_m_per_s: float) -> float:
    nusselt = nusselt_flat_plate(reynolds(speed_m_per_s, length_m, air), air.prandtl) if speed_m_per_s else 0.0
    return float(nusselt * air.conductivity_w_per_m_k / length_m)


def _channels(sink: PlateFinSink, difference_k: float, air: Air, speed_m_per_s: float) -> float:
    """Return what the channels between the fins give off per kelvin: fin sides by their efficiency, and the base."""
    spacing = sink.spacing_m
    by_spacing = rayleigh(difference_k, spacing, air)
    if sink.orientation == "vertical":
        nusselt = nusselt_parallel_plates(by_spacing, spacing / sink.length_m)
    else:
        nusselt = nusselt_fins_up(by_spacing)
    still = _channels_at(sink, float(nusselt * air.conductivity_w_per_m_k / spacing))
    if not speed_m_per_s:
        return still
    channel_reynolds = reynolds(speed_m_per_s, spacing, air) * spacing / sink.length_m
    blown = nusselt_developing_channel(channel_reynolds, air.prandtl) * air.conductivity_w_per_m_k / spacing
    # The law counts fin sides only; with the base as well, the air must still not leave hotter than the sink.
    section_m2 = (sink.fin_count - 1) * spacing * sink.fin_height_m
    carried = float(speed_m_per_s * section_m2 * air.conductivity_w_per_m_k / air.diffusivity_m2_per_s)
    return max(still, min(_channels_at(sink, float(blown)), carried))


def _channels_at(sink: PlateFinSink, film: float) -> float:
    channels = sink.fin_count - 1
    fins_m2 = 2.0 * channels * sink.fin_height_m * sink.length_m
    base_m2 = channels * sink.spacing_m * sink.length_m
    return film * (fins_m2 * _efficiency(sink, film) + base_m2)


def _outer_sides(sink: PlateFinSink, difference_k: float, air: Air, speed_m_per_s: float) -> float:
    """Return what the outer sides of the two outer fins give off per kelvin."""
    draught_length = sink.length_m if sink.orientation == "vertical" else sink.fin_height_m
    film = max(_upright_film(difference_k, draught_length, air), _stream_film(sink.length_m, air, speed_m_per_s))
    return film * 2.0 * sink.fin_height_m * sink.length_m * _efficiency(sink, film)


def _efficiency(sink: PlateFinSink, film: float) -> float:
    return float(fin_efficiency(sink.fin_height_m, sink.fin_thickness_m, film, sink.conductivity_w_per_m_k))
