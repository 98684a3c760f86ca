"""Thermal resistance of a block's heat sinks: as stated, or from dimensions at the temperature each is at."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.sinks import fans_off_factor, resistance_of
from ledcalc.fixture import HeatSink
from ledcalc.variants.blocks.arrays import column, rows
from ledcalc.variants.blocks.structure import Block

__all__ = ["fans_off_factors", "interfaces_of", "sinks_of"]


def interfaces_of(block: Block) -> FloatArray:
    """Return what lies between each board and its sink, a row a board."""
    return rows([board.sink.interface_resistance_k_per_w for board in block.placed], block.count)


def sinks_of(block: Block, surface_c: FloatArray, air_c: FloatArray) -> FloatArray:
    """Return each board's sink to air; one sink has one resistance, whichever of its boards is asked."""
    found: list[FloatArray] = []
    altitude = column(block.fixture.site.altitude_m, block.count)
    for number, (board, first) in enumerate(zip(block.placed, block.structure.first_on_sink, strict=True)):
        found.append(found[first] if first < number else _to_air(board.sink, surface_c[first], air_c, altitude))
    return np.array(found)


def _to_air(sink: HeatSink, surface_c: FloatArray, air_c: FloatArray, altitude_m: FloatArray) -> FloatArray:
    if sink.sink_resistance_k_per_w is not None:
        return column(sink.sink_resistance_k_per_w, air_c.size)
    states = zip(surface_c.tolist(), air_c.tolist(), altitude_m.tolist(), strict=True)
    return np.array([resistance_of(sink, *state) for state in states])


def fans_off_factors(
    sink: HeatSink, present_k_per_w: FloatArray, heat_w: FloatArray, air_c: FloatArray, altitude_m: FloatArray
) -> FloatArray:
    """Return what a stopped fan multiplies the sink's resistance by, as ``fans_off_factor``."""
    stated = np.asarray(sink.fans_off_factor, dtype=float)
    if sink.air_speed_m_per_s is None or (stated > 1).all():
        return column(stated, air_c.size)
    states = np.broadcast_arrays(present_k_per_w, heat_w, air_c, altitude_m)
    return np.array([fans_off_factor(sink, *(float(value) for value in state)) for state in zip(*states, strict=True)])
