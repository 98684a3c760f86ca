"""The light field, and light as it was read."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc import bench
from ledcalc.arguments import FloatArray
from ledcalc.photons import GridStatistics

__all__ = ["LightResults", "LightSurvey"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightResults:
    """The light field over the crop: ``ppfd_umol_m2_s`` has a row a map row (y) and a column a map column (x).

    ``x_m`` and ``y_m`` count from the crop area's corner; ``basis`` says what the field rests on. Field, statistics,
    dose and canopy flux are of all ``in_room_count`` fixtures, and so are utilisation and canopy efficacy: over the
    flux and the power of all. ``photon_flux_umol_s`` and the DC and AC efficacies are this fixture's.
    """

    x_m: FloatArray
    y_m: FloatArray
    ppfd_umol_m2_s: FloatArray
    statistics: GridStatistics
    basis: str
    photon_flux_umol_s: float
    in_room_count: int
    room_photon_flux_umol_s: float
    canopy_flux_umol_s: float
    utilisation_fraction: float
    dli_mean_mol_m2_d: float
    dli_minimum_mol_m2_d: float
    dli_maximum_mol_m2_d: float
    dc_efficacy_umol_per_j: float
    ac_efficacy_umol_per_j: float
    canopy_efficacy_umol_per_j: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSurvey:
    """One set of light readings at one height and date, its statistics, and what the model predicts at those points.

    Readings are corrected as the Surveys sheet states; those outside the crop are left out. ``rows`` are the kept ones'
    places among ``taken_readings``, from 0; ``sensor`` says with what they were taken (empty: not one sensor whose
    accuracy is given); ``conditions`` under what, where not as the fixture is set: the prediction is for them, and NaN
    where there is no steady state. ``judgement`` is what the readings say by themselves, ``over_prediction`` the mean
    of those that are no outliers over the prediction's at the same points.
    """

    survey: str
    height_m: float
    taken_on: str
    sensor: str
    conditions: str
    rows: tuple[int, ...]
    measured: bench.MeasuredMap
    judgement: bench.MapJudgement
    over_prediction: bench.Estimate
    x_m: FloatArray
    y_m: FloatArray
    ppfd_umol_m2_s: FloatArray
    half_width_umol_m2_s: FloatArray
    predicted_umol_m2_s: FloatArray
    statistics: GridStatistics
    predicted_mean_umol_m2_s: float
