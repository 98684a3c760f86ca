"""The table of boards: place, current against rating, heat, light."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import FaultOutcome
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture, HeatSink
from ledcalc.heat import burn_threshold, junction_temperature
from ledcalc.results import BoardResults

__all__ = ["board_results", "touch_limit_of"]

# A touch by accident.
TOUCH_S = 1.0


def board_results(
    fixture: Fixture, placed: Sequence[PlacedBoard], settled: Settled, faults: Sequence[FaultOutcome]
) -> BoardResults:
    """Return one entry a board on the fixture, in the order in which they are placed."""
    split = settled.split
    heat = split.power_w * (1.0 - settled.radiant_fraction)
    interface = np.array([board.sink.interface_resistance_k_per_w for board in placed])
    return BoardResults(
        tag=tuple(board.place.tag for board in placed),
        model=tuple(board.model.tag for board in placed),
        heat_sink=tuple(board.sink.tag for board in placed),
        x_m=np.array([board.place.x_m for board in placed]),
        y_m=np.array([board.place.y_m for board in placed]),
        z_m=np.array([fixture.canopy_height_m + float(board.place.height_m or 0.0) for board in placed]),
        width_m=np.array([board.model.width_m for board in placed]),
        length_m=np.array([board.model.length_m for board in placed]),
        rotation_deg=np.array([board.place.rotation_deg for board in placed]),
        tilt_deg=np.array([board.place.tilt_deg for board in placed]),
        current_a=split.current_a,
        cold_current_a=settled.cold_current_a,
        share_fraction=split.current_a / max(float(split.driver_current_a), 1e-300),
        rated_current_a=np.array([board.model.rated_current_a for board in placed]),
        one_lost_current_a=_one_lost_currents(faults, len(placed)),
        voltage_v=split.voltage_v,
        power_w=split.power_w,
        heat_w=heat,
        temperature_c=split.temperature_c,
        sink_resistance_k_per_w=settled.sink_k_per_w,
        sink_heat_w=settled.sink_heat_w,
        shared_sink=tuple(board.place.shared_sink or "" for board in placed),
        sink_temperature_c=split.temperature_c - interface * heat,
        rated_temperature_c=np.array([board.model.rated_temperature_c for board in placed]),
        junction_temperature_c=_junctions(placed, split.temperature_c, heat),
        rated_junction_temperature_c=np.array(
            [board.model.rated_junction_temperature_c for board in placed], dtype=float
        ),
        touch_limit_c=np.array([touch_limit_of(board.sink) for board in placed]),
        photon_flux_umol_s=settled.photon_flux_umol_s,
        extrapolated=tuple(
            bool(board.curve.extrapolated(float(amps)))
            for board, amps in zip(settled.circuit.boards, split.current_a, strict=True)
        ),
        wrong_way_round=settled.circuit.wrong_way_round(),
    )


def _junctions(placed: Sequence[PlacedBoard], board_c: FloatArray, heat_w: FloatArray) -> FloatArray:
    """Return the LEDs' junction temperatures; NaN where a model's row does not tell how to get there."""
    found = np.full(len(placed), np.nan)
    for number, board in enumerate(placed):
        model = board.model
        count = model.emitters_count or (model.led_series_count or 0) * model.led_parallel_count
        if model.junction_resistance_k_per_w is not None and count > 0:
            found[number] = junction_temperature(
                board_c[number],
                heat_w[number],
                emitters_count=count,
                junction_resistance_k_per_w=model.junction_resistance_k_per_w,
            )
    return found


def touch_limit_of(sink: HeatSink) -> float:
    """Return where touching a sink for a moment starts to burn, less its own uncertainty; NaN out of reach."""
    if sink.within_reach == "no":
        return float("nan")
    threshold = burn_threshold(sink.surface, TOUCH_S)
    return float(threshold.low_c) - threshold.reading_uncertainty_k


def _one_lost_currents(faults: Sequence[FaultOutcome], count: int) -> FloatArray:
    """Return, for each board, the highest current it sees when any one other is open.

    NaN for a lone board, and where no faults were tried because the boards do not share.
    """
    highest = np.full(count, np.nan)
    for outcome in faults:
        lit = [number for number in range(count) if number not in outcome.dark]
        if outcome.kind == "board open":
            highest[lit] = np.fmax(highest[lit], outcome.current_a[lit])
    return highest
