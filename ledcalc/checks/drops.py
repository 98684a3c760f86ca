"""Wire sizes that clear a drop once the currents have settled anew: a thicker run takes more current than before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.checks.limits import driver_of, limit
from ledcalc.circuit import Branch, Driver, current_split
from ledcalc.fixture import Fixture
from ledcalc.model_curves import curve_of
from ledcalc.records import placed_boards
from ledcalc.results import Evaluation

__all__ = ["sizes_that_clear"]


def sizes_that_clear(
    fixture: Fixture, results: Evaluation, sizes: Mapping[int, Sequence[tuple[str, float]]], most_fraction: float
) -> dict[int, str | None]:
    """Return, for rows of home runs, the smallest size each with which none drops too much; None where none does.

    ``sizes``: for each row the sizes to try, smallest first, with the run's resistance in ohm. Light shares and thermal
    resistances stay as they settled.
    """
    boards, wires = results.boards, results.wires
    runs_to = {tag: row for row, tag in enumerate(wires.to_node)}
    row_of = [runs_to[tag] for tag in boards.tag]
    ohm, chosen = wires.resistance_ohm.astype(float).copy(), dict.fromkeys(sizes, 0)
    # A board that takes more makes a little less light of it, and its warmer run has a little more resistance.
    inside = most_fraction * (1.0 - 4.0 * limit("remedy_reserve_fraction"))
    for _ in range(sum(len(own) for own in sizes.values())):
        for row, number in chosen.items():
            if number < len(sizes[row]):
                ohm[row] = sizes[row][number][1]
        split = current_split(
            _branches(fixture, results, ohm[row_of]), driver=_driver(fixture), ambient_c=_air(results)
        )
        drop = dict(zip(row_of, split.current_a * ohm[row_of] / float(split.driver_voltage_v), strict=True))
        high = [row for row, number in chosen.items() if number < len(sizes[row]) and drop[row] > inside]
        if not high:
            break
        for row in high:
            chosen[row] += 1
    return {row: sizes[row][number][0] if number < len(sizes[row]) else None for row, number in chosen.items()}


def _branches(fixture: Fixture, results: Evaluation, ohm: FloatArray) -> list[Branch]:
    boards = results.boards
    models = {model.tag: model for model in fixture.boards}
    curves = {
        tag: curve_of(models[tag], tuple(point for point in fixture.board_points if point.board == tag))
        for tag in set(boards.model)
    }
    heat = np.maximum(boards.heat_w, 1e-12)
    to_air = np.maximum(boards.temperature_c - _air(results), 0.0) / heat
    return [
        Branch(
            curve=curves[name],
            wire_resistance_ohm=float(own),
            thermal_resistance_k_per_w=float(to_air[number]),
            radiant_fraction=float(1.0 - boards.heat_w[number] / max(boards.power_w[number], 1e-12)),
            offset_v=place.offset_v,
        )
        for number, (name, own, place) in enumerate(zip(boards.model, ohm, placed_boards(fixture), strict=True))
    ]


def _air(results: Evaluation) -> float:
    return float(results.operating.air_temperature_c)


def _driver(fixture: Fixture) -> Driver:
    _, model = driver_of(fixture)
    return Driver(
        voltage_setting_v=fixture.voltage_setting_v,
        current_setting_a=fixture.current_setting_a * fixture.dimming_fraction,
        power_limit_w=model.power_limit_w,
        window_min_v=model.window_min_v,
    )
