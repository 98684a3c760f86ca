"""Bench readings: what a meter's reading is worth, and what a log of currents says."""

from ledcalc.bench.air_rise import TemperatureRises, referred_temperature, temperature_rises
from ledcalc.bench.approach_fit import ApproachFit, fit_approach
from ledcalc.bench.approach_profile import Interval
from ledcalc.bench.board_judgement import BoardJudgement, BoardLevel
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.dial_fit import DialLine, DialSetting, dial_line
from ledcalc.bench.drifting import BoardDrift, board_drift
from ledcalc.bench.hogging import BoardFeedback, Hogging, hogging_test
from ledcalc.bench.line_fit import LineFit, straight_line
from ledcalc.bench.log_judgement import LogJudgement, judge_log
from ledcalc.bench.log_remark import LogRemark
from ledcalc.bench.log_sentences import judgement_sentences
from ledcalc.bench.mains_side import MainsMeasured, mains_measured
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.bench.meters import meter_half_width
from ledcalc.bench.rated_boards import RatedBoards, RatingVerdict
from ledcalc.bench.rating_remedies import (
    BoardsToAdd,
    CurrentSetting,
    VoltageCeiling,
    boards_to_add,
    current_setting_for_rating,
    voltage_ceiling_for_rating,
)
from ledcalc.bench.reading_worth import NextReading, next_reading
from ledcalc.bench.rounds import LogRounds, log_rounds
from ledcalc.bench.settle import Settling, settling
from ledcalc.bench.sharing import LogShares, log_shares
from ledcalc.bench.sum_check import BranchSum, branch_sum
from ledcalc.bench.supply_readings import SupplyReadings

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
