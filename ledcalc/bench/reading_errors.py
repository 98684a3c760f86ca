"""What the errors of readings make of a weighted sum of them: calibration common to a meter, the rest each its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.error_sums import half_width_of_sum
from ledcalc.bench.log_columns import IntArray
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.errors import ArgumentError

__all__ = ["ErrorParts", "MeterChoice", "Readings", "noise_of", "readings_with"]

MeterChoice = MeterNoise | Mapping[str, MeterNoise]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ErrorParts:
    """Independent parts of one error: half widths of the rectangular ones, standard deviation of the normal one."""

    half_widths: FloatArray
    standard: float = 0.0

    def half_width(self, confidence: float = 0.95) -> float:
        """Return how far the error reaches either way."""
        return half_width_of_sum(self.half_widths, self.standard, confidence)

    @property
    def standard_uncertainty(self) -> float:
        """Standard deviation of the whole error."""
        return float(np.sqrt((self.half_widths**2).sum() / 3.0 + self.standard**2))

    def with_(self, other: ErrorParts) -> ErrorParts:
        """Return the sum of two independent errors."""
        return ErrorParts(
            half_widths=np.concatenate([self.half_widths, other.half_widths]),
            standard=float(np.hypot(self.standard, other.standard)),
        )

    def scaled(self, factor: float) -> ErrorParts:
        """Return the error times a factor."""
        return ErrorParts(half_widths=self.half_widths * factor, standard=self.standard * factor)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readings:
    """Readings and the meters that they were taken with: ``meter_index`` an entry a reading, into ``noise``."""

    value: FloatArray
    noise: tuple[MeterNoise, ...]
    meter_index: IntArray

    def own_standard_uncertainty(self) -> FloatArray:
        """Return the standard uncertainty of what each reading errs by itself."""
        found = np.zeros(self.value.size)
        for index, noise in enumerate(self.noise):
            of_meter = self.meter_index == index
            found[of_meter] = noise.own_standard_uncertainty(self.value[of_meter])
        return found

    def own_errors(self, weights: FloatArray) -> ErrorParts:
        """Return what the readings' own errors make of sum(weights x readings)."""
        return _joined(
            noise.parts(np.ravel(noise.own_half_widths(self.value[at]) * np.abs(weights[at])))
            for noise, at in self._by_meter()
        )

    def common_errors(self, weights: FloatArray, *, level: float | None = None) -> ErrorParts:
        """Return what calibration and offset of the meters make of sum(weights x readings).

        ``level``: what all readings truly are, where they are supposed alike; None: as read.
        """
        value = self.value if level is None else np.full(self.value.size, level)
        return _joined(
            noise.parts(
                np.abs([noise.calibration_fraction * (weights[at] @ value[at]), noise.offset * weights[at].sum()])
            )
            for noise, at in self._by_meter()
        )

    def _by_meter(self) -> list[tuple[MeterNoise, NDArray[np.bool_]]]:
        return [(noise, self.meter_index == index) for index, noise in enumerate(self.noise)]


def _joined(parts: Iterable[tuple[FloatArray, float]]) -> ErrorParts:
    widths, deviations = zip(*parts, strict=True)
    return ErrorParts(half_widths=np.concatenate(widths), standard=float(np.sqrt(np.square(deviations).sum())))


def noise_of(noise: MeterChoice, meter: str) -> MeterNoise:
    """Return the noise of a meter, or say that none is given."""
    if isinstance(noise, MeterNoise):
        return noise
    if meter not in noise:
        raise ArgumentError("meter", meter, f"one of {', '.join(map(repr, noise)) or 'none'}: add its MeterNoise")
    return noise[meter]


def readings_with(
    value: FloatArray, noise: MeterChoice, meters: Sequence[str], meter_index: IntArray | None = None
) -> Readings:
    """Return readings with the noise of the meters that they were taken with; ``meter_index`` into ``meters``."""
    if isinstance(noise, MeterNoise):
        return Readings(value=value, noise=(noise,), meter_index=np.zeros(value.size, dtype=np.int64))
    if meter_index is None:
        raise ArgumentError("noise", list(noise), "one MeterNoise, where readings do not say which meter took them")
    used, place = np.unique(meter_index, return_inverse=True)
    return Readings(
        value=value,
        noise=tuple(noise_of(noise, meters[int(index)]) for index in used),
        meter_index=place,
    )
