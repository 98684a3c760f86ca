"""The boards and the driver's output in their steady state, as far as readings tell of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.parts import PlacedBoard

__all__ = ["Boards", "boards_at", "boards_of", "interface_of", "stacked"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boards:
    """The boards' state, a row a board: current, voltage, rise of the sink over the air, photon flux; columns: changes
    of it, where there are any. ``output``: the driver's current and voltage, a row each."""

    current_a: FloatArray
    voltage_v: FloatArray
    rise_k: FloatArray
    flux_umol_s: FloatArray
    output: FloatArray


def boards_at(placed: Sequence[PlacedBoard], settled: Settled) -> Boards:
    """Return the boards in their steady state."""
    split = settled.split
    heat = split.power_w * (1.0 - settled.radiant_fraction)
    return Boards(
        current_a=split.current_a,
        voltage_v=split.voltage_v,
        rise_k=split.temperature_c - settled.air_c - interface_of(placed) * heat,
        flux_umol_s=settled.photon_flux_umol_s,
        output=np.array([float(split.driver_current_a), float(split.driver_voltage_v)]),
    )


def stacked(boards: Boards) -> FloatArray:
    """Return all of the state as rows of one array."""
    return np.concatenate([boards.current_a, boards.voltage_v, boards.rise_k, boards.flux_umol_s, boards.output])


def boards_of(rows: FloatArray) -> Boards:
    """Return the state that was stacked."""
    current, voltage, rise, flux = np.split(rows[:-2], 4)
    return Boards(current_a=current, voltage_v=voltage, rise_k=rise, flux_umol_s=flux, output=rows[-2:])


def interface_of(placed: Sequence[PlacedBoard]) -> FloatArray:
    """Return each board's thermal resistance to its sink."""
    return np.array([board.sink.interface_resistance_k_per_w for board in placed])
