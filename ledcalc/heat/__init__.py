"""Heat: from electrical power to board temperature; heat sinks from their dimensions."""

from ledcalc.heat.air import Air, air_at
from ledcalc.heat.sinks import BarePlate, PlateFinSink, SinkState, sink_power, sink_resistance, sink_state
from ledcalc.heat.steady import board_temperature

__all__ = [
    "Air",
    "BarePlate",
    "PlateFinSink",
    "SinkState",
    "air_at",
    "board_temperature",
    "sink_power",
    "sink_resistance",
    "sink_state",
]
