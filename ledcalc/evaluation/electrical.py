"""The loop between driver, boards, heat sinks, light and wires: currents that fit all of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import BoardCurve, Branch, CurrentSplit, Driver, current_split
from ledcalc.errors import NotSettledError
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.evaluation.runs import Run, heated_runs
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.photons import BoardFlux

__all__ = ["Settled", "current_by_tag", "driver_of", "one_lost_currents", "settle"]

# Currents of two rounds that differ by less than this, relative to the largest, count as settled.
SETTLED_FRACTION = 1e-11
MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The steady state: split of the current, and what goes with it; arrays have an entry a board."""

    split: CurrentSplit
    branches: tuple[Branch, ...]
    driver: Driver
    runs: tuple[Run, ...]
    radiant_fraction: FloatArray
    photon_flux_umol_s: FloatArray


def settle(fixture: Fixture, placed: Sequence[PlacedBoard], driver_model: DriverModel, runs: Sequence[Run]) -> Settled:
    """Work out currents, temperatures, light and wire resistances that fit each other.

    The split is solved with heat coupled for given wire resistances and radiant shares; those are then worked out
    anew from its currents until the currents stay. Both corrections are small, so a few rounds do. The first round is
    cold, for light taken as heat would drive boards apart that never part in truth.
    """
    driver = driver_of(fixture, driver_model)
    # One curve a model, not a board: boards that share theirs are solved together.
    first_of = {board.model.tag: board for board in placed}
    curve_of = {tag: _curve(board) for tag, board in first_of.items()}
    flux_of = {tag: _flux_curve(board) for tag, board in first_of.items()}
    curves = [curve_of[board.model.tag] for board in placed]
    fluxes = [flux_of[board.model.tag] for board in placed]
    radiant, current = np.zeros(len(placed)), np.zeros(len(placed))
    runs = tuple(runs)
    for round_number in range(MOST_ROUNDS):
        branches = _branches(placed, curves, runs, radiant, is_cold=round_number == 0)
        split = current_split(branches, driver=driver, ambient_c=fixture.site.air_temperature_c)
        if not np.isfinite(split.current_a).all():
            break
        flux = np.array(
            [
                curve.flux(amps, temp)
                for curve, amps, temp in zip(fluxes, split.current_a, split.temperature_c, strict=True)
            ]
        )
        per_joule = np.array([board.model.photons_per_joule_umol_per_j for board in placed])
        moved = np.abs(split.current_a - current).max()
        current = split.current_a
        if round_number > 0 and moved <= SETTLED_FRACTION * max(current.max(), 1e-9):
            return Settled(
                split=split,
                branches=branches,
                driver=driver,
                runs=runs,
                radiant_fraction=radiant,
                photon_flux_umol_s=flux,
            )
        power = np.maximum(split.power_w, 1e-12)
        radiant = np.clip(flux / per_joule / power, 0.0, 0.99)
        runs = heated_runs(runs, current_by_tag(placed, current))
    raise NotSettledError(
        "no steady state was found: the boards heat up faster than their sinks carry the heat away, or the settings do "
        "not fit the boards; use heat sinks of lower K/W or a lower current setting"
    )


def current_by_tag(placed: Sequence[PlacedBoard], current_a: FloatArray) -> dict[str, float]:
    """Return each board's current under its tag."""
    return {board.place.tag: float(amps) for board, amps in zip(placed, current_a, strict=True)}


def driver_of(fixture: Fixture, model: DriverModel) -> Driver:
    """Return the driver as it is set."""
    return Driver(
        voltage_setting_v=fixture.voltage_setting_v,
        current_setting_a=fixture.current_setting_a,
        power_limit_w=model.power_limit_w,
        window_min_v=model.window_min_v,
    )


def one_lost_currents(settled: Settled, air_temperature_c: float) -> FloatArray:
    """Return, for each board, the highest current it sees when any one other branch is open; NaN for a lone board.

    Radiant shares and wire resistances stay those of the whole fixture: their change is second-order.
    """
    branches = settled.branches
    highest = np.full(len(branches), np.nan)
    for lost in range(len(branches)):
        rest = [index for index in range(len(branches)) if index != lost]
        if not rest:
            break
        split = current_split([branches[index] for index in rest], driver=settled.driver, ambient_c=air_temperature_c)
        highest[rest] = np.fmax(highest[rest], split.current_a)
    return highest


def _curve(board: PlacedBoard) -> BoardCurve:
    return BoardCurve.from_points(
        [point.current_a for point in board.points],
        [point.voltage_v for point in board.points],
        reference_temperature_c=board.model.reference_temperature_c,
        voltage_coefficient_v_per_k=board.model.voltage_coefficient_v_per_k,
    )


def _flux_curve(board: PlacedBoard) -> BoardFlux:
    return BoardFlux.from_points(
        [point.current_a for point in board.points],
        [point.photon_flux_umol_s for point in board.points],
        reference_temperature_c=board.model.reference_temperature_c,
        flux_coefficient_fraction_per_k=board.model.flux_coefficient_fraction_per_k,
    )


def _branches(
    placed: Sequence[PlacedBoard],
    curves: Sequence[BoardCurve],
    runs: Sequence[Run],
    radiant: FloatArray,
    *,
    is_cold: bool,
) -> tuple[Branch, ...]:
    by_board = {run.cable.to_node: run for run in runs}
    return tuple(
        Branch(
            curve=curve,
            wire_resistance_ohm=by_board[board.place.tag].resistance_ohm,
            thermal_resistance_k_per_w=0.0 if is_cold else _to_air(board),
            radiant_fraction=float(share),
        )
        for board, curve, share in zip(placed, curves, radiant, strict=True)
    )


def _to_air(board: PlacedBoard) -> float:
    return board.sink.sink_resistance_k_per_w + board.sink.interface_resistance_k_per_w
