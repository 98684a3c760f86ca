"""What a calibration looks for: values of the fixture and of its meters, each with what is known of it beforehand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.instruments import RECTANGULAR
from ledcalc.calibrate.priors import Priors, source_of
from ledcalc.calibrate.taken import Taken
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.light_sources import own_wall_reflectances

__all__ = ["Unknown", "Unknowns", "unknowns_of"]

# Bounds stand so many standard deviations of the prior away, and within what is possible at all.
FAR = 8.0
MOST_REFLECTANCE = 0.98


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """One value looked for. ``kind`` says what ``number`` counts.

    "voltage": boards on the fixture; "sink": rows of heat sinks; "flux": rows of board models; "wall" and "canopy": 0;
    "driver current" and "driver voltage": 0, a factor on the setting; "meter": instruments, a factor less 1, or K.
    ``path``: the input that it is written to, empty for a meter's.
    """

    kind: str
    number: int
    name: str
    path: str
    unit: str
    prior_value: float
    prior_error: float
    low: float
    high: float
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unknowns:
    """The unknowns in their order, and the covariance of what is known beforehand."""

    entries: tuple[Unknown, ...]
    covariance: FloatArray

    @property
    def prior(self) -> FloatArray:
        """Values before any reading."""
        return np.array([entry.prior_value for entry in self.entries])

    def numbers(self, *kinds: str) -> NDArray[np.intp]:
        """Return the places of the unknowns of some kinds."""
        return np.array([place for place, entry in enumerate(self.entries) if entry.kind in kinds], dtype=np.intp)


def unknowns_of(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    model: DriverModel,
    settled: Settled,
    taken: Taken,
    priors: Priors,
    *,
    surfaces: Sequence[str],
    own_sinks: bool,
) -> Unknowns:
    """Return what the kinds of readings there are can say something of.

    Parameters
    ----------
    fixture : with its positions listed, and in the air that the log was taken in
    placed, model, settled : its boards, its driver, and the state it is thought to be in
    taken : the readings
    priors : what is known beforehand
    surfaces : "wall", "canopy": whose reflectance is looked for
    own_sinks : whether every sink has a resistance of its own
    """
    kinds = set(taken.readings.kind)
    found: list[Unknown] = []
    if kinds & {"current", "voltage", "output voltage"}:
        found += _voltages(placed, settled, priors)
    if "temperature" in kinds:
        found += _sinks(fixture, placed, priors, own_sinks=own_sinks)
    if kinds & {"current", "whole current"}:
        found += _driver(model, str(settled.split.mode), priors)
    if "PPFD" in kinds:
        found += _light(fixture, placed, priors, surfaces)
    found += _meters(taken, priors)
    return Unknowns(entries=tuple(found), covariance=_covariance(found, placed, settled, priors))


def _voltages(placed: Sequence[PlacedBoard], settled: Settled, priors: Priors) -> Iterator[Unknown]:
    for number, board in enumerate(placed):
        batch, own = _voltage_widths(board, settled, priors)
        error = float(np.hypot(batch, own))
        spread = "voltage spread of the Boards sheet" if board.model.voltage_spread_v is not None else ""
        yield Unknown(
            kind="voltage",
            number=number,
            name=f"voltage offset of {board.place.tag}",
            path=f"positions[{number}].offset_v",
            unit="V",
            prior_value=board.place.offset_v,
            prior_error=error,
            low=board.place.offset_v - FAR * error,
            high=board.place.offset_v + FAR * error,
            basis=f"{spread or source_of('board_voltage_fraction')}; {source_of('batch_voltage_fraction')}",
        )


def _voltage_widths(board: PlacedBoard, settled: Settled, priors: Priors) -> tuple[float, float]:
    """Return how far a model's mean voltage may be off, and a board's own off that."""
    lit = settled.split.voltage_v[settled.split.voltage_v > 0]
    typical = float(lit.mean()) if lit.size else 1.0
    stated = board.model.voltage_spread_v
    own = priors.board_voltage_fraction * typical if stated is None else max(stated, 1e-4)
    return priors.batch_voltage_fraction * typical, own


def _sinks(fixture: Fixture, placed: Sequence[PlacedBoard], priors: Priors, *, own_sinks: bool) -> Iterator[Unknown]:
    used = {board.sink.tag for board in placed}
    for row, sink in enumerate(fixture.heat_sinks):
        if sink.tag not in used:
            continue
        stated = sink.sink_resistance_k_per_w is not None
        error = float(np.hypot(priors.sink_fraction, priors.own_sink_fraction if own_sinks else 0.0))
        yield Unknown(
            kind="sink",
            number=row,
            name=f"resistance of sink {sink.tag}",
            path=f"heat_sinks[{row}].{'sink_resistance_k_per_w' if stated else 'resistance_fraction'}",
            unit="times",
            prior_value=1.0,
            prior_error=error,
            low=0.1,
            high=1.0 + FAR * error,
            basis=source_of("sink_fraction") + (f"; {source_of('own_sink_fraction')}" if own_sinks else ""),
        )


def _driver(model: DriverModel, mode: str, priors: Priors) -> Iterator[Unknown]:
    """Return the dial that holds, which a driver is on by its datasheet's tolerance."""
    dial = {"constant current": "current", "constant voltage": "voltage"}.get(mode)
    if dial is None:
        return
    stated = model.current_tolerance_fraction if dial == "current" else model.voltage_tolerance_fraction
    error = (stated or priors.driver_fraction) * RECTANGULAR
    yield Unknown(
        kind=f"driver {dial}",
        number=0,
        name=f"driver's {dial} against its dial",
        path="fixture.current_setting_a" if dial == "current" else "fixture.voltage_setting_v",
        unit="times",
        prior_value=1.0,
        prior_error=error,
        low=max(1.0 - FAR * error, 0.1),
        high=1.0 + FAR * error,
        basis="tolerance of the Drivers sheet" if stated else source_of("driver_fraction"),
    )


def _light(
    fixture: Fixture, placed: Sequence[PlacedBoard], priors: Priors, surfaces: Sequence[str]
) -> Iterator[Unknown]:
    used = {board.model.tag for board in placed}
    for row, model in enumerate(fixture.boards):
        if model.tag in used:
            yield Unknown(
                kind="flux",
                number=row,
                name=f"light of {model.tag}",
                path=f"boards[{row}].flux_fraction",
                unit="times",
                prior_value=model.flux_fraction,
                prior_error=priors.flux_fraction,
                low=0.05,
                high=model.flux_fraction + FAR * priors.flux_fraction,
                basis=source_of("flux_fraction"),
            )
    paths = {"wall": "site.wall_reflectance_fraction", "canopy": "site.floor_reflectance_fraction"}
    for surface in surfaces:
        yield Unknown(
            kind=surface,
            number=0,
            name=f"{surface} reflectance",
            path=paths[surface],
            unit="1",
            prior_value=float(getattr(fixture.site, paths[surface].removeprefix("site."))),
            prior_error=priors.reflectance_fraction,
            low=0.0,
            high=MOST_REFLECTANCE,
            basis=source_of("reflectance_fraction") + (_own_walls(fixture) if surface == "wall" else ""),
        )


def _own_walls(fixture: Fixture) -> str:
    if all(own is None for own in own_wall_reflectances(fixture.site)):
        return ""
    return "; walls with a reflectance of their own on the Site sheet keep it"


def _meters(taken: Taken, priors: Priors) -> Iterator[Unknown]:
    for number, entry in enumerate(taken.instruments):
        own = taken.readings.meter == number
        if not own.any():
            continue
        error = entry.repeating(float(taken.readings.value[own].mean()), priors.repeating_fraction)
        if error > 0:
            yield Unknown(
                kind="meter",
                number=number,
                name=f"error of {entry.name} ({entry.kind})",
                path="",
                unit="degC" if entry.adds else "1",
                prior_value=0.0,
                prior_error=error,
                low=max(-FAR * error, -np.inf if entry.adds else -0.9),
                high=FAR * error,
                basis=f"{entry.basis}; {source_of('repeating_fraction')}",
            )


def _covariance(
    found: Sequence[Unknown], placed: Sequence[PlacedBoard], settled: Settled, priors: Priors
) -> FloatArray:
    """Return the priors' covariance: boards of one model share how far its curve is off, sinks how air moves here."""
    covariance = np.diag([entry.prior_error**2 for entry in found])
    for one, first in enumerate(found):
        for other, second in enumerate(found[:one]):
            if first.kind != second.kind:
                continue
            shared = 0.0
            if first.kind == "voltage" and placed[first.number].model.tag == placed[second.number].model.tag:
                shared = _voltage_widths(placed[first.number], settled, priors)[0] ** 2
            elif first.kind == "sink" and first.prior_error > priors.sink_fraction:
                shared = priors.sink_fraction**2
            covariance[one, other] = covariance[other, one] = shared
    return covariance
