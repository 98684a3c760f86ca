"""The library's functions for a spreadsheet's cells: one registry, one way of calling, two doors."""

from ledcalc.cells.calling import call_cell
from ledcalc.cells.registry import CellArgument, CellFunction, cell_function, cell_functions

__all__ = ["CellArgument", "CellFunction", "call_cell", "cell_function", "cell_functions"]
