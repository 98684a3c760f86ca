"""Bench readings: what a meter's reading is worth, and what a log of currents says.

What most evaluations never ask for loads when it is asked for; ``__init__.pyi`` has every name with its type.
"""

from importlib import import_module
from typing import Any

from ledcalc.bench.meters import meter_half_width

# Module -> the names that it is loaded for.
LATER = {
    "air_rise": ("TemperatureRises", "referred_temperature", "temperature_rises"),
    "approach_fit": ("ApproachFit", "fit_approach"),
    "approach_profile": ("Interval",),
    "board_judgement": ("BoardJudgement", "BoardLevel"),
    "current_log": ("CurrentLog",),
    "dial_fit": ("DialLine", "DialSetting", "dial_line"),
    "drifting": ("BoardDrift", "board_drift"),
    "hogging": ("BoardFeedback", "Hogging", "hogging_test"),
    "line_fit": ("LineFit", "straight_line"),
    "log_judgement": ("LogJudgement", "judge_log"),
    "log_remark": ("LogRemark",),
    "log_sentences": ("judgement_sentences",),
    "mains_side": ("MainsMeasured", "mains_measured"),
    "meter_noise": ("MeterNoise",),
    "rated_boards": ("RatedBoards", "RatingVerdict"),
    "rating_remedies": (
        "BoardsToAdd",
        "CurrentSetting",
        "VoltageCeiling",
        "boards_to_add",
        "current_setting_for_rating",
        "voltage_ceiling_for_rating",
    ),
    "reading_worth": ("NextReading", "next_reading"),
    "rounds": ("LogRounds", "log_rounds"),
    "settle": ("Settling", "settling"),
    "sharing": ("LogShares", "log_shares"),
    "sum_check": ("BranchSum", "branch_sum"),
    "supply_readings": ("SupplyReadings",),
}
_MODULE_OF = {name: module for module, names in LATER.items() for name in names}

__all__ = [
    "ApproachFit",
    "BoardDrift",
    "BoardFeedback",
    "BoardJudgement",
    "BoardLevel",
    "BoardsToAdd",
    "BranchSum",
    "CurrentLog",
    "CurrentSetting",
    "DialLine",
    "DialSetting",
    "Hogging",
    "Interval",
    "LineFit",
    "LogJudgement",
    "LogRemark",
    "LogRounds",
    "LogShares",
    "MainsMeasured",
    "MeterNoise",
    "NextReading",
    "RatedBoards",
    "RatingVerdict",
    "Settling",
    "SupplyReadings",
    "TemperatureRises",
    "VoltageCeiling",
    "board_drift",
    "boards_to_add",
    "branch_sum",
    "current_setting_for_rating",
    "dial_line",
    "fit_approach",
    "hogging_test",
    "judge_log",
    "judgement_sentences",
    "log_rounds",
    "log_shares",
    "mains_measured",
    "meter_half_width",
    "next_reading",
    "referred_temperature",
    "settling",
    "straight_line",
    "temperature_rises",
    "voltage_ceiling_for_rating",
]


def __getattr__(name: str) -> Any:
    """Load what is not loaded yet."""
    if name in _MODULE_OF:
        return getattr(import_module(f"ledcalc.bench.{_MODULE_OF[name]}"), name)
    raise AttributeError(f"module 'ledcalc.bench' has no attribute {name!r}")
