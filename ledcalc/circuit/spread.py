"""Circuits whose parts differ by chance, or by what is wanted: what tolerances are drawn and worked out from."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.changed import Circuit, loads_of, with_offsets, with_sinks_scaled, with_wires_scaled
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import CurrentSplit, Driver
from ledcalc.circuit.split import split_without_gain

__all__ = ["Parts", "Spread", "drawn", "split_with"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far parts of one kind differ.

    Parameters
    ----------
    board_sigma_v : V, at least 0: standard deviation of a whole board's voltage at one current (normal); not the width
        of an LED bin, see ``board_voltage_sigma``
    current_setting_fraction, voltage_setting_fraction : 0 to below 1: the driver's tolerance, evenly spread within
        plus or minus
    wire_fraction : 0 to below 1: of each wire's resistance, evenly spread within plus or minus
    sink_fraction : 0 to below 1: of each board's own thermal resistance, evenly spread within plus or minus; sinks that
        boards share (a thermal matrix) stay as they are

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    board_sigma_v: float = 0.0
    current_setting_fraction: float = 0.0
    voltage_setting_fraction: float = 0.0
    wire_fraction: float = 0.0
    sink_fraction: float = 0.0

    def __post_init__(self) -> None:
        numbers("board_sigma_v", self.board_sigma_v, at_least=0)
        for name in ("current_setting_fraction", "voltage_setting_fraction", "wire_fraction", "sink_fraction"):
            numbers(name, getattr(self, name), at_least=0, below=1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Parts:
    """How far parts are off, an entry a sample on the last axis: ``boards`` in standard deviations, the others, -1 to
    1, in parts of their tolerance."""

    boards: FloatArray
    wires: FloatArray
    sinks: FloatArray
    current: FloatArray
    voltage: FloatArray

    def only(self, samples: NDArray[np.bool_]) -> Parts:
        """Return some of the samples, by a mask."""
        return Parts(
            boards=self.boards[:, samples],
            wires=self.wires[:, samples],
            sinks=self.sinks[:, samples],
            current=self.current[samples],
            voltage=self.voltage[samples],
        )


def wires_of(network: Circuit) -> int:
    """Return how many wires a circuit has: a run a board, or links."""
    return len(network.cables) if isinstance(network, Network) else len(network)


def drawn(network: Circuit, samples: int, seed: int) -> Parts:
    """Return parts drawn by chance."""
    rng = np.random.default_rng(seed)
    boards = len(loads_of(network))
    return Parts(
        boards=rng.standard_normal((boards, samples)),
        wires=rng.uniform(-1.0, 1.0, (wires_of(network), samples)),
        sinks=rng.uniform(-1.0, 1.0, (boards, samples)),
        current=rng.uniform(-1.0, 1.0, samples),
        voltage=rng.uniform(-1.0, 1.0, samples),
    )


def split_with(parts: Parts, network: Circuit, spread: Spread, driver: Driver, ambient_c: float) -> CurrentSplit:
    """Return how the current splits with parts off by so much; loop gains may be bounds of them."""
    tried = with_offsets(network, list(spread.board_sigma_v * parts.boards))
    if spread.wire_fraction > 0:
        tried = with_wires_scaled(tried, list(1.0 + spread.wire_fraction * parts.wires))
    if spread.sink_fraction > 0:
        tried = with_sinks_scaled(tried, list(1.0 + spread.sink_fraction * parts.sinks))
    settings = replace(
        driver,
        current_setting_a=np.asarray(driver.current_setting_a)
        * (1.0 + spread.current_setting_fraction * parts.current),
        voltage_setting_v=np.asarray(driver.voltage_setting_v)
        * (1.0 + spread.voltage_setting_fraction * parts.voltage),
    )
    return split_without_gain(tried, settings, ambient_c)
