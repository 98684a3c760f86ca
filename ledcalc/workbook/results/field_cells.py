"""Light readings as cells of a map: where they lie on a grid as they were read, else as the field fitted to them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench import without
from ledcalc.bench.map_fit import map_fit
from ledcalc.results import Evaluation, LightSurvey

__all__ = ["AS_READ", "FieldCells", "counted", "field_cells", "is_corrected"]

AS_READ = "as read"
PLACE_STEP_M = 1e-3
# Readings that fill less of their grid than this, or fewer than so many each way, are no grid.
FILLED, FEWEST = 0.6, 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldCells:
    """Fields over the crop, umol m-2 s-1: a row a y, a column an x.

    ``ordinary`` is ``measured`` with suspects blank (NaN); ``predicted`` None where it is not known there.
    """

    x_m: FloatArray
    y_m: FloatArray
    measured: FloatArray
    ordinary: FloatArray
    predicted: FloatArray | None
    words: str


def counted(count: int) -> str:
    """Return a number of readings in words."""
    return f"{count} reading{'' if count == 1 else 's'}"


def is_corrected(survey: LightSurvey) -> bool:
    """Return whether the readings are not as the sensor showed them."""
    return not np.array_equal(survey.ppfd_umol_m2_s, survey.measured.raw_umol_m2_s)


def field_cells(results: Evaluation, survey: LightSurvey) -> FieldCells | None:
    """Return a survey's maps; None where its readings make none."""
    return _as_read(survey) or _as_fitted(results, survey)


def _as_read(survey: LightSurvey) -> FieldCells | None:
    x, column = np.unique(np.round(survey.x_m / PLACE_STEP_M), return_inverse=True)
    y, row = np.unique(np.round(survey.y_m / PLACE_STEP_M), return_inverse=True)
    counts = np.zeros((y.size, x.size))
    np.add.at(counts, (row, column), 1.0)
    if min(x.size, y.size) < FEWEST or np.count_nonzero(counts) < FILLED * counts.size:
        return None

    def cells(values: FloatArray) -> FloatArray:
        sums = np.zeros_like(counts)
        np.add.at(sums, (row, column), values)
        return np.where(counts > 0, sums / np.maximum(counts, 1.0), np.nan)

    suspect = np.isin(np.arange(survey.ppfd_umol_m2_s.size), survey.judgement.outliers)
    predicted = cells(survey.predicted_umol_m2_s)
    return FieldCells(
        x_m=x * PLACE_STEP_M,
        y_m=y * PLACE_STEP_M,
        measured=cells(survey.ppfd_umol_m2_s),
        ordinary=cells(np.where(suspect, np.nan, survey.ppfd_umol_m2_s)),
        predicted=None if np.isnan(survey.predicted_umol_m2_s).any() else predicted,
        words=AS_READ,
    )


def _as_fitted(results: Evaluation, survey: LightSurvey) -> FieldCells | None:
    surface = map_fit(without(survey.measured, *survey.judgement.outliers)).surface
    if surface.kind != "thin plate":
        return None
    light = results.light
    x, y = np.meshgrid(light.x_m, light.y_m)
    field = surface.at(x, y)
    as_hung = survey.height_m == results.fixture.height_m and not survey.conditions
    return FieldCells(
        x_m=light.x_m,
        y_m=light.y_m,
        measured=field,
        ordinary=field,
        predicted=light.ppfd_umol_m2_s if as_hung else None,
        words="as fitted between the readings",
    )
