"""Single faults that a fixture can have beyond its circuit: lead sets, LEDs, fans, dials, hottest and coldest day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import FaultConditions, LedLayout
from ledcalc.circuit.changed import Circuit as Wired
from ledcalc.evaluation.circuits import Circuit
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.evaluation.sinks import fans_off_factor
from ledcalc.fixture import DriverModel, Fixture

__all__ = ["Fed", "fault_conditions", "leds_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed:
    """Boards that one limit of the driver holds for: all of them, or those of a separately limited lead set."""

    boards: tuple[int, ...]
    circuit: Circuit
    network: Wired
    placed: Sequence[PlacedBoard]

    @property
    def rated_a(self) -> FloatArray:
        """Rated currents."""
        return np.array([board.model.rated_current_a for board in self.placed])

    @property
    def rated_c(self) -> FloatArray:
        """Rated temperatures."""
        return np.array([board.model.rated_temperature_c for board in self.placed])


def fault_conditions(part: Fed, fixture: Fixture, model: DriverModel, settled: Settled) -> FaultConditions:
    """Return lead sets, LEDs, fans, dials and days of a part, for the faults that follow from them."""
    site, rise = fixture.site, settled.air_c - fixture.site.air_temperature_c
    sets: dict[int, list[int]] = {}
    for number, lead_set in enumerate(part.circuit.lead_set_of_boards()):
        sets.setdefault(lead_set, []).append(number)
    return FaultConditions(
        board_names=[board.place.tag for board in part.placed],
        link_names=part.circuit.link_names(),
        leds=[leds_of(board) for board in part.placed],
        lead_sets=[(f"lead set {name}", boards) for name, boards in sets.items() if name > 0] if len(sets) > 1 else (),
        fans_off_factor=_fans_off(part, fixture, settled),
        highest=replace(
            settled.driver,
            voltage_setting_v=max(model.voltage_high_v, fixture.voltage_setting_v),
            current_setting_a=max(model.current_high_a, fixture.current_setting_a),
        ),
        hottest_c=None if site.hottest_air_c is None else site.hottest_air_c + rise,
        coldest_c=site.coldest_air_c,
    )


def _fans_off(part: Fed, fixture: Fixture, settled: Settled) -> float:
    """Return one factor for board to air as a whole, the worst of the sinks': the interface has no fan."""
    worst, heat = 1.0, settled.split.power_w * (1.0 - settled.radiant_fraction)
    for number, board in zip(part.boards, part.placed, strict=True):
        sink, all_heat = float(settled.sink_k_per_w[number]), float(settled.sink_heat_w[number])
        factor = fans_off_factor(board.sink, sink, all_heat, settled.air_c, fixture.site.altitude_m)
        through, over = board.sink.interface_resistance_k_per_w * float(heat[number]), sink * all_heat
        worst = max(worst, (through + over * factor) / max(through + over, 1e-12))
    return worst


def leds_of(board: PlacedBoard) -> LedLayout | None:
    """Return how a board's LEDs are wired; None where its model does not say."""
    model = board.model
    if model.led_series_count is None:
        return None
    return LedLayout(
        series_count=model.led_series_count, parallel_count=model.led_parallel_count, layout=model.led_layout
    )
