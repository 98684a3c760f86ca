"""Conductors: sizes, resistance, drop, ampacity, and what a fixture draws from the mains."""

from ledcalc.wiring.ampacity import AmpacitySteps, ampacity_steps, conductor_ampacity, conductor_temperature
from ledcalc.wiring.mains import continuous_limit_a, mains_current, touch_voltage_limit_v
from ledcalc.wiring.resistance import conductor_resistance, voltage_drop_from_resistance, wire_voltage_drop
from ledcalc.wiring.sizes import conductor_area_mm2, known_sizes, parse_size

__all__ = [
    "AmpacitySteps",
    "ampacity_steps",
    "conductor_ampacity",
    "conductor_area_mm2",
    "conductor_resistance",
    "conductor_temperature",
    "continuous_limit_a",
    "known_sizes",
    "mains_current",
    "parse_size",
    "touch_voltage_limit_v",
    "voltage_drop_from_resistance",
    "wire_voltage_drop",
]
