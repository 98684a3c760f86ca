"""Plan, wire, test and tune multi-board LED plant lights: plain functions, and the engine behind the workbook.

>>> import ledcalc as lc
>>> round(lc.wire_voltage_drop(2.0, 1.5, "18 AWG"), 4)
0.1287
"""

from importlib import import_module
from typing import Any

from ledcalc.checks import findings_for
from ledcalc.circuit import BoardCurve, Branch, CurrentSplit, Driver, Link, Load, Network, current_split
from ledcalc.errors import (
    ArgumentError,
    CellProblem,
    FileProblem,
    InputErrors,
    LedcalcError,
    NotSettledError,
    TableRangeError,
)
from ledcalc.evaluate import evaluate
from ledcalc.findings import Finding
from ledcalc.fixture import (
    BeamPoint,
    BoardModel,
    BoardPoint,
    Build,
    Cable,
    Costs,
    CurrentReading,
    DriverModel,
    DriverPoint,
    Entry,
    Fixture,
    HeatSink,
    IncomingBoard,
    LightGridRow,
    LightReading,
    LightRing,
    MaintenancePoint,
    Meter,
    OtherFixture,
    Part,
    PlanStep,
    Position,
    Season,
    Site,
    SpectrumPoint,
    Stock,
    TariffHours,
    WallOpening,
)
from ledcalc.heat import board_temperature
from ledcalc.photons import (
    GridStatistics,
    LightSource,
    Room,
    daily_light_integral,
    photon_efficacy,
    ppfd_grid_statistics,
    ppfd_map,
)
from ledcalc.records import with_values
from ledcalc.results import Evaluation
from ledcalc.variants import Variant
from ledcalc.version import __version__
from ledcalc.wiring import (
    conductor_ampacity,
    conductor_resistance,
    voltage_drop_from_resistance,
    wire_voltage_drop,
)
from ledcalc.workbook import read_workbook, recalculate

__all__ = [
    "ArgumentError",
    "BeamPoint",
    "BoardCurve",
    "BoardModel",
    "BoardPoint",
    "Branch",
    "Build",
    "Cable",
    "CellProblem",
    "Costs",
    "CurrentReading",
    "CurrentSplit",
    "Driver",
    "DriverModel",
    "DriverPoint",
    "Entry",
    "Evaluation",
    "FileProblem",
    "Finding",
    "Fixture",
    "GridStatistics",
    "HeatSink",
    "IncomingBoard",
    "InputErrors",
    "LedcalcError",
    "LightGridRow",
    "LightReading",
    "LightRing",
    "LightSource",
    "Link",
    "Load",
    "MaintenancePoint",
    "Meter",
    "Network",
    "NotSettledError",
    "OtherFixture",
    "Part",
    "PlanStep",
    "Position",
    "Room",
    "Season",
    "Site",
    "SpectrumPoint",
    "Stock",
    "TableRangeError",
    "TariffHours",
    "Variant",
    "WallOpening",
    "__version__",
    "board_temperature",
    "conductor_ampacity",
    "conductor_resistance",
    "current_split",
    "daily_light_integral",
    "evaluate",
    "evaluate_many",
    "findings_for",
    "photon_efficacy",
    "ppfd_grid_statistics",
    "ppfd_map",
    "read_workbook",
    "recalculate",
    "voltage_drop_from_resistance",
    "wire_voltage_drop",
    "with_values",
]


# Folders that nothing here needs.
_LATER = (
    *("bench", "building", "calibrate", "cells", "circuit", "commands", "cost", "demo", "docs", "fabrication", "live"),
    *("picture", "report", "streams"),
)


def __getattr__(name: str) -> Any:
    """Load what needs pandas, and the folders that nothing above needs, when they are asked for."""
    if name == "evaluate_many":
        from ledcalc.variants.table import evaluate_many

        return evaluate_many
    if name in _LATER:
        return import_module(f"ledcalc.{name}")
    raise AttributeError(f"module 'ledcalc' has no attribute {name!r}")
