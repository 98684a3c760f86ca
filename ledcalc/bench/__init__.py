"""Bench readings: what a meter's reading is worth, and what a map of light readings says.

What most evaluations never ask for loads when it is asked for; ``__init__.pyi`` has every name with its type.
"""

from importlib import import_module
from typing import Any

from ledcalc.bench.meters import meter_half_width

# Module -> the names that it is loaded for.
LATER = {
    "averages": ("MapMeans", "RingMeans", "map_means", "ring_means"),
    "coverage": ("coverage_half_width",),
    "dips": ("DipVerdict", "judged_dip"),
    "estimates": ("Estimate", "UncertaintyPart"),
    "figures": ("figure_text", "last_digit"),
    "height_limits": ("DipLimits", "dip_limits"),
    "lopsided": ("MapShape", "map_shape"),
    "map_canopy": ("CanopyFigures", "canopy_figures"),
    "map_forms": ("RingReadings", "map_from_block", "map_from_rings"),
    "map_judgement": ("MapJudgement", "judged_map", "mean_over"),
    "odd_readings": ("MapNote",),
    "sensors": ("CommonError", "QuantumSensor", "ReadingErrors"),
    "survey_map": ("MeasuredMap", "measured_map", "without"),
    "suspects": ("SuspectReading", "Suspects", "suspect_readings"),
    "transcription": ("Slip", "likely_slips"),
    "uncertainty": ("combined_uncertainty", "coverage_factor", "effective_degrees_of_freedom", "standard_uncertainty"),
}
_MODULE_OF = {name: module for module, names in LATER.items() for name in names}

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


def __getattr__(name: str) -> Any:
    """Load what is not loaded yet."""
    if name in _MODULE_OF:
        return getattr(import_module(f"ledcalc.bench.{_MODULE_OF[name]}"), name)
    raise AttributeError(f"module 'ledcalc.bench' has no attribute {name!r}")
