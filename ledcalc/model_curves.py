"""Curves of a board model from its rows: voltage by points or by a diode, photon flux, beam, spectrum, maintenance."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from ledcalc.circuit import BoardCurve
from ledcalc.fixture import BeamPoint, BoardModel, BoardPoint, MaintenancePoint, SpectrumPoint
from ledcalc.photons import Beam, BoardFlux, MaintenanceTest, Spectrum, tm21_fit

__all__ = ["beam_of", "curve_of", "flux_of", "maintenance_tests", "photons_per_joule_of", "spectrum_of"]

# Tested where a maintenance table does not say: what a test of full length of projection asks for.
USUAL_UNITS_COUNT = 20


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
    """Return a model's photon flux as it was found; points at other temperatures give its coefficient, by least
    squares."""
    reference, coefficient = model.reference_temperature_c, model.flux_coefficient_fraction_per_k
    warmer = np.array(_temperatures(model, points)) - reference
    current = np.array([point.current_a for point in points])
    flux = model.flux_fraction * np.array([point.photon_flux_umol_s for point in points])
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


def beam_of(model: BoardModel, rows: tuple[BeamPoint, ...]) -> Beam | None:
    """Return a model's beam by its table, kept; None where its exponent says it."""
    return None if model.beam is None else _beam_of_same(model.beam, _Same(rows))


class _Same:
    """Rows known by being the very same ones: to compare thousands anew for every board takes longer than the light."""

    __slots__ = ("rows",)

    def __init__(self, rows: tuple[BeamPoint, ...]) -> None:
        self.rows = rows

    def __hash__(self) -> int:
        return id(self.rows)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.rows is self.rows


@lru_cache(maxsize=64)
def _beam_of_same(tag: str, same: _Same) -> Beam:
    return _beam_of_equal(tag, same.rows)


@lru_cache(maxsize=64)
def _beam_of_equal(tag: str, rows: tuple[BeamPoint, ...]) -> Beam:
    planes: dict[float, list[BeamPoint]] = {}
    for row in rows:
        if row.tag == tag:
            planes.setdefault(row.plane_deg or 0.0, []).append(row)
    order = sorted(planes)
    angles = [row.angle_deg for row in planes[order[0]]]
    return Beam.tabulated(angles, order, [[row.intensity for row in planes[plane]] for plane in order])


@lru_cache(maxsize=64)
def spectrum_of(tag: str, rows: tuple[SpectrumPoint, ...]) -> Spectrum:
    """Return a spectrum by its rows."""
    own = [row for row in rows if row.tag == tag]
    return Spectrum.from_table([row.wavelength_nm for row in own], [row.value for row in own], name=tag)


@lru_cache(maxsize=64)
def maintenance_tests(tag: str, rows: tuple[MaintenancePoint, ...]) -> tuple[MaintenanceTest, ...]:
    """Return the fits of a maintenance table, coolest first; where it does not say how many units, the usual number."""
    own = [row for row in rows if row.tag == tag]
    found = []
    for celsius in sorted({row.temperature_c for row in own}):
        readings = [row for row in own if row.temperature_c == celsius]
        units = next((row.units_count for row in readings if row.units_count is not None), USUAL_UNITS_COUNT)
        fit = tm21_fit(
            [row.elapsed_h for row in readings],
            [row.flux_fraction for row in readings],
            unit_count=units,
            flux="photon flux",
        )
        found.append(MaintenanceTest(temperature_c=celsius, unit_count=units, fit=fit))
    return tuple(found)


@lru_cache(maxsize=64)
def photons_per_joule_of(model: BoardModel, rows: tuple[SpectrumPoint, ...]) -> float:
    """Return the photons, 400 to 700 nm, in a joule of a model's light: by its spectrum, else as stated."""
    if model.spectrum is None:
        return model.photons_per_joule_umol_per_j
    spectrum = spectrum_of(model.spectrum, rows)
    return spectrum.photon_flux_umol_s(400.0, 700.0) / spectrum.radiant_flux_w()
