"""From the steady state of a block to its operating points, boards, wires and what else could happen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit import current_split
from ledcalc.circuit.changed import with_heat_scaled
from ledcalc.circuit.split import HOGGED
from ledcalc.evaluation.board_results import touch_limit_of
from ledcalc.evaluation.what_if import EDGE_GAIN, STEADY_GAIN
from ledcalc.heat import driver_case_temperature, junction_temperature
from ledcalc.variants.blocks.arrays import column, rows
from ledcalc.variants.blocks.circuits import cable_currents, lead_set_currents
from ledcalc.variants.blocks.faults import BlockFaults, faults_of, is_large
from ledcalc.variants.blocks.figures import BlockBoards, BlockOperating, BlockWhatIf, BlockWires
from ledcalc.variants.blocks.sinks import interfaces_of
from ledcalc.variants.blocks.spread import over_rating_too_often
from ledcalc.variants.blocks.steady import Steady, some_of
from ledcalc.variants.blocks.structure import Block
from ledcalc.wiring import continuous_limit_a, mains_current

__all__ = ["boards_of", "operating_of", "what_if_of", "wires_of"]

OVER, WARMER_K = 1.0 + 1e-9, 1e-6
LEAST_SHARE = 1e-6
UNBOUND_V = 1e4


def operating_of(block: Block, steady: Steady) -> BlockOperating:
    """Return the driver's working points and their load on the mains circuit."""
    site, split, draw, count = block.fixture.site, steady.split, steady.draw, block.count
    volts, amps = np.asarray(split.driver_voltage_v), np.asarray(split.driver_current_a)
    own = column(mains_current(draw.mains_power_w, site.mains_v, draw.power_factor_fraction), count)
    other = mains_current(site.circuit_other_load_w, site.mains_v, 1.0)
    loss, case = draw.mains_power_w - volts * amps, block.driver.case_resistance_k_per_w
    hot = (
        np.nan if case is None else driver_case_temperature(np.maximum(loss, 0.0), case, ambient_c=steady.around.air_c)
    )
    return BlockOperating(
        mode=np.asarray(split.mode),
        voltage_v=volts,
        current_a=amps,
        power_w=volts * amps,
        mains_power_w=draw.mains_power_w,
        mains_current_a=own,
        circuit_load_a=own * block.fixture.fixtures_count + other,
        circuit_limit_a=column(continuous_limit_a(site.circuit_a, rule_set=site.rule_set), count),
        loop_gain=np.asarray(split.loop_gain),
        case_temperature_c=column(hot, count),
        air_temperature_c=steady.around.air_c,
        lead_set_current_a=lead_set_currents(steady.circuit, cable_currents(steady.circuit, split.current_a)),
    )


def boards_of(block: Block, steady: Steady) -> BlockBoards:
    """Return the boards against their ratings."""
    placed, count, split = block.placed, block.count, steady.split
    models, curves = [board.model for board in placed], block.structure.curves
    extrapolated = [curve.extrapolated(amps) for curve, amps in zip(curves, split.current_a, strict=True)]
    rated_junction = [model.rated_junction_temperature_c for model in models]
    return BlockBoards(
        current_a=split.current_a,
        cold_current_a=steady.cold_current_a,
        grown=_grown(split.current_a, steady.cold_current_a),
        rated_current_a=rows([model.rated_current_a for model in models], count),
        temperature_c=split.temperature_c,
        rated_temperature_c=rows([model.rated_temperature_c for model in models], count),
        junction_temperature_c=_junctions(block, steady),
        rated_junction_temperature_c=rows([np.nan if rated is None else rated for rated in rated_junction], count),
        sink_temperature_c=split.temperature_c - interfaces_of(block) * steady.heat_w,
        touch_limit_c=rows([touch_limit_of(board.sink) for board in placed], count),
        extrapolated=np.array(extrapolated, dtype=bool),
    )


def _junctions(block: Block, steady: Steady) -> FloatArray:
    """Return the LEDs' junction temperatures; NaN where a model's row does not tell how to get there."""
    found = np.full(steady.heat_w.shape, np.nan)
    for number, board in enumerate(block.placed):
        model = board.model
        emitters = model.emitters_count or (model.led_series_count or 0) * model.led_parallel_count
        if model.junction_resistance_k_per_w is not None and emitters > 0:
            found[number] = junction_temperature(
                steady.split.temperature_c[number],
                steady.heat_w[number],
                emitters_count=emitters,
                junction_resistance_k_per_w=model.junction_resistance_k_per_w,
            )
    return found


def _grown(warm_a: FloatArray, cold_a: FloatArray) -> FloatArray:
    warm, cold = warm_a.sum(axis=0), cold_a.sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        grown = warm_a / warm / np.maximum(cold_a / cold, LEAST_SHARE)
    return np.where((warm > 0) & (cold > 0), grown, 0.0)


def wires_of(steady: Steady) -> BlockWires:
    """Return the runs: currents, what each may carry, and its drop."""
    runs, current = steady.around.runs, cable_currents(steady.circuit, steady.split.current_a)
    with np.errstate(invalid="ignore", divide="ignore"):
        drop = runs.resistance_ohm * current / np.asarray(steady.split.driver_voltage_v)
    return BlockWires(current_a=current, ambient_c=runs.ambient_c, ampacity_a=runs.ampacity_a, drop_fraction=drop)


def what_if_of(block: Block, steady: Steady, boards: BlockBoards) -> BlockWhatIf:
    """Return faults, spread and cold start of the variants whose boards share; of the others nothing is tried."""
    gain = np.asarray(steady.split.loop_gain)
    is_tried = boards.current_a.any(axis=0) & (gain < EDGE_GAIN) & (boards.grown.max(axis=0) <= HOGGED)
    is_healthy = (boards.current_a <= boards.rated_current_a * OVER).all(axis=0) & (
        boards.temperature_c <= boards.rated_temperature_c + WARMER_K
    ).all(axis=0)
    kinds: dict[str, NDArray[np.bool_]] = {}
    offs: dict[str, NDArray[np.bool_]] = {}
    lost = np.full(boards.current_a.shape, np.nan)
    for only, is_whole in ((is_tried & is_healthy, True), (is_tried & ~is_healthy, False)):
        if only.any():
            faults = faults_of(*_some(block, steady, only), only_open=not is_whole)
            lost[:, only] = faults.one_lost_current_a
            if is_whole:
                kinds, offs = _spread_out(faults, only)
    too_often = np.zeros(block.count, dtype=bool)
    spread = is_tried & (gain < STEADY_GAIN)
    if spread.any() and not any(is_large(part) for part in steady.circuit.parts()):
        too_often[spread] = over_rating_too_often(*_some(block, steady, spread))
    return BlockWhatIf(
        is_tried=is_tried,
        overloads=kinds,
        switches_off=offs,
        one_lost_current_a=lost,
        is_over_too_often=too_often,
        cold_voltage_v=np.where(is_tried, _cold_voltage(block, steady), np.nan),
    )


def _some(block: Block, steady: Steady, only: NDArray[np.bool_]) -> tuple[Block, Steady]:
    return (block, steady) if only.all() else some_of(block, steady, only)


def _spread_out(
    faults: BlockFaults, only: NDArray[np.bool_]
) -> tuple[dict[str, NDArray[np.bool_]], dict[str, NDArray[np.bool_]]]:
    """Return what was found of some variants as of all."""

    def whole(found: NDArray[np.bool_]) -> NDArray[np.bool_]:
        all_of_them = np.zeros(only.size, dtype=bool)
        all_of_them[only] = found
        return all_of_them

    return (
        {kind: whole(found) for kind, found in faults.overloads.items()},
        {kind: whole(found) for kind, found in faults.switches_off.items()},
    )


def _cold_voltage(block: Block, steady: Steady) -> FloatArray:
    """Return what the current setting needs at the coldest start; NaN where none is named."""
    coldest, parts = block.fixture.site.coldest_air_c, steady.circuit.parts()
    if coldest is None or not parts:
        return np.full(block.count, np.nan)
    free = replace(steady.driver, voltage_setting_v=UNBOUND_V, power_limit_w=np.inf)
    air = column(coldest, block.count)
    splits = [
        current_split(with_heat_scaled(part.circuit.as_network(), 0.0), driver=free, ambient_c=air) for part in parts
    ]
    return np.asarray(np.max([np.asarray(split.driver_voltage_v) for split in splits], axis=0))
