"""The loop between driver, boards, heat sinks, light, wires and air: currents that fit all of them at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import BoardCurve, CurrentSplit, Driver
from ledcalc.circuit.split import HOGGED, grown_share
from ledcalc.evaluation.circuits import BoardElement, Circuit
from ledcalc.evaluation.cycles import Cycle
from ledcalc.evaluation.mains import Draw, air_rise, draw_of
from ledcalc.evaluation.not_settled import Unsettled, not_settled, refuse_hot_room
from ledcalc.evaluation.parts import PlacedBoard, boards_on, driver_model
from ledcalc.evaluation.runs import Run, cold_runs, heated_runs
from ledcalc.evaluation.sinks import resistance_of
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.heat import shared_sink_matrix
from ledcalc.model_curves import curve_of, flux_of, photons_per_joule_of
from ledcalc.photons import BoardFlux

__all__ = ["Settled", "driver_of", "settle", "steady_state"]

# Currents and rises of two rounds that differ by less than this, relative to the largest, count as settled.
SETTLED_FRACTION = 1e-10
# Where a sink by dimensions starts from: its resistance changes slowly with its rise.
FIRST_RISE_K = 20.0
# Near the edge of stability each round brings only a fifth of what is left.
MOST_ROUNDS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The steady state: split of the current, and what goes with it; arrays have an entry a board.

    ``air_c``: the air around the sinks. ``sink_heat_w``: heat into the sink that the board is on, of all its boards.
    ``cold_current_a``: the split without any heat.
    """

    split: CurrentSplit
    circuit: Circuit
    driver: Driver
    draw: Draw
    air_c: float
    radiant_fraction: FloatArray
    sink_k_per_w: FloatArray
    sink_heat_w: FloatArray
    cold_current_a: FloatArray
    photon_flux_umol_s: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What a solution of the circuit rests on and changes by its currents and heat: wires, light, heat sinks, air."""

    runs: tuple[Run, ...]
    radiant_fraction: FloatArray
    sink_k_per_w: FloatArray
    air_c: float


def settle(fixture: Fixture, placed: Sequence[PlacedBoard], driver_model: DriverModel) -> Settled:
    """Return the steady state.

    Raises
    ------
    NotSettledError: there is none; the error names what would give one
    """
    found = steady_state(fixture, placed, driver_model)
    if isinstance(found, Settled):
        return found
    raise not_settled(fixture, found, lambda changed: isinstance(_tried(changed), Settled))


def _tried(fixture: Fixture) -> Settled | Unsettled:
    return steady_state(fixture, boards_on(fixture), driver_model(fixture), are_to_share=True)


def steady_state(
    fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, *, are_to_share: bool = False
) -> Settled | Unsettled:
    """Work out currents, temperatures, light, heat sinks, wire resistances and air that fit each other.

    The split is solved with heat coupled for given wires, radiant shares, heat sinks and air; those are then worked
    out anew from it until currents and temperatures stay. The corrections are small, so a few rounds do. The first
    round is cold, for light taken as heat would drive boards apart that never part in truth. ``are_to_share``: a board
    that runs away with the others' current ends it.
    """
    driver = driver_of(fixture, model)
    # Whether it cuts off is asked once all else has settled: a dark board has no light, and no light is all heat.
    always_on = replace(driver, cut_off_v=0.0)
    # One curve a model, not a board: boards that share theirs are solved together.
    first_of = {board.model.tag: board for board in placed}
    curves = {tag: curve_of(board.model, board.points) for tag, board in first_of.items()}
    fluxes = {tag: flux_of(board.model, board.points) for tag, board in first_of.items()}
    air, nothing = fixture.site.air_temperature_c, np.zeros(len(placed))
    around = Surroundings(runs=cold_runs(fixture, air), radiant_fraction=nothing, sink_k_per_w=nothing, air_c=air)
    before, cold, cycle = np.array([nothing, nothing]), nothing, Cycle()
    for round_number in range(MOST_ROUNDS):
        is_cold = round_number == 0
        circuit = _circuit(fixture, model, placed, curves, around, is_cold=is_cold)
        split = circuit.split(always_on, around.air_c)
        if not np.isfinite(split.current_a).all():
            break
        cold = split.current_a if is_cold else cold
        if are_to_share and grown_share(cold, split.current_a) > HOGGED:
            break
        flux = _fluxes(placed, fluxes, split)
        draw = draw_of(
            model, fixture.driver_points, fixture.site, float(split.driver_voltage_v * split.driver_current_a)
        )
        scale = np.array([[max(split.current_a.max(), 1e-9)], [max(split.temperature_c.max() - air, 1.0)]])
        now = np.array([split.current_a, split.temperature_c])
        if round_number > 1 and (np.abs(now - before) <= SETTLED_FRACTION * scale).all():
            return _settled(fixture, placed, model, around, circuit, split, cold)
        if cycle.has_closed(round_number, now, before, scale):
            break
        before = now
        around = _corrected(fixture, placed, circuit, split, flux, draw, is_cold=is_cold)
    return Unsettled(circuit=circuit, driver=driver, air_c=around.air_c)


def _settled(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    model: DriverModel,
    around: Surroundings,
    circuit: Circuit,
    split: CurrentSplit,
    cold_a: FloatArray,
) -> Settled:
    """Return the steady state with what goes with it; a driver that it pulls below its cut-off is off by now."""
    driver = driver_of(fixture, model)
    if model.cut_off_v > 0:
        split = circuit.split(driver, around.air_c)
    fluxes = {board.model.tag: flux_of(board.model, board.points) for board in placed}
    output_w = float(split.driver_voltage_v * split.driver_current_a)
    return Settled(
        split=split,
        circuit=circuit,
        driver=driver,
        draw=draw_of(model, fixture.driver_points, fixture.site, output_w),
        air_c=around.air_c,
        radiant_fraction=around.radiant_fraction,
        sink_k_per_w=around.sink_k_per_w,
        sink_heat_w=_on_sink(placed, split.power_w * (1.0 - around.radiant_fraction)),
        cold_current_a=cold_a,
        photon_flux_umol_s=_fluxes(placed, fluxes, split),
    )


def _fluxes(placed: Sequence[PlacedBoard], fluxes: Mapping[str, BoardFlux], split: CurrentSplit) -> FloatArray:
    pairs = zip(placed, split.current_a, split.temperature_c, strict=True)
    return np.array([fluxes[board.model.tag].flux(amps, warm) for board, amps, warm in pairs])


def _corrected(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    circuit: Circuit,
    split: CurrentSplit,
    flux: FloatArray,
    draw: Draw,
    *,
    is_cold: bool,
) -> Surroundings:
    site = fixture.site
    in_room_w = draw.mains_power_w * fixture.in_room_count
    air = site.air_temperature_c + air_rise(site, in_room_w)
    refuse_hot_room(site, air, in_room_w)
    per_joule = np.array([photons_per_joule_of(board.model, fixture.spectra) for board in placed])
    radiant = np.clip(flux / per_joule / np.maximum(split.power_w, 1e-12), 0.0, 0.99)
    heat = split.power_w * (1.0 - radiant)
    surface = split.temperature_c - np.array([board.sink.interface_resistance_k_per_w for board in placed]) * heat
    sinks: list[float] = []
    for number, board in enumerate(placed):
        first = _same_sink(placed, number)[0]
        # One sink has one resistance, whichever of its boards is asked.
        at = air + FIRST_RISE_K if is_cold else float(surface[first])
        sinks.append(sinks[first] if first < number else resistance_of(board.sink, at, air, site.altitude_m))
    runs = circuit.runs if site.ventilation_m3_per_h is None else cold_runs(fixture, air)
    return Surroundings(
        runs=heated_runs(runs, circuit.cable_currents(split)),
        radiant_fraction=radiant,
        sink_k_per_w=np.array(sinks),
        air_c=air,
    )


def driver_of(fixture: Fixture, model: DriverModel) -> Driver:
    """Return the driver as it is set and dimmed; of separately limited lead sets, one of them."""
    sets = model.lead_sets_count if model.lead_sets == "separately limited" else 1
    return Driver(
        voltage_setting_v=fixture.voltage_setting_v,
        current_setting_a=fixture.current_setting_a * fixture.dimming_fraction,
        power_limit_w=model.power_limit_w / sets,
        window_min_v=model.window_min_v,
        cut_off_v=model.cut_off_v,
    )


def _circuit(
    fixture: Fixture,
    driver_model: DriverModel,
    placed: Sequence[PlacedBoard],
    curves: Mapping[str, BoardCurve],
    around: Surroundings,
    *,
    is_cold: bool,
) -> Circuit:
    interface = np.array([board.sink.interface_resistance_k_per_w for board in placed])
    thermal = np.zeros(len(placed)) if is_cold else around.sink_k_per_w + interface
    boards = tuple(
        BoardElement(
            tag=board.place.tag,
            curve=curves[board.model.tag],
            offset_v=board.place.offset_v,
            thermal_k_per_w=float(to_air),
            radiant_fraction=float(share),
        )
        for board, share, to_air in zip(placed, around.radiant_fraction, thermal, strict=True)
    )
    matrix = None
    if any(board.place.shared_sink is not None for board in placed):
        labels = [_same_sink(placed, number)[0] for number in range(len(placed))]
        matrix = shared_sink_matrix(labels, around.sink_k_per_w, interface) * float(not is_cold)
    return Circuit(
        arrangement=fixture.arrangement,
        boards=boards,
        runs=around.runs,
        thermal_matrix_k_per_w=matrix,
        are_sets_separate=driver_model.lead_sets == "separately limited",
    )


def _same_sink(placed: Sequence[PlacedBoard], number: int) -> list[int]:
    """Return the numbers of the boards on one sink with a board, itself included."""
    label = placed[number].place.shared_sink
    if label is None:
        return [number]
    return [other for other, board in enumerate(placed) if board.place.shared_sink == label]


def _on_sink(placed: Sequence[PlacedBoard], heat_w: FloatArray) -> FloatArray:
    return np.array([heat_w[_same_sink(placed, number)].sum() for number in range(len(placed))])
