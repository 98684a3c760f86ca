"""A fixture fitted to what was measured on it, and predictions held against measurements."""

from ledcalc.calibrate.fitting import calibrate, predicted_against_measured
from ledcalc.calibrate.priors import Priors, usual_priors
from ledcalc.calibrate.results import (
    Calibration,
    Compared,
    Estimate,
    KindCompared,
    LeftOut,
    MapCompared,
    Unseparated,
)
from ledcalc.calibrate.words import text_of

__all__ = [
    "Calibration",
    "Compared",
    "Estimate",
    "KindCompared",
    "LeftOut",
    "MapCompared",
    "Priors",
    "Unseparated",
    "calibrate",
    "predicted_against_measured",
    "text_of",
    "usual_priors",
]
