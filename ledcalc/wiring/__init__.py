"""Conductors: sizes, resistance, drop, ampacity, and what a fixture draws from the mains."""

from ledcalc.wiring.ampacity import AmpacitySteps, ampacity_steps, conductor_ampacity, conductor_temperature
from ledcalc.wiring.choosing import SizeChoice, smallest_size
from ledcalc.wiring.circuit_load import circuit_load_share, circuit_rating_for, fixtures_on_circuit, standard_circuits_a
from ledcalc.wiring.class_2 import (
    TOUCH_CLASSES,
    Class2Limits,
    Class2Verdict,
    class_2_limits,
    is_within_class_2,
    touch_voltage_class,
)
from ledcalc.wiring.colours import COLOUR_REMINDER, ConductorColour, colour_roles, conductor_colour
from ledcalc.wiring.connectors import ConnectorRating, connector_limit_a, connector_rating, known_connectors
from ledcalc.wiring.devices import (
    DEVICE_KINDS,
    DeviceKind,
    SmallConductorLimit,
    device_kind,
    highest_rating_within,
    next_rating,
    small_conductor_limit,
)
from ledcalc.wiring.driver_load import DriverAtLoad, driver_at_load
from ledcalc.wiring.earthing import (
    EarthingNeed,
    equipment_earth_mm2,
    equipment_earth_size,
    metal_to_earth,
    protective_conductor_mm2,
)
from ledcalc.wiring.inrush import (
    DriversOnBreaker,
    breaker_holds_a,
    drivers_on_breaker,
    inrush_share,
    inrush_total_a,
    short_pulse_factor,
)
from ledcalc.wiring.laying import buyable_sizes
from ledcalc.wiring.mains import continuous_limit_a, mains_current, touch_voltage_limit_v
from ledcalc.wiring.protection import PROTECTED, PROTECTION_STATUSES, WireProtection, wire_protection
from ledcalc.wiring.residual_current import (
    DriversOnResidualDevice,
    drivers_on_residual_device,
    known_residual_devices_a,
    leakage_share,
)
from ledcalc.wiring.resistance import conductor_resistance, voltage_drop_from_resistance, wire_voltage_drop
from ledcalc.wiring.sizes import conductor_area_mm2, known_sizes, parse_size
from ledcalc.wiring.terminal_limit import terminal_limit_a

__all__ = [
    "COLOUR_REMINDER",
    "DEVICE_KINDS",
    "PROTECTED",
    "PROTECTION_STATUSES",
    "TOUCH_CLASSES",
    "AmpacitySteps",
    "Class2Limits",
    "Class2Verdict",
    "ConductorColour",
    "ConnectorRating",
    "DeviceKind",
    "DriverAtLoad",
    "DriversOnBreaker",
    "DriversOnResidualDevice",
    "EarthingNeed",
    "SizeChoice",
    "SmallConductorLimit",
    "WireProtection",
    "ampacity_steps",
    "breaker_holds_a",
    "buyable_sizes",
    "circuit_load_share",
    "circuit_rating_for",
    "class_2_limits",
    "colour_roles",
    "conductor_ampacity",
    "conductor_area_mm2",
    "conductor_colour",
    "conductor_resistance",
    "conductor_temperature",
    "connector_limit_a",
    "connector_rating",
    "continuous_limit_a",
    "device_kind",
    "driver_at_load",
    "drivers_on_breaker",
    "drivers_on_residual_device",
    "equipment_earth_mm2",
    "equipment_earth_size",
    "fixtures_on_circuit",
    "highest_rating_within",
    "inrush_share",
    "inrush_total_a",
    "is_within_class_2",
    "known_connectors",
    "known_residual_devices_a",
    "known_sizes",
    "leakage_share",
    "mains_current",
    "metal_to_earth",
    "next_rating",
    "parse_size",
    "protective_conductor_mm2",
    "short_pulse_factor",
    "small_conductor_limit",
    "smallest_size",
    "standard_circuits_a",
    "terminal_limit_a",
    "touch_voltage_class",
    "touch_voltage_limit_v",
    "voltage_drop_from_resistance",
    "wire_protection",
    "wire_voltage_drop",
]
