"""Means of a measured map: plain, area-weighted, fitted; ring means; lowest over mean; each with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.estimates import Estimate
from ledcalc.bench.map_fit import MapFit, map_fit
from ledcalc.bench.survey_map import MeasuredMap
from ledcalc.ppfd.statistics import GridStatistics, ppfd_grid_statistics, ring_members

__all__ = ["MapMeans", "RingMeans", "map_means", "ring_means"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapMeans:
    """Means of a map, umol m-2 s-1, and how even it is.

    ``plain`` is the readings' mean, ``area_weighted`` weighs each by its share of the area, ``fitted`` is the mean of
    the field fitted to them: of the three usually the nearest to the area's true mean, which all three are meant for.
    ``min_over_mean`` is the lowest reading over the plain mean, at these places: it depends on the grid, so print the
    grid with it. ``fit`` says what was fitted and why; ``basis`` what the uncertainty rests on;
    ``noise_factor`` how many times the stated noise the readings scatter by.
    """

    plain: Estimate
    area_weighted: Estimate
    fitted: Estimate
    min_over_mean: Estimate
    statistics: GridStatistics
    fit: str
    basis: str
    noise_factor: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RingMeans:
    """Means over square rings, an entry a ring: of the readings on it, and over the area's fitted mean."""

    sides_m: FloatArray
    counts: tuple[int, ...]
    means: tuple[Estimate, ...]
    over_mean: tuple[Estimate, ...]


def map_means(measured: MeasuredMap, *, kind: str | None = None) -> MapMeans:
    """Return a map's means and evenness, with uncertainties.

    Parameters
    ----------
    measured : a ``MeasuredMap``
    kind : what is fitted: "thin plate", "quadratic", "plane" or "constant"; None: by the count of readings. With too
        few for it a simpler one is taken, and ``fit`` says so.

    Returns
    -------
    MapMeans

    Validity
    --------
    Noise averages out over readings, calibration and the like do not. The error between readings is that of the fit
    (how far the field may bend between them, judged by how it bends from one to the next); for the plain and the
    area-weighted mean their distance from the fitted one is added, as what they are off by.

    References
    ----------
    Linear combinations as JCGM 100:2008 (GUM) 5.2; the mean of a field between readings as in block kriging (Cressie,
    Statistics for Spatial Data, 1993, from memory).

    Examples
    --------
    >>> from ledcalc.bench import QuantumSensor, map_from_block
    >>> sensor = QuantumSensor(calibration_fraction=0.05, noise_fraction=0.01)
    >>> survey = map_from_block("700 780 710\\n790 850 775\\n705 785 695", area_m=(0.9, 0.9), sensor=sensor)
    >>> means = map_means(survey)
    >>> means.fitted.text("umol m-2 s-1"), means.min_over_mean.text()
    ('750 +- 42 umol m-2 s-1', '0.921 +- 0.017')
    """
    fit = map_fit(measured, kind=kind)
    table = _statistics(measured)
    over = fit.surface.average()
    fitted = fit.estimate(over.value, over.reading_weights, over.sampling_uncertainty)
    even = np.full(measured.ppfd.size, 1.0 / measured.ppfd.size)
    lowest = np.zeros(measured.ppfd.size)
    lowest[int(measured.ppfd.argmin())] = 1.0
    return MapMeans(
        plain=_weighted(fit, even, over.value, over.sampling_uncertainty),
        area_weighted=_weighted(fit, table.area_weights, over.value, over.sampling_uncertainty),
        fitted=fitted,
        min_over_mean=fit.ratio(lowest, even),
        statistics=table,
        fit=fit.surface.reason,
        basis=_basis(measured),
        noise_factor=fit.surface.noise_factor,
    )


def ring_means(measured: MeasuredMap, ring_sides_m: ArrayLike, *, ring_tolerance_m: float = 0.08) -> RingMeans:
    """Return means over square rings about the area's middle, with uncertainties.

    Parameters
    ----------
    measured : a ``MeasuredMap``
    ring_sides_m : m, above 0: full sides
    ring_tolerance_m : m, at least 0: how far off its ring a reading may lie

    Returns
    -------
    RingMeans; an empty ring's figures are NaN, with the reason

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Of the readings on the ring, at their places. Over the mean, errors that the sensor carries through all readings
    cancel as far as they are in proportion to the reading.
    """
    sides = np.ravel(numbers("ring_sides_m", ring_sides_m, above=0))
    tolerance = float(numbers("ring_tolerance_m", ring_tolerance_m, at_least=0))
    off_x, off_y = measured.x_m - measured.centre_m[0], measured.y_m - measured.centre_m[1]
    member = ring_members(np.maximum(np.abs(off_x), np.abs(off_y)), sides, tolerance)
    fit = map_fit(measured)
    over = fit.surface.average()
    means, shares = [], []
    for row in member:
        if not row.any():
            empty = Estimate(value=float("nan"), parts=(), missing="no reading on this ring")
            means.append(empty)
            shares.append(empty)
            continue
        weights = row / row.sum()
        mean = float(weights @ measured.ppfd)
        share = mean / over.value
        slope = (weights - share * over.reading_weights) / over.value
        means.append(fit.estimate(mean, weights))
        shares.append(fit.estimate(share, slope, share * over.sampling_uncertainty / over.value))
    counts = tuple(int(count) for count in member.sum(axis=1))
    return RingMeans(sides_m=sides, counts=counts, means=tuple(means), over_mean=tuple(shares))


def _weighted(fit: MapFit, weights: FloatArray, fitted: float, sampling: float) -> Estimate:
    value = float(weights @ fit.measured.ppfd)
    return fit.estimate(value, weights, float(np.hypot(sampling, value - fitted)))


def _statistics(measured: MeasuredMap) -> GridStatistics:
    # A row or a single reading has a bounding rectangle without area, which cannot be given as one.
    area = measured.area_m if min(measured.area_m) > 0 else None
    return ppfd_grid_statistics(
        measured.x_m, measured.y_m, measured.ppfd, area_m=area, centre_m=measured.centre_m if area else None
    )


def _basis(measured: MeasuredMap) -> str:
    if measured.sensor is None:
        return "sensor not given: 2 % of noise assumed; its calibration, in common to all readings, is not counted"
    named = [common.name for common in measured.errors().common]
    return f"in common to all readings: {', '.join(named) or 'nothing stated'}; new at each: noise, digits, placement"
