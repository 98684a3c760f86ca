"""Conductors: sizes, resistance, drop, ampacity, and what a fixture draws from the mains."""

from ledcalc.wiring.ampacity import AmpacitySteps, ampacity_steps, conductor_ampacity, conductor_temperature
from ledcalc.wiring.driver_load import DriverAtLoad, driver_at_load
from ledcalc.wiring.mains import continuous_limit_a, mains_current, touch_voltage_limit_v
from ledcalc.wiring.resistance import conductor_resistance, voltage_drop_from_resistance, wire_voltage_drop
from ledcalc.wiring.sizes import conductor_area_mm2, known_sizes, parse_size

__all__ = [
    "AmpacitySteps",
    "DriverAtLoad",
    "ampacity_steps",
    "conductor_ampacity",
    "conductor_area_mm2",
    "conductor_resistance",
    "conductor_temperature",
    "continuous_limit_a",
    "driver_at_load",
    "known_sizes",
    "mains_current",
    "parse_size",
    "touch_voltage_limit_v",
    "voltage_drop_from_resistance",
    "wire_voltage_drop",
]
