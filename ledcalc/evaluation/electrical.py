"""The loop between driver, boards, heat sinks, light and wires: currents that fit all of them at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import BoardCurve, CurrentSplit, Driver
from ledcalc.errors import NotSettledError
from ledcalc.evaluation.circuits import BoardElement, Circuit
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.evaluation.runs import Run, heated_runs
from ledcalc.evaluation.sinks import resistance_of
from ledcalc.fixture import BoardModel, BoardPoint, DriverModel, Fixture
from ledcalc.photons import BoardFlux

__all__ = ["Settled", "driver_of", "settle"]

# Currents and rises of two rounds that differ by less than this, relative to the largest, count as settled.
SETTLED_FRACTION = 1e-10
# Where a sink by dimensions starts from: its resistance changes slowly with its rise.
FIRST_RISE_K = 20.0
MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The steady state: split of the current, and what goes with it; arrays have an entry a board."""

    split: CurrentSplit
    circuit: Circuit
    driver: Driver
    radiant_fraction: FloatArray
    sink_k_per_w: FloatArray
    photon_flux_umol_s: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What a solution of the circuit rests on and changes by its currents and heat: wires, light, heat sinks."""

    runs: tuple[Run, ...]
    radiant_fraction: FloatArray
    sink_k_per_w: FloatArray


def settle(fixture: Fixture, placed: Sequence[PlacedBoard], driver_model: DriverModel, runs: Sequence[Run]) -> Settled:
    """Work out currents, temperatures, light, heat sinks and wire resistances that fit each other.

    The split is solved with heat coupled for given wires, radiant shares and heat sinks; those are then worked out anew
    from it until currents and temperatures stay. The corrections are small, so a few rounds do. The first round is
    cold, for light taken as heat would drive boards apart that never part in truth.
    """
    driver = driver_of(fixture, driver_model)
    # One curve a model, not a board: boards that share theirs are solved together.
    first_of = {board.model.tag: board for board in placed}
    curve_of = {tag: _curve(board.model, board.points) for tag, board in first_of.items()}
    flux_of = {tag: _flux_curve(board) for tag, board in first_of.items()}
    air = fixture.site.air_temperature_c
    nothing = np.zeros(len(placed))
    around = Surroundings(runs=tuple(runs), radiant_fraction=nothing, sink_k_per_w=nothing)
    before = np.array([nothing, nothing])
    for round_number in range(MOST_ROUNDS):
        circuit = _circuit(fixture.arrangement, placed, curve_of, around, is_cold=round_number == 0)
        split = circuit.split(driver, air)
        if not np.isfinite(split.current_a).all():
            break
        flux = _fluxes(placed, flux_of, split)
        scale = np.array([[max(split.current_a.max(), 1e-9)], [max(split.temperature_c.max() - air, 1.0)]])
        now = np.array([split.current_a, split.temperature_c])
        if round_number > 1 and (np.abs(now - before) <= SETTLED_FRACTION * scale).all():
            return Settled(
                split=split,
                circuit=circuit,
                driver=driver,
                radiant_fraction=around.radiant_fraction,
                sink_k_per_w=around.sink_k_per_w,
                photon_flux_umol_s=flux,
            )
        before, around = now, _corrected(fixture, placed, circuit, split, flux, is_cold=round_number == 0)
    raise NotSettledError(
        "no steady state was found: the boards heat up faster than their sinks carry the heat away, or the settings do "
        "not fit the boards; use heat sinks of lower K/W or a lower current setting"
    )


def _fluxes(placed: Sequence[PlacedBoard], flux_of: Mapping[str, BoardFlux], split: CurrentSplit) -> FloatArray:
    pairs = zip(placed, split.current_a, split.temperature_c, strict=True)
    return np.array([flux_of[board.model.tag].flux(amps, warm) for board, amps, warm in pairs])


def _corrected(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    circuit: Circuit,
    split: CurrentSplit,
    flux: FloatArray,
    *,
    is_cold: bool,
) -> Surroundings:
    per_joule = np.array([board.model.photons_per_joule_umol_per_j for board in placed])
    radiant = np.clip(flux / per_joule / np.maximum(split.power_w, 1e-12), 0.0, 0.99)
    heat = split.power_w * (1.0 - radiant)
    surface = split.temperature_c - np.array([board.sink.interface_resistance_k_per_w for board in placed]) * heat
    site = fixture.site
    guessed = site.air_temperature_c + FIRST_RISE_K
    sinks = [
        resistance_of(board.sink, guessed if is_cold else float(warm), site.air_temperature_c, site.altitude_m)
        for board, warm in zip(placed, surface, strict=True)
    ]
    return Surroundings(
        runs=heated_runs(circuit.runs, circuit.cable_currents(split)),
        radiant_fraction=radiant,
        sink_k_per_w=np.array(sinks),
    )


def driver_of(fixture: Fixture, model: DriverModel) -> Driver:
    """Return the driver as it is set."""
    return Driver(
        voltage_setting_v=fixture.voltage_setting_v,
        current_setting_a=fixture.current_setting_a,
        power_limit_w=model.power_limit_w,
        window_min_v=model.window_min_v,
    )


@lru_cache(maxsize=64)
def _curve(model: BoardModel, points: tuple[BoardPoint, ...]) -> BoardCurve:
    """Return a model's curve, kept: variants of one fixture mostly share it, and what is derived from it."""
    return BoardCurve.from_points(
        [point.current_a for point in points],
        [point.voltage_v for point in points],
        reference_temperature_c=model.reference_temperature_c,
        voltage_coefficient_v_per_k=model.voltage_coefficient_v_per_k,
    )


def _flux_curve(board: PlacedBoard) -> BoardFlux:
    return BoardFlux.from_points(
        [point.current_a for point in board.points],
        [point.photon_flux_umol_s for point in board.points],
        reference_temperature_c=board.model.reference_temperature_c,
        flux_coefficient_fraction_per_k=board.model.flux_coefficient_fraction_per_k,
    )


def _circuit(
    arrangement: str,
    placed: Sequence[PlacedBoard],
    curve_of: Mapping[str, BoardCurve],
    around: Surroundings,
    *,
    is_cold: bool,
) -> Circuit:
    boards = tuple(
        BoardElement(
            tag=board.place.tag,
            curve=curve_of[board.model.tag],
            thermal_k_per_w=0.0 if is_cold else float(sink) + board.sink.interface_resistance_k_per_w,
            radiant_fraction=float(share),
        )
        for board, share, sink in zip(placed, around.radiant_fraction, around.sink_k_per_w, strict=True)
    )
    return Circuit(arrangement=arrangement, boards=boards, runs=around.runs)
