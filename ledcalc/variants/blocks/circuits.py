"""The circuit of a block: built with arrays, split part by part, and what flows in its cables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import CurrentSplit, Driver, current_split, link_currents
from ledcalc.evaluation.circuits import MODES_BY_CARE, BoardElement, Circuit, Part
from ledcalc.evaluation.runs import Run
from ledcalc.heat import shared_sink_matrix
from ledcalc.schema import wire_end
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.structure import Block
from ledcalc.variants.blocks.wires import CableRuns

__all__ = ["cable_currents", "circuit_of", "driver_of", "lead_set_currents", "split_of"]


def driver_of(block: Block) -> Driver:
    """Return the driver as it is set and dimmed; of separately limited lead sets, one of them."""
    fixture, model = block.fixture, block.driver
    sets = model.lead_sets_count if model.lead_sets == "separately limited" else 1
    return Driver(
        voltage_setting_v=column(fixture.voltage_setting_v, block.count),
        current_setting_a=column(np.multiply(fixture.current_setting_a, fixture.dimming_fraction), block.count),
        power_limit_w=np.divide(model.power_limit_w, sets),
        window_min_v=model.window_min_v,
        cut_off_v=model.cut_off_v,
    )


def circuit_of(
    block: Block, runs: CableRuns, radiant_fraction: FloatArray, thermal: tuple[FloatArray, FloatArray] | None
) -> Circuit:
    """Return the circuit; ``thermal``: sink to air and board to sink, a row a board; None: cold."""
    placed, structure = block.placed, block.structure
    to_air = np.zeros(radiant_fraction.shape) if thermal is None else thermal[0] + thermal[1]
    boards = []
    for number, board in enumerate(placed):
        numbers: dict[str, Any] = {
            "offset_v": board.place.offset_v,
            "thermal_k_per_w": to_air[number],
            "radiant_fraction": radiant_fraction[number],
        }
        boards.append(BoardElement(tag=board.place.tag, curve=structure.curves[number], **numbers))
    matrix = None
    if structure.shares_sinks:
        matrix = np.zeros((len(placed), *to_air.shape))
        if thermal is not None:
            matrix = shared_sink_matrix(list(structure.first_on_sink), *thermal)
    return Circuit(
        arrangement=block.fixture.arrangement,
        boards=tuple(boards),
        runs=tuple(_run(block, row, ohm) for row, ohm in enumerate(runs.resistance_ohm)),
        thermal_matrix_k_per_w=matrix,
        are_sets_separate=structure.driver.lead_sets == "separately limited",
    )


def _run(block: Block, row: int, resistance_ohm: FloatArray) -> Run:
    """Return a run as the circuit asks for it: ends and resistance; the rest is kept apart."""
    numbers: dict[str, Any] = {"resistance_ohm": resistance_ohm}
    return Run(
        cable=block.structure.fixture.cables[row],
        rule_set=block.fixture.site.rule_set,
        ambient_c=np.nan,
        steps=None,
        terminal_limit_a=np.inf,
        status="",
        conductors_count=0,
        conductor_temperature_c=np.nan,
        **numbers,
    )


def split_of(circuit: Circuit, driver: Driver, air_c: FloatArray) -> CurrentSplit:
    """Return the split in every variant; where a part has none its numbers are NaN."""
    parts = circuit.parts()
    if len(parts) == 1 and len(parts[0].boards) == len(circuit.boards):
        return current_split(circuit.as_network(), driver=driver, ambient_c=air_c)
    splits = [current_split(part.circuit.as_network(), driver=driver, ambient_c=air_c) for part in parts]
    return _put_together(len(circuit.boards), parts, splits, driver, air_c)


def _put_together(
    boards: int, parts: Sequence[Part], splits: Sequence[CurrentSplit], driver: Driver, air_c: FloatArray
) -> CurrentSplit:
    """Return the splits of the parts as one; the driver's voltage is the mean that makes its power."""
    arrays = np.zeros((4, boards, air_c.size))
    arrays[3] = air_c
    for part, split in zip(parts, splits, strict=True):
        arrays[:, list(part.boards)] = split.current_a, split.voltage_v, split.power_w, split.temperature_c
    amps = np.array([split.driver_current_a for split in splits]).reshape(-1, air_c.size)
    volts = np.array([np.asarray(split.driver_voltage_v) for split in splits] or [np.asarray(driver.voltage_setting_v)])
    volts = np.broadcast_to(volts, (max(len(splits), 1), air_c.size))
    total = amps.sum(axis=0)
    mode = np.full(air_c.size, "no load", dtype="<U16")
    for word in reversed(MODES_BY_CARE):
        for split in splits:
            mode[np.asarray(split.mode) == word] = word
    with np.errstate(invalid="ignore", divide="ignore"):
        mean_v = (amps * volts[: len(amps)]).sum(axis=0) / total
    return CurrentSplit(
        current_a=arrays[0],
        voltage_v=arrays[1],
        power_w=arrays[2],
        temperature_c=arrays[3],
        driver_voltage_v=np.where(total > 0, mean_v, volts.max(axis=0)),
        driver_current_a=total,
        mode=mode,
        loop_gain=np.max([np.zeros(air_c.size), *(np.asarray(split.loop_gain) for split in splits)], axis=0),
        settled=np.all([np.ones(air_c.size, dtype=bool), *(np.asarray(one.settled) for one in splits)], axis=0),
    )


def cable_currents(circuit: Circuit, current_a: FloatArray) -> FloatArray:
    """Return the current of each cable, a row each."""
    if circuit.arrangement == "home runs":
        tags = [board.tag for board in circuit.boards]
        return np.asarray(current_a[[tags.index(run.cable.to_node) for run in circuit.runs]])
    # Sinks take no part in it: a network without them is all that is asked for.
    network = replace(circuit, thermal_matrix_k_per_w=None).as_network()
    assert not isinstance(network, Sequence)
    flowing = link_currents(network, current_a)
    # On a trunk the first link of each run is its plus conductor.
    return np.abs(flowing[::2] if circuit.arrangement == "shared trunk" else flowing)


def lead_set_currents(circuit: Circuit, current_a: FloatArray) -> dict[int, FloatArray]:
    """Return what flows out of each of the driver's output lead sets; ``current_a``: of the cables."""
    total: dict[int, FloatArray] = {}
    for run, amps in zip(circuit.runs, current_a, strict=True):
        cable = run.cable
        starts = wire_end(cable.from_node) in {("driver", ""), ("driver", "+")}
        if starts or wire_end(cable.to_node) == ("driver", "+"):
            total[cable.lead_set] = total[cable.lead_set] + amps if cable.lead_set in total else amps
    return total
