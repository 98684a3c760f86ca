"""The steady state of a block: the loop of circuit, heat, light, wires and air, each variant until its own end."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit import CurrentSplit, Driver
from ledcalc.evaluation.circuits import Circuit
from ledcalc.evaluation.cycles import Cycle
from ledcalc.evaluation.electrical import FIRST_RISE_K, MOST_ROUNDS, SETTLED_FRACTION
from ledcalc.evaluation.not_settled import HOTTEST_ROOM_C
from ledcalc.variants.blocks.arrays import Only, column, merged, taken
from ledcalc.variants.blocks.circuits import cable_currents, circuit_of, driver_of, split_of
from ledcalc.variants.blocks.mains import BlockDraw, air_rise, draw_of
from ledcalc.variants.blocks.sinks import interfaces_of, sinks_of
from ledcalc.variants.blocks.structure import Block
from ledcalc.variants.blocks.wires import CableRuns, cold_runs, heated_runs

__all__ = ["Steady", "Surroundings", "some_of", "steady_state"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """What a solution of the circuit rests on and changes by its currents and heat: wires, light, heat sinks, air."""

    runs: CableRuns
    radiant_fraction: FloatArray
    sink_k_per_w: FloatArray
    air_c: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class End:
    """Where a variant came to: its split, what that rests on, the split without any heat."""

    split: CurrentSplit
    around: Surroundings
    cold_current_a: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steady:
    """The steady state of the variants that have one, and what goes with it; a row a board.

    ``sink_heat_w``: heat into the sink that the board is on, of all its boards.
    """

    split: CurrentSplit
    around: Surroundings
    circuit: Circuit
    driver: Driver
    draw: BlockDraw
    cold_current_a: FloatArray
    heat_w: FloatArray
    sink_heat_w: FloatArray
    photon_flux_umol_s: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Going:
    """Variants that have not come to their end, by their numbers; ``before``: currents and temperatures a round ago."""

    numbers: NDArray[np.intp]
    block: Block
    around: Surroundings
    cold_current_a: FloatArray
    before: FloatArray
    cycle: Cycle

    def only(self, variants: NDArray[np.bool_]) -> Going:
        """Return some of them."""
        if variants.all():
            return self
        return Going(
            numbers=self.numbers[variants],
            block=self.block.only(variants),
            around=taken(self.around, variants),
            cold_current_a=self.cold_current_a[..., variants],
            before=self.before[..., variants],
            cycle=self.cycle.only(variants),
        )


def steady_state(block: Block) -> tuple[Steady | None, NDArray[np.intp]]:
    """Return the steady state, and the numbers of the variants that it is of: those left out have none.

    Each round solves the circuit for given wires, radiant shares, sinks and air, and works these out anew from it; a
    variant whose currents and temperatures stay takes no further part.
    """
    ends: list[tuple[NDArray[np.intp], End]] = []
    going, round_number = _cold(block), 0
    while going.numbers.size and round_number < MOST_ROUNDS:
        is_cold = round_number == 0
        circuit = _circuit(going.block, going.around, is_cold=is_cold)
        split = split_of(circuit, replace(driver_of(going.block), cut_off_v=0.0), going.around.air_c)
        now = np.array([split.current_a, split.temperature_c])
        found = np.isfinite(split.current_a).all(axis=0)
        if is_cold:
            going = replace(going, cold_current_a=split.current_a)
        stays = found & _stays(going, now) if round_number > 1 else np.zeros(found.shape, dtype=bool)
        if stays.any():
            end = End(split=split, around=going.around, cold_current_a=going.cold_current_a)
            ends.append((going.numbers[stays], taken(end, stays)))
        goes_on = found & ~stays & ~going.cycle.has_closed(round_number, now, going.before, _scale(going, now))
        going = replace(going, before=now).only(goes_on)
        if going.numbers.size:
            circuit = circuit if goes_on.all() else _circuit(going.block, going.around, is_cold=is_cold)
            going = _corrected(going, circuit, taken(split, goes_on), is_cold=is_cold)
        round_number += 1
    return _together(block, ends)


def some_of(block: Block, steady: Steady, variants: Only) -> tuple[Block, Steady]:
    """Return some variants of a block, and of its steady state."""
    part, around = block.only(variants), taken(steady.around, variants)
    return part, replace(
        steady,
        split=taken(steady.split, variants),
        around=around,
        circuit=_circuit(part, around, is_cold=False),
        driver=driver_of(part),
        draw=taken(steady.draw, variants),
        cold_current_a=steady.cold_current_a[:, variants],
        heat_w=steady.heat_w[:, variants],
        sink_heat_w=steady.sink_heat_w[:, variants],
        photon_flux_umol_s=steady.photon_flux_umol_s[:, variants],
    )


def _cold(block: Block) -> Going:
    air = column(block.fixture.site.air_temperature_c, block.count)
    nothing = np.zeros((len(block.structure.placed), block.count))
    return Going(
        numbers=np.arange(block.count),
        block=block,
        around=Surroundings(
            runs=cold_runs(block.fixture, air), radiant_fraction=nothing, sink_k_per_w=nothing, air_c=air
        ),
        cold_current_a=nothing,
        before=np.array([nothing, nothing]),
        cycle=Cycle(),
    )


def _circuit(block: Block, around: Surroundings, *, is_cold: bool) -> Circuit:
    thermal = None if is_cold else (around.sink_k_per_w, interfaces_of(block))
    return circuit_of(block, around.runs, around.radiant_fraction, thermal)


def _stays(going: Going, now: FloatArray) -> NDArray[np.bool_]:
    """Return which variants moved no current and no temperature that matters since the last round."""
    return np.asarray((np.abs(now - going.before) <= SETTLED_FRACTION * _scale(going, now)).all(axis=(0, 1)))


def _scale(going: Going, now: FloatArray) -> FloatArray:
    """Return the largest current and rise of each variant, (quantities, 1, variants)."""
    air = column(going.block.fixture.site.air_temperature_c, going.block.count)
    rise = np.maximum(now[1].max(axis=0) - air, 1.0)
    return np.array([np.maximum(now[0].max(axis=0), 1e-9), rise])[:, None]


def _corrected(going: Going, circuit: Circuit, split: CurrentSplit, *, is_cold: bool) -> Going:
    """Return what goes on with surroundings worked out anew; a room as hot as an oven goes no further."""
    block, structure = going.block, going.block.structure
    incoming = column(block.fixture.site.air_temperature_c, block.count)
    draw = draw_of(block, np.multiply(split.driver_voltage_v, split.driver_current_a))
    air = incoming + air_rise(block, draw.mains_power_w * block.structure.fixture.in_room_count)
    flux = fluxes_of(block, split)
    radiant = np.clip(flux / structure.photons_per_joule[:, None] / np.maximum(split.power_w, 1e-12), 0.0, 0.99)
    heat = split.power_w * (1.0 - radiant)
    surface = split.temperature_c - interfaces_of(block) * heat
    runs = going.around.runs if block.fixture.site.ventilation_m3_per_h is None else cold_runs(block.fixture, air)
    around = Surroundings(
        runs=heated_runs(runs, cable_currents(circuit, split.current_a)),
        radiant_fraction=radiant,
        sink_k_per_w=sinks_of(block, np.broadcast_to(air + FIRST_RISE_K, surface.shape) if is_cold else surface, air),
        air_c=air,
    )
    return replace(going, around=around).only(air <= np.maximum(HOTTEST_ROOM_C, incoming))


def fluxes_of(block: Block, split: CurrentSplit) -> FloatArray:
    """Return each board's photon flux, a row a board; boards of one model together."""
    found, fluxes = np.empty(split.current_a.shape), block.structure.fluxes
    for curve in set(fluxes):
        own = [number for number, other in enumerate(fluxes) if other is curve]
        found[own] = curve.flux(split.current_a[own], split.temperature_c[own])
    return found


def _together(block: Block, ends: list[tuple[NDArray[np.intp], End]]) -> tuple[Steady | None, NDArray[np.intp]]:
    """Return the ends as one steady state; a driver that the boards pull below its cut-off is off by now."""
    if not ends:
        return None, np.zeros(0, dtype=np.intp)
    numbers = np.sort(np.concatenate([own for own, _ in ends]))
    places = [(np.searchsorted(numbers, own), end) for own, end in ends]
    end, part = merged(places, numbers.size), block if numbers.size == block.count else block.only(numbers)
    circuit, driver, split = _circuit(part, end.around, is_cold=False), driver_of(part), end.split
    if np.any(np.asarray(part.driver.cut_off_v) > 0):
        split = split_of(circuit, driver, end.around.air_c)
    heat = split.power_w * (1.0 - end.around.radiant_fraction)
    return Steady(
        split=split,
        around=end.around,
        circuit=circuit,
        driver=driver,
        draw=draw_of(part, np.multiply(split.driver_voltage_v, split.driver_current_a)),
        cold_current_a=end.cold_current_a,
        heat_w=heat,
        sink_heat_w=np.asarray(part.structure.on_sink @ heat),
        photon_flux_umol_s=fluxes_of(part, split),
    ), numbers
