"""Circuits: board curves, drivers, how the current splits, and whether the split is stable."""

from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.fault_cases import FaultConditions, LedLayout
from ledcalc.circuit.faults import FaultOutcome, fault_table
from ledcalc.circuit.led_matrix import board_voltage_sigma, led_matrix, with_led_fault
from ledcalc.circuit.links import link_currents
from ledcalc.circuit.network import Link, Load, Network
from ledcalc.circuit.parts import Branch, CurrentSplit, Driver
from ledcalc.circuit.remedies import StabilityAdvice, stability_advice
from ledcalc.circuit.selection import BoardGroups, assign_to_branches, match_boards, offsets_from_currents
from ledcalc.circuit.split import current_split
from ledcalc.circuit.time_course import WarmUp, warm_up
from ledcalc.circuit.tolerance import Spread, ToleranceResult, tolerance_of
from ledcalc.circuit.topologies import home_run_network, series_of_groups, string_network, trunk_network
from ledcalc.circuit.trim import Trim, trim_driver, trim_from_measured

__all__ = [
    "BoardCurve",
    "BoardGroups",
    "Branch",
    "CurrentSplit",
    "Driver",
    "FaultConditions",
    "FaultOutcome",
    "LedLayout",
    "Link",
    "Load",
    "Network",
    "Spread",
    "StabilityAdvice",
    "ToleranceResult",
    "Trim",
    "WarmUp",
    "assign_to_branches",
    "board_voltage_sigma",
    "current_split",
    "fault_table",
    "home_run_network",
    "led_matrix",
    "link_currents",
    "match_boards",
    "offsets_from_currents",
    "series_of_groups",
    "stability_advice",
    "string_network",
    "tolerance_of",
    "trim_driver",
    "trim_from_measured",
    "trunk_network",
    "warm_up",
    "with_led_fault",
]
