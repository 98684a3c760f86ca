"""Curves of a board model from its rows: voltage by points at one or several temperatures or by a diode, and light."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from ledcalc.circuit import BoardCurve
from ledcalc.fixture import BoardModel, BoardPoint
from ledcalc.photons import BoardFlux

__all__ = ["curve_of", "flux_of"]


@lru_cache(maxsize=64)
def curve_of(model: BoardModel, points: tuple[BoardPoint, ...]) -> BoardCurve:
    """Return a model's curve, kept: variants of one fixture mostly share it, and what is derived from it."""
    reference, coefficient = model.reference_temperature_c, model.voltage_coefficient_v_per_k
    if model.diode_slope_v is not None:
        return BoardCurve.from_diode(
            model.diode_slope_v,
            float(model.diode_saturation_current_a or 0.0),
            float(model.diode_series_resistance_ohm or 0.0),
            reference_temperature_c=reference,
            voltage_coefficient_v_per_k=coefficient,
        )
    current, voltage = [point.current_a for point in points], [point.voltage_v for point in points]
    warm = _temperatures(model, points)
    if any(at != reference for at in warm):
        return BoardCurve.from_points_at_temperatures(current, voltage, warm, reference_temperature_c=reference)
    return BoardCurve.from_points(
        current, voltage, reference_temperature_c=reference, voltage_coefficient_v_per_k=coefficient
    )


@lru_cache(maxsize=64)
def flux_of(model: BoardModel, points: tuple[BoardPoint, ...]) -> BoardFlux:
    """Return a model's photon flux; points at other temperatures give its coefficient, by least squares."""
    reference, coefficient = model.reference_temperature_c, model.flux_coefficient_fraction_per_k
    warmer = np.array(_temperatures(model, points)) - reference
    current = np.array([point.current_a for point in points])
    flux = np.array([point.photon_flux_umol_s for point in points])
    at = warmer == 0
    curve = BoardFlux.from_points(
        current[at], flux[at], reference_temperature_c=reference, flux_coefficient_fraction_per_k=coefficient
    )
    if at.all():
        return curve
    lost = flux[~at] / curve.flux(current[~at]) - 1.0
    fitted = float(warmer[~at] @ lost / (warmer[~at] @ warmer[~at]))
    return BoardFlux.from_points(
        current[at], flux[at], reference_temperature_c=reference, flux_coefficient_fraction_per_k=min(fitted, 0.0)
    )


def _temperatures(model: BoardModel, points: tuple[BoardPoint, ...]) -> list[float]:
    reference = model.reference_temperature_c
    return [reference if point.temperature_c is None else point.temperature_c for point in points]
