"""A measured map with the field fitted to it: how errors of readings become those of a figure drawn from them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench.estimates import Estimate, UncertaintyPart
from ledcalc.bench.sensors import ReadingErrors
from ledcalc.bench.surface import Surface, fitted_surface
from ledcalc.bench.survey_map import MeasuredMap

__all__ = ["MapFit", "map_fit"]

SLOPE_STEP_M = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapFit:
    """A map, the field fitted to it, and its readings' errors (placement counted by the field's slope)."""

    measured: MeasuredMap
    surface: Surface
    errors: ReadingErrors

    def estimate(self, value: float, reading_weights: FloatArray, sampling_uncertainty: float = 0.0) -> Estimate:
        """Return a figure that changes by ``reading_weights`` per unit of each reading, with its uncertainty.

        Errors in common are added over readings with their signs, noise and the error between readings by squares.
        """
        surface = self.surface
        noise = float(np.hypot.reduce(reading_weights * self.errors.noise_umol_m2_s * surface.noise_factor))
        left = float(max(surface.degrees_of_freedom, 1))
        freedom = np.inf if surface.noise_factor == 1.0 else left
        parts = [UncertaintyPart(name="noise", standard_uncertainty=noise, degrees_of_freedom=freedom)]
        for common in self.errors.common:
            size = abs(float(reading_weights @ common.standard_uncertainty_umol_m2_s))
            parts.append(UncertaintyPart(name=common.name, standard_uncertainty=size, shape=common.shape))
        if sampling_uncertainty > 0:
            sampling = UncertaintyPart(
                name="between readings", standard_uncertainty=sampling_uncertainty, degrees_of_freedom=left
            )
            parts.append(sampling)
        return Estimate(value=value, parts=tuple(parts), missing=self._missing())

    def ratio(self, upper: FloatArray, lower: FloatArray, sampling_uncertainty: float = 0.0) -> Estimate:
        """Return one weighted sum of readings over another; errors in common cancel where in proportion to readings."""
        below = float(lower @ self.measured.ppfd)
        if below <= 0:
            return Estimate(value=float("nan"), parts=(), missing="no light to compare with")
        value = float(upper @ self.measured.ppfd) / below
        return self.estimate(value, (upper - value * lower) / below, sampling_uncertainty)

    def area_share(self, weights: FloatArray) -> Estimate:
        """Return the average over the area of the field times weights (one a node), over the field's mean."""
        mean = self.surface.average().value
        if mean <= 0:
            return Estimate(value=float("nan"), parts=(), missing="no light to compare with")
        value = self.surface.average(weights).value / mean
        slope = self.surface.average((weights - value) / mean)
        return self.estimate(value, slope.reading_weights, slope.sampling_uncertainty)

    def _missing(self) -> str:
        if self.surface.degrees_of_freedom < 1:
            return "one reading says nothing of what lies about it"
        return ""


def map_fit(measured: MeasuredMap, *, kind: str | None = None, mirrored: bool = False) -> MapFit:
    """Return a map with a field fitted to it; ``kind`` and ``mirrored`` as ``fitted_surface``."""
    errors = measured.errors()
    surface = _surface(measured, errors.noise_umol_m2_s, kind, mirrored)
    placement = 0.0 if measured.sensor is None else measured.sensor.placement_m
    if placement:
        # Limits of a placing error along x and along y, through the field's slope there.
        slope = np.hypot(*(_rise(surface, measured, along) for along in ((1.0, 0.0), (0.0, 1.0))))
        noise = np.hypot(errors.noise_umol_m2_s, slope * placement / np.sqrt(3.0))
        errors = ReadingErrors(noise_umol_m2_s=noise, common=errors.common)
        surface = _surface(measured, noise, kind, mirrored)
    return MapFit(measured=measured, surface=surface, errors=errors)


def _surface(measured: MeasuredMap, noise: FloatArray, kind: str | None, mirrored: bool) -> Surface:
    return fitted_surface(
        measured.x_m,
        measured.y_m,
        measured.ppfd,
        noise,
        area_m=measured.area_m,
        centre_m=measured.centre_m,
        kind=kind,
        mirrored=mirrored,
    )


def _rise(surface: Surface, measured: MeasuredMap, along: tuple[float, float]) -> FloatArray:
    step = np.array(along) * SLOPE_STEP_M
    ahead = surface.at(measured.x_m + step[0], measured.y_m + step[1])
    behind = surface.at(measured.x_m - step[0], measured.y_m - step[1])
    return np.asarray((ahead - behind) / (2.0 * SLOPE_STEP_M))
