"""Meters as sources of error: what repeats in all readings of one meter, what scatters, what its digits hide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.priors import source_of, width
from ledcalc.evaluation.sensors import light_sensor
from ledcalc.fixture import Meter

__all__ = ["APART", "KINDS", "OUTPUT_KINDS", "STATED", "UNITS", "Instrument", "instruments_of"]

# What is read at the driver's output, and what kind of meter reads it.
OUTPUT_KINDS = {"whole current": "current", "output voltage": "voltage"}
KINDS = ("current", "voltage", *OUTPUT_KINDS, "temperature", "PPFD")
UNITS = {"temperature": "degC", "PPFD": "umol m-2 s-1"}
UNITS |= {"current": "A", "voltage": "V", "whole current": "A", "output voltage": "V"}
# Units of differences.
APART = {**UNITS, "temperature": "K"}
WORDS = {"current": "clamp", "voltage": "voltmeter", "temperature": "thermometer", "PPFD": "light sensor"}
STATED = "the Meters sheet"
# A quantity known within plus or minus a limit, evenly, has this standard deviation; a digit is half of that each way.
RECTANGULAR, DIGIT = 3.0**-0.5, 12.0**-0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A meter by its stated limits, in the unit of what it measures; ``basis`` says where these come from.

    What repeats is a factor on currents, voltages and PPFD, and kelvins on temperatures.

    References
    ----------
    Meter makers' general specifications: worst error = percentage x reading + counts x resolution. JCGM 100:2008 (GUM)
    4.3.7: limits without more knowledge are a rectangular distribution, half width over the square root of 3.
    """

    name: str
    kind: str
    accuracy_fraction: float
    counts_limit: float
    resolution: float
    basis: str

    @property
    def adds(self) -> bool:
        """Whether its repeating error is added, not multiplied."""
        return self.kind == "temperature"

    def repeating(self, typical: float, share: float) -> float:
        """Return the standard deviation of what repeats: of a factor, or in K."""
        limit = self.accuracy_fraction * abs(typical) + self.counts_limit if self.adds else self.accuracy_fraction
        return float(share * limit * RECTANGULAR)

    def scattering(self, reading: FloatArray, share: float) -> FloatArray:
        """Return the standard deviation of what changes from reading to reading and averages out."""
        limit = self.accuracy_fraction * np.abs(reading) + self.counts_limit * self.adds
        return np.asarray(np.sqrt(1.0 - share**2) * limit * RECTANGULAR)

    @property
    def staying(self) -> float:
        """Return the standard deviation of what the last digits hide: it stays when a reading is repeated."""
        counts = 0.0 if self.adds else self.counts_limit * RECTANGULAR
        return float(max(counts, self.resolution * DIGIT))


def instruments_of(meters: Sequence[Meter], kind: str, named: Iterable[str | None]) -> dict[str | None, Instrument]:
    """Return the instrument of each name that readings carry (None: no name), by the Meters sheet.

    A reading without a name was taken with the only meter of its kind; where there are several, with the least
    accurate; where there is none, the accuracy is assumed.
    """
    of_kind = {meter.tag: meter for meter in meters if meter.quantity == kind}
    found: dict[str | None, Instrument] = {}
    for name in dict.fromkeys(named):
        if name in of_kind:
            found[name] = _stated(of_kind[name], STATED)
        elif name is None and of_kind:
            worst = max(of_kind.values(), key=lambda meter: (_limits_fraction(meter), _counts(meter)))
            told = "the only one there is" if len(of_kind) == 1 else "the least accurate of its kind"
            found[name] = _stated(worst, f"{STATED}; no meter is named: {told}")
        else:
            found[name] = _assumed(kind, name)
    return found


def _counts(meter: Meter) -> float:
    return meter.accuracy_digits_count * meter.resolution


def _limits_fraction(meter: Meter) -> float:
    """Return the limits that go with the reading: accuracy, and of a light sensor spectrum and cosine."""
    sensor = light_sensor(None, meter) if meter.quantity == "PPFD" else None
    return meter.accuracy_fraction + (sensor.spectral_fraction + float(sensor.cosine_limit()) if sensor else 0.0)


def _stated(meter: Meter, basis: str) -> Instrument:
    return Instrument(
        name=meter.tag,
        kind=meter.quantity,
        accuracy_fraction=_limits_fraction(meter),
        counts_limit=_counts(meter),
        resolution=meter.resolution,
        basis=basis,
    )


def _assumed(kind: str, name: str | None) -> Instrument:
    key = "unnamed_temperature_k" if kind == "temperature" else f"unnamed_{kind.lower()}_fraction"
    why = f"the Meters sheet has no {WORDS[kind]}" + (f" {name!r} for {kind}" if name else "")
    return Instrument(
        name=name or f"unnamed {WORDS[kind]}",
        kind=kind,
        accuracy_fraction=0.0 if kind == "temperature" else width(key),
        counts_limit=width(key) if kind == "temperature" else 0.0,
        resolution=0.0,
        basis=f"assumed, {why}: {source_of(key)}",
    )
