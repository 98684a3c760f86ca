"""Meters of the inputs as light sensors, and logs less what their meters show at nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

# By the folder's name: what it holds of light sensors loads only where there are light readings.
from ledcalc import bench
from ledcalc.fixture import Fixture, Meter, SurveyCondition

__all__ = ["dark_reading", "light_sensor", "zeroed_logs"]


def light_sensor(condition: SurveyCondition | None, meter: Meter | None) -> bench.QuantumSensor | None:
    """Return a sensor with its errors as the Meters sheet states them and its corrections; None where nothing is known.

    Parameters
    ----------
    condition : under what the survey was taken
    meter : the sensor; None: not one whose accuracy is given
    """
    if meter is None and condition is None:
        return None
    sensor = bench.QuantumSensor()
    if meter is not None:
        cosine = {45.0: meter.cosine_45_fraction, 75.0: meter.cosine_75_fraction}
        stated = {angle: share for angle, share in cosine.items() if share is not None}
        sensor = bench.QuantumSensor(
            calibration_fraction=meter.accuracy_fraction,
            spectral_fraction=meter.spectral_fraction or 0.0,
            cosine_angles_deg=tuple(stated),
            cosine_fraction=tuple(stated.values()),
            counts=meter.accuracy_digits_count,
            resolution=meter.resolution,
        )
    return replace(
        sensor,
        correction_factor=1.0 if condition is None else condition.sensor_factor,
        zero_reading_umol_m2_s=dark_reading(condition, meter),
    )


def dark_reading(condition: SurveyCondition | None, meter: Meter | None) -> float:
    """Return what to take off every reading: what was read with the boards off, else the sensor's zero offset."""
    other = 0.0 if condition is None else condition.other_light_umol_m2_s
    return other or (0.0 if meter is None else meter.zero_offset)


def zeroed_logs(fixture: Fixture) -> Fixture:
    """Return a fixture whose logged currents and mains powers are less the zero offsets of the meters named."""
    offsets = {meter.tag: meter.zero_offset for meter in fixture.meters if meter.zero_offset}
    if not offsets:
        return fixture
    return replace(
        fixture,
        current_log=tuple(
            replace(row, current_a=_less(offsets, row.meter, row.current_a)) for row in fixture.current_log
        ),
        supply_log=tuple(
            replace(
                row,
                current_a=None if row.current_a is None else _less(offsets, row.meter, row.current_a),
                mains_power_w=None if row.mains_power_w is None else _less(offsets, row.power_meter, row.mains_power_w),
            )
            for row in fixture.supply_log
        ),
        dial_log=tuple(replace(row, current_a=_less(offsets, row.meter, row.current_a)) for row in fixture.dial_log),
    )


def _less(offsets: Mapping[str, float], tag: str | None, shown: float) -> float:
    return max(shown - offsets.get(tag or "", 0.0), 0.0)
