"""Bench readings: what a meter's reading is worth, and what a map of light readings says."""

from ledcalc.bench.averages import MapMeans, RingMeans, map_means, ring_means
from ledcalc.bench.coverage import coverage_half_width
from ledcalc.bench.dips import DipVerdict, judged_dip
from ledcalc.bench.estimates import Estimate, UncertaintyPart
from ledcalc.bench.figures import figure_text, last_digit
from ledcalc.bench.height_limits import DipLimits, dip_limits
from ledcalc.bench.lopsided import MapShape, map_shape
from ledcalc.bench.map_canopy import CanopyFigures, canopy_figures
from ledcalc.bench.map_forms import RingReadings, map_from_block, map_from_rings
from ledcalc.bench.map_judgement import MapJudgement, judged_map, mean_over
from ledcalc.bench.meters import meter_half_width
from ledcalc.bench.odd_readings import MapNote
from ledcalc.bench.sensors import CommonError, QuantumSensor, ReadingErrors
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
    "CanopyFigures",
    "CommonError",
    "DipLimits",
    "DipVerdict",
    "Estimate",
    "MapJudgement",
    "MapMeans",
    "MapNote",
    "MapShape",
    "MeasuredMap",
    "QuantumSensor",
    "ReadingErrors",
    "RingMeans",
    "RingReadings",
    "Slip",
    "SuspectReading",
    "Suspects",
    "UncertaintyPart",
    "canopy_figures",
    "combined_uncertainty",
    "coverage_factor",
    "coverage_half_width",
    "dip_limits",
    "effective_degrees_of_freedom",
    "figure_text",
    "judged_dip",
    "judged_map",
    "last_digit",
    "likely_slips",
    "map_from_block",
    "map_from_rings",
    "map_means",
    "map_shape",
    "mean_over",
    "measured_map",
    "meter_half_width",
    "ring_means",
    "standard_uncertainty",
    "suspect_readings",
    "without",
]
