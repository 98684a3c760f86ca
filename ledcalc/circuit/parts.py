"""What a circuit is made of, and what comes out: branch, driver, current split."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, Numbers, numbers, shared_shape
from ledcalc.circuit.curve import BoardCurve

__all__ = ["BoardLoad", "Branch", "CurrentSplit", "Driver", "check_load"]


class BoardLoad(Protocol):
    """What home runs and networks alike know of a board."""

    @property
    def curve(self) -> BoardCurve:
        """Voltage against current and temperature."""
        ...

    @property
    def thermal_resistance_k_per_w(self) -> ArrayLike:
        """Board to air, K/W."""
        ...

    @property
    def radiant_fraction(self) -> ArrayLike:
        """Share of the power that leaves as light."""
        ...

    @property
    def offset_v(self) -> ArrayLike:
        """How much the board's voltage differs from the curve, V."""
        ...


def check_load(load: BoardLoad) -> None:
    """Refuse numbers out of their range.

    Raises
    ------
    ArgumentError (a ValueError): which argument, and what is allowed
    """
    numbers("thermal_resistance_k_per_w", load.thermal_resistance_k_per_w, at_least=0)
    numbers("radiant_fraction", load.radiant_fraction, at_least=0, below=1)
    numbers("offset_v", load.offset_v)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Branch:
    """One board on its own cable (a home run). Every number may be an array of variants.

    Parameters
    ----------
    curve : the board's voltage against current and temperature
    wire_resistance_ohm : ohm, at least 0: the whole run, out and back, contacts included
    thermal_resistance_k_per_w : K/W, at least 0: board to air; 0 keeps the board at the air's temperature
    radiant_fraction : at least 0, below 1: share of the electrical power that leaves as light
    offset_v : V: how much this board's voltage differs from the curve

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    curve: BoardCurve
    wire_resistance_ohm: ArrayLike = 0.0
    thermal_resistance_k_per_w: ArrayLike = 0.0
    radiant_fraction: ArrayLike = 0.0
    offset_v: ArrayLike = 0.0

    def __post_init__(self) -> None:
        numbers("wire_resistance_ohm", self.wire_resistance_ohm, at_least=0)
        check_load(self)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Driver:
    """A driver as it is set. Every number may be an array of variants.

    Parameters
    ----------
    voltage_setting_v : V, above 0: the ceiling
    current_setting_a : A, above 0: the limit of all branches together
    power_limit_w : W, above 0; infinity: none
    window_min_v : V, at least 0: below this load voltage it cannot hold its current
    cut_off_v : V, at least 0: where the load would settle below this voltage it switches its output off; 0: it never
        does

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    voltage_setting_v: ArrayLike
    current_setting_a: ArrayLike
    power_limit_w: ArrayLike = np.inf
    window_min_v: ArrayLike = 0.0
    cut_off_v: ArrayLike = 0.0

    def __post_init__(self) -> None:
        numbers("voltage_setting_v", self.voltage_setting_v, above=0)
        numbers("current_setting_a", self.current_setting_a, above=0, infinite=True)
        numbers("power_limit_w", self.power_limit_w, above=0, infinite=True)
        numbers("window_min_v", self.window_min_v, at_least=0)
        numbers("cut_off_v", self.cut_off_v, at_least=0)
        shared_shape({name: value.shape for name, value in self.as_arrays().items()})

    def as_arrays(self) -> dict[str, FloatArray]:
        """Return every setting as a float array."""
        return {entry.name: np.asarray(getattr(self, entry.name), dtype=float) for entry in fields(self)}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurrentSplit:
    """How the current splits, reached from a cold start.

    ``current_a``, ``voltage_v`` (at the board), ``power_w`` (taken by the board) and ``temperature_c`` have an entry a
    board, and variants on the last axis. ``mode`` is one of constant current, constant voltage, power limit, below
    window, no load, switched off; an array of them for variants. ``loop_gain`` is the growth of a small warm-up through
    the circuit at the state reached: below 1 it dies out. Where a board ran away with the others' current it is that of
    where this ended, and may be small: ``stability_advice`` tells. Where no steady state exists all numbers are NaN and
    ``settled`` is False. Where the driver is switched off by its cut-off all is 0 and the boards are as warm as the
    air, but ``driver_voltage_v`` says at which voltage the load would settle.
    """

    current_a: FloatArray
    voltage_v: FloatArray
    power_w: FloatArray
    temperature_c: FloatArray
    driver_voltage_v: Numbers
    driver_current_a: Numbers
    mode: str | NDArray[np.str_]
    loop_gain: Numbers
    settled: bool | NDArray[np.bool_]
