"""Heat: from electrical power to board temperature; heat sinks from their dimensions."""

from ledcalc.heat.air import Air, air_at
from ledcalc.heat.convection import optimum_fin_spacing, rayleigh
from ledcalc.heat.forced import nusselt_developing_channel, nusselt_flat_plate, reynolds
from ledcalc.heat.shedding import SinkState, sink_power, sink_resistance, sink_state
from ledcalc.heat.sinks import BarePlate, PlateFinSink
from ledcalc.heat.steady import board_temperature

__all__ = [
    "Air",
    "BarePlate",
    "PlateFinSink",
    "SinkState",
    "air_at",
    "board_temperature",
    "nusselt_developing_channel",
    "nusselt_flat_plate",
    "optimum_fin_spacing",
    "rayleigh",
    "reynolds",
    "sink_power",
    "sink_resistance",
    "sink_state",
]
