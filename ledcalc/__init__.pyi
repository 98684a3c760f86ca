"""Plan, wire, test and tune multi-board LED plant lights: plain functions, and the engine behind the workbook."""

from ledcalc import bench as bench
from ledcalc import building as building
from ledcalc import calibrate as calibrate
from ledcalc import cells as cells
from ledcalc import checks as checks
from ledcalc import circuit as circuit
from ledcalc import commands as commands
from ledcalc import cost as cost
from ledcalc import demo as demo
from ledcalc import docs as docs
from ledcalc import evaluation as evaluation
from ledcalc import explain as explain
from ledcalc import fabrication as fabrication
from ledcalc import findings as findings
from ledcalc import fixture as fixture
from ledcalc import heat as heat
from ledcalc import live as live
from ledcalc import photons as photons
from ledcalc import picture as picture
from ledcalc import ppfd as ppfd
from ledcalc import records as records
from ledcalc import report as report
from ledcalc import results as results
from ledcalc import schema as schema
from ledcalc import streams as streams
from ledcalc import tables as tables
from ledcalc import units as units
from ledcalc import variants as variants
from ledcalc import wiring as wiring
from ledcalc import workbook as workbook
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
from ledcalc.evaluation.evaluate import evaluate
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
from ledcalc.variants import Variant, evaluate_many
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
