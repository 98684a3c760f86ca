"""Circuits: board curves, drivers, how the current splits, and whether the split is stable."""

from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.parts import Branch, CurrentSplit, Driver
from ledcalc.circuit.split import current_split

__all__ = ["BoardCurve", "Branch", "CurrentSplit", "Driver", "current_split"]
