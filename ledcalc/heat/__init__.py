"""Heat: from electrical power to board, junction, driver and room temperatures; heat sinks by dimensions; touch."""

from ledcalc.heat.air import Air, air_at
from ledcalc.heat.capacity import sink_heat_capacity
from ledcalc.heat.convection import optimum_fin_spacing, rayleigh
from ledcalc.heat.forced import nusselt_developing_channel, nusselt_flat_plate, reynolds
from ledcalc.heat.room import room_air_rise
from ledcalc.heat.shared_sink import shared_sink_matrix
from ledcalc.heat.shedding import SinkState, sink_power, sink_resistance, sink_state
from ledcalc.heat.sinks import BarePlate, PlateFinSink
from ledcalc.heat.steady import board_temperature, driver_case_temperature, junction_temperature
from ledcalc.heat.touch import TOUCH_MATERIALS, BurnThreshold, burn_threshold

__all__ = [
    "TOUCH_MATERIALS",
    "Air",
    "BarePlate",
    "BurnThreshold",
    "PlateFinSink",
    "SinkState",
    "air_at",
    "board_temperature",
    "burn_threshold",
    "driver_case_temperature",
    "junction_temperature",
    "nusselt_developing_channel",
    "nusselt_flat_plate",
    "optimum_fin_spacing",
    "rayleigh",
    "reynolds",
    "room_air_rise",
    "shared_sink_matrix",
    "sink_heat_capacity",
    "sink_power",
    "sink_resistance",
    "sink_state",
]
