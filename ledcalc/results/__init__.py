"""What ``evaluate`` gives back: frozen numbers, findings, assumptions, workings.

Arrays have an entry a board, a cable, a reading.
"""

from ledcalc.results.bench import LoggedBoards, Selection
from ledcalc.results.bench_log import LogSuspect, LogVerdict
from ledcalc.results.buying import LitSeason, PartLine, PeriodUse, Purchase
from ledcalc.results.electrical import BoardResults, OperatingPoint, WhatIf, WireResults
from ledcalc.results.layout import LayoutAdvice, LayoutFigures
from ledcalc.results.light import LightResults, LightSurvey
from ledcalc.results.mains import MainsResults
from ledcalc.results.over_time import AgeingResults, DimmedLight, LightPlanResults
from ledcalc.results.protection import ProtectionResults
from ledcalc.results.whole import SUMMARY_NAMES, Assumption, CostResults, Evaluation, Stamp, Working, summary_of

__all__ = [
    "SUMMARY_NAMES",
    "AgeingResults",
    "Assumption",
    "BoardResults",
    "CostResults",
    "DimmedLight",
    "Evaluation",
    "LayoutAdvice",
    "LayoutFigures",
    "LightPlanResults",
    "LightResults",
    "LightSurvey",
    "LitSeason",
    "LogSuspect",
    "LogVerdict",
    "LoggedBoards",
    "MainsResults",
    "OperatingPoint",
    "PartLine",
    "PeriodUse",
    "ProtectionResults",
    "Purchase",
    "Selection",
    "Stamp",
    "WhatIf",
    "WireResults",
    "Working",
    "summary_of",
]
