"""Bench readings: what a meter's reading is worth, what a log of currents says, and what a map of light says."""

from ledcalc.bench.air_rise import TemperatureRises, referred_temperature, temperature_rises
from ledcalc.bench.approach_fit import ApproachFit, fit_approach
from ledcalc.bench.approach_profile import Interval
from ledcalc.bench.averages import MapMeans, RingMeans, map_means, ring_means
from ledcalc.bench.board_judgement import BoardJudgement, BoardLevel
from ledcalc.bench.coverage import coverage_half_width
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.dial_fit import DialLine, DialSetting, dial_line
from ledcalc.bench.dips import DipVerdict, judged_dip
from ledcalc.bench.drifting import BoardDrift, board_drift
from ledcalc.bench.estimates import Estimate, UncertaintyPart
from ledcalc.bench.figures import figure_text, last_digit
from ledcalc.bench.height_limits import DipLimits, dip_limits
from ledcalc.bench.hogging import BoardFeedback, Hogging, hogging_test
from ledcalc.bench.line_fit import LineFit, straight_line
from ledcalc.bench.log_judgement import LogJudgement, judge_log
from ledcalc.bench.log_remark import LogRemark
from ledcalc.bench.log_sentences import judgement_sentences
from ledcalc.bench.lopsided import MapShape, map_shape
from ledcalc.bench.mains_side import MainsMeasured, mains_measured
from ledcalc.bench.map_canopy import CanopyFigures, canopy_figures
from ledcalc.bench.map_forms import RingReadings, map_from_block, map_from_rings
from ledcalc.bench.map_judgement import MapJudgement, judged_map, mean_over
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.bench.meters import meter_half_width
from ledcalc.bench.odd_readings import MapNote
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
from ledcalc.bench.sensors import CommonError, QuantumSensor, ReadingErrors
from ledcalc.bench.settle import Settling, settling
from ledcalc.bench.sharing import LogShares, log_shares
from ledcalc.bench.sum_check import BranchSum, branch_sum
from ledcalc.bench.supply_readings import SupplyReadings
from ledcalc.bench.survey_map import MeasuredMap, measured_map, without
from ledcalc.bench.suspects import SuspectReading, Suspects, suspect_readings
from ledcalc.bench.transcription import Slip, likely_slips
from ledcalc.bench.uncertainty import (
    combined_uncertainty,
    coverage_factor,
    effective_degrees_of_freedom,
    standard_uncertainty,
)

__all__ = [
    "ApproachFit",
    "BoardDrift",
    "BoardFeedback",
    "BoardJudgement",
    "BoardLevel",
    "BoardsToAdd",
    "BranchSum",
    "CanopyFigures",
    "CommonError",
    "CurrentLog",
    "CurrentSetting",
    "DialLine",
    "DialSetting",
    "DipLimits",
    "DipVerdict",
    "Estimate",
    "Hogging",
    "Interval",
    "LineFit",
    "LogJudgement",
    "LogRemark",
    "LogRounds",
    "LogShares",
    "MainsMeasured",
    "MapJudgement",
    "MapMeans",
    "MapNote",
    "MapShape",
    "MeasuredMap",
    "MeterNoise",
    "NextReading",
    "QuantumSensor",
    "RatedBoards",
    "RatingVerdict",
    "ReadingErrors",
    "RingMeans",
    "RingReadings",
    "Settling",
    "Slip",
    "SupplyReadings",
    "SuspectReading",
    "Suspects",
    "TemperatureRises",
    "UncertaintyPart",
    "VoltageCeiling",
    "board_drift",
    "boards_to_add",
    "branch_sum",
    "canopy_figures",
    "combined_uncertainty",
    "coverage_factor",
    "coverage_half_width",
    "current_setting_for_rating",
    "dial_line",
    "dip_limits",
    "effective_degrees_of_freedom",
    "figure_text",
    "fit_approach",
    "hogging_test",
    "judge_log",
    "judged_dip",
    "judged_map",
    "judgement_sentences",
    "last_digit",
    "likely_slips",
    "log_rounds",
    "log_shares",
    "mains_measured",
    "map_from_block",
    "map_from_rings",
    "map_means",
    "map_shape",
    "mean_over",
    "measured_map",
    "meter_half_width",
    "next_reading",
    "referred_temperature",
    "ring_means",
    "settling",
    "standard_uncertainty",
    "straight_line",
    "suspect_readings",
    "temperature_rises",
    "voltage_ceiling_for_rating",
    "without",
]
