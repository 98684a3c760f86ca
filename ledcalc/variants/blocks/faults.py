"""Single faults in a block: which kinds pass a limit in which variants, and what a lost branch does to the others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit import FaultConditions, Network
from ledcalc.circuit.changed import with_heat_scaled
from ledcalc.circuit.fault_cases import FaultCase, fault_cases
from ledcalc.circuit.split import split_without_gain
from ledcalc.evaluation.circuits import Part
from ledcalc.evaluation.fault_conditions import leds_of
from ledcalc.evaluation.what_if import MOST_NETWORKED
from ledcalc.variants.blocks.arrays import column, rows
from ledcalc.variants.blocks.sinks import fans_off_factors
from ledcalc.variants.blocks.steady import Steady
from ledcalc.variants.blocks.structure import Block

__all__ = ["BlockFaults", "faults_of", "is_large"]

OVER = 1.0 + 1e-9
WARMER_K = 1e-6
# What stands for a number that varies while faults are named; the number itself is put in after that.
PLACE_HOLDER_C, BLOWN_FACTOR = 25.0, 2.0
OPEN = "board open"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockFaults:
    """For each kind of fault, in which variants one of them takes a board over its limits or leaves no steady state;
    the same for those that switch the driver off; and each board's highest current when any one other is lost."""

    overloads: dict[str, NDArray[np.bool_]]
    switches_off: dict[str, NDArray[np.bool_]]
    one_lost_current_a: FloatArray


def is_large(part: Part) -> bool:
    """Return whether a part is a network of so many boards that its faults are not tried."""
    return isinstance(part.circuit.as_network(), Network) and len(part.boards) > MOST_NETWORKED


def faults_of(block: Block, steady: Steady, *, only_open: bool = False) -> BlockFaults:
    """Return what single faults do; ``only_open``: a lost branch alone is asked for."""
    found = BlockFaults(overloads={}, switches_off={}, one_lost_current_a=np.full(steady.split.current_a.shape, np.nan))
    placed = block.placed
    rated_a = rows([board.model.rated_current_a for board in placed], block.count)
    rated_c = rows([board.model.rated_temperature_c for board in placed], block.count)
    for part in steady.circuit.parts():
        if is_large(part):
            continue
        for case, counts in _cases(block, steady, part):
            if only_open and case.kind != OPEN:
                continue
            _try(found, case, counts, steady.split.current_a, part, rated_a, rated_c)
    return found


def _try(
    found: BlockFaults,
    case: FaultCase,
    counts: NDArray[np.bool_],
    healthy_a: FloatArray,
    part: Part,
    rated_a: FloatArray,
    rated_c: FloatArray,
) -> None:
    """Solve a case in every variant and add what it leads to; ``counts``: in which variants there is such a fault."""
    lit = [part.boards[number] for number in case.left]
    others = [number for number in range(len(healthy_a)) if number not in part.boards]
    lost = found.one_lost_current_a
    if case.kind == OPEN:
        lost[others] = np.fmax(lost[others], healthy_a[others])
    if not lit:
        return
    split = split_without_gain(case.network, case.driver, case.ambient_c)
    if case.kind == OPEN:
        lost[lit] = np.fmax(lost[lit], split.current_a)
    over = (split.current_a > rated_a[lit] * OVER) | (split.temperature_c > rated_c[lit] + WARMER_K)
    overloads = counts & (~np.asarray(split.settled) | over.any(axis=0))
    is_off = counts & (np.asarray(split.mode) == "switched off")
    for known, new in ((found.overloads, overloads), (found.switches_off, is_off)):
        known[case.kind] = known[case.kind] | new if case.kind in known else new


def _cases(block: Block, steady: Steady, part: Part) -> Iterator[tuple[FaultCase, NDArray[np.bool_]]]:
    """Yield the faults of a part, and in which variants each can be."""
    fixture, model, site = block.fixture, block.driver, block.fixture.site
    network, every = part.circuit.as_network(), np.ones(block.count, dtype=bool)
    air = steady.around.air_c
    fans = _fans_off(block, steady, part)
    highest = replace(
        steady.driver,
        voltage_setting_v=np.maximum(model.voltage_high_v, fixture.voltage_setting_v),
        current_setting_a=np.maximum(model.current_high_a, fixture.current_setting_a),
    )
    placed = [block.structure.placed[number] for number in part.boards]
    sets: dict[int, list[int]] = {}
    for number, lead_set in enumerate(part.circuit.lead_set_of_boards()):
        sets.setdefault(lead_set, []).append(number)
    conditions = FaultConditions(
        board_names=[board.place.tag for board in placed],
        link_names=part.circuit.link_names(),
        leds=[leds_of(board) for board in placed],
        lead_sets=[(f"lead set {name}", boards) for name, boards in sets.items() if name > 0] if len(sets) > 1 else (),
        fans_off_factor=BLOWN_FACTOR if (fans > 1).any() else 1.0,
        highest=highest,
        hottest_c=None if site.hottest_air_c is None else PLACE_HOLDER_C,
        coldest_c=None if site.coldest_air_c is None else PLACE_HOLDER_C,
    )
    hottest, coldest = (0.0 if degrees is None else degrees for degrees in (site.hottest_air_c, site.coldest_air_c))
    changes: dict[str, tuple[dict[str, Any], NDArray[np.bool_]]] = {
        "fans off": ({"network": with_heat_scaled(network, fans)}, fans > 1),
        "hottest day": ({"ambient_c": column(hottest + (air - site.air_temperature_c), block.count)}, every),
        "cold start": ({"ambient_c": column(coldest, block.count)}, every),
    }
    for case in fault_cases(network, steady.driver, PLACE_HOLDER_C, conditions):
        changed, counts = changes.get(case.kind, ({"ambient_c": air}, every))
        yield replace(case, **{"ambient_c": air, **changed}), counts


def _fans_off(block: Block, steady: Steady, part: Part) -> FloatArray:
    """Return one factor for board to air as a whole, the worst of the sinks': the interface has no fan."""
    worst, altitude = np.ones(block.count), column(block.fixture.site.altitude_m, block.count)
    for number in part.boards:
        sink, own = block.placed[number].sink, steady.around.sink_k_per_w[number]
        all_heat = steady.sink_heat_w[number]
        factor = fans_off_factors(sink, own, all_heat, steady.around.air_c, altitude)
        through, over = sink.interface_resistance_k_per_w * steady.heat_w[number], own * all_heat
        worst = np.maximum(worst, (through + over * factor) / np.maximum(through + over, 1e-12))
    return worst
