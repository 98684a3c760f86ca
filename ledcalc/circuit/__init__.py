"""Circuits: board curves, drivers, how the current splits, and whether the split is stable."""

from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.links import link_currents
from ledcalc.circuit.network import Link, Load, Network
from ledcalc.circuit.parts import Branch, CurrentSplit, Driver
from ledcalc.circuit.split import current_split
from ledcalc.circuit.time_course import WarmUp, warm_up

__all__ = [
    "BoardCurve",
    "Branch",
    "CurrentSplit",
    "Driver",
    "Link",
    "Load",
    "Network",
    "WarmUp",
    "current_split",
    "link_currents",
    "warm_up",
]
