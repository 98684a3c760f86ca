"""All that one measured map says, by itself and beside a prediction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers
from ledcalc.bench.averages import MapMeans, map_means
from ledcalc.bench.estimates import Estimate, UncertaintyPart
from ledcalc.bench.lopsided import MapShape, map_shape
from ledcalc.bench.survey_map import MeasuredMap, without
from ledcalc.bench.suspects import Suspects, suspect_readings
from ledcalc.errors import ArgumentError

__all__ = ["MapJudgement", "judged_map", "mean_over"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapJudgement:
    """A map's means as read, and its suspects; means and shape without ``outliers`` (readings from 0)."""

    means: MapMeans
    suspects: Suspects
    outliers: tuple[int, ...]
    kept_means: MapMeans
    shape: MapShape


def judged_map(measured: MeasuredMap, *, others: Sequence[MeasuredMap] = ()) -> MapJudgement:
    """Return what a map says.

    Parameters
    ----------
    measured : a ``MeasuredMap``
    others : maps of the same area at other heights or dates: what is there again is real

    Examples
    --------
    >>> from ledcalc.bench import map_from_block
    >>> found = judged_map(map_from_block("700 780 710\\n790 85 775\\n705 785 695", area_m=(0.9, 0.9)))
    >>> found.outliers, round(found.means.plain.value), round(found.kept_means.plain.value)
    ((4,), 669, 742)
    """
    suspects = suspect_readings(measured, others=others)
    outliers = tuple(sorted(one.index for one in suspects.readings if one.verdict == "outlier"))
    means = map_means(measured)
    kept = without(measured, *outliers)
    return MapJudgement(
        means=means,
        suspects=suspects,
        outliers=outliers,
        kept_means=map_means(kept) if outliers else means,
        shape=map_shape(kept),
    )


def mean_over(measured: MeasuredMap, expected_ppfd: ArrayLike) -> Estimate:
    """Return the mean of a map's readings over that of what was expected at the same places, taken as exact.

    Parameters
    ----------
    measured : a ``MeasuredMap``
    expected_ppfd : umol m-2 s-1, at least 0, one a reading

    Returns
    -------
    Estimate: nothing between readings counts, for both are means of the same places; readings scatter about the
    expectation by the sensor's noise, or by what they are seen to, whichever is more

    Raises
    ------
    ArgumentError (a ValueError): an expectation that does not fit the map

    Examples
    --------
    >>> from ledcalc.bench import QuantumSensor, map_from_block
    >>> sensor = QuantumSensor(calibration_fraction=0.05, noise_fraction=0.01)
    >>> mean_over(map_from_block("700 780\\n790 850", area_m=(1, 1), sensor=sensor), [720, 800, 800, 870]).text()
    '0.978 +- 0.048'
    """
    expected = np.ravel(numbers("expected_ppfd", expected_ppfd, at_least=0))
    count = measured.ppfd.size
    if expected.size != count:
        raise ArgumentError("expected_ppfd", expected.size, f"one for each of {count} readings")
    level = float(expected.mean())
    if level <= 0:
        return Estimate(value=float("nan"), parts=(), missing="no light is expected")
    ratio, errors = float(measured.ppfd.mean()) / level, measured.errors()
    left = measured.ppfd - ratio * expected
    scatter = float(np.sqrt(left @ left / (count - 1))) if count > 1 else 0.0
    stated = float(np.sqrt(np.mean(errors.noise_umol_m2_s**2)))
    parts = [
        UncertaintyPart(
            name="scatter",
            standard_uncertainty=max(stated, scatter) / (level * np.sqrt(count)),
            degrees_of_freedom=count - 1 if scatter > stated else np.inf,
        )
    ]
    for common in errors.common:
        size = float(common.standard_uncertainty_umol_m2_s.mean()) / level
        parts.append(UncertaintyPart(name=common.name, standard_uncertainty=size, shape=common.shape))
    return Estimate(value=ratio, parts=tuple(parts))
