"""From branches or a network, with a driver, to the kernels that solve them, some variants at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ledcalc.arguments import FloatArray, shared_shape
from ledcalc.circuit.boards import boards_of, limits_of
from ledcalc.circuit.coupled import Coupled
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.home_runs import HomeRuns
from ledcalc.circuit.kernel import Kernel
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import BoardLoad, Branch, Driver
from ledcalc.circuit.ports import Wiring, wiring_of
from ledcalc.circuit.shapes import part_of
from ledcalc.circuit.wired import Wired
from ledcalc.errors import ArgumentError

__all__ = ["Circuit", "circuit_of", "kernel_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circuit:
    """A circuit that is fit to be solved: its numbers as given, so that many variants take no room beforehand.

    ``wiring``: None for home runs, each with its own ``runs_ohm``. ``thermal_k_per_w``: (variants or 1, boards,
    boards). ``shape``: of all numbers together, () where none is an array of variants.
    """

    loads: Sequence[BoardLoad]
    driver: Driver
    air_c: FloatArray
    runs_ohm: Sequence[FloatArray]
    wiring: Wiring | None
    thermal_k_per_w: FloatArray | None
    shape: tuple[int, ...]

    def kernel(self, only: slice) -> tuple[Kernel, FloatArray]:
        """Return the kernel for some variants, and the air around each board."""
        size = len(range(*only.indices(self.shape[0] if self.shape else 1)))
        boards, limits = boards_of(self.loads, only, size), limits_of(self.driver, only, size)
        base = np.broadcast_to(part_of(self.air_c, only), (len(self.loads), size))
        if self.wiring is None:
            runs = np.empty(base.shape)
            for row, value in zip(runs, self.runs_ohm, strict=True):
                row[:] = part_of(value, only)
            return HomeRuns(boards=boards, limits=limits, wire_ohm=runs), base
        ports = self.wiring.ports(only, size)
        if self.thermal_k_per_w is None:
            return Wired(boards=boards, limits=limits, ports=ports), base
        thermal = self.thermal_k_per_w if len(self.thermal_k_per_w) == 1 else self.thermal_k_per_w[only]
        return Coupled(boards=boards, limits=limits, ports=ports, thermal_k_per_w=thermal), base


def circuit_of(network: Sequence[Branch] | Network, driver: Driver, air_c: FloatArray) -> Circuit:
    """Return a circuit fit to be solved.

    Raises
    ------
    ArgumentError (a ValueError): no board, a short circuit, boards without supply
    """
    if not isinstance(driver, Driver):
        raise ArgumentError("driver", type(driver).__name__, "a Driver(voltage_setting_v=..., current_setting_a=...)")
    loads: Sequence[BoardLoad]
    if isinstance(network, Network):
        loads, runs, wiring = network.boards, [], wiring_of(network)
        wires, matrix = [np.shape(link.resistance_ohm) for link in network.cables], network.thermal_matrix_k_per_w
    else:
        loads = branches = _branches(network)
        runs, wiring = [np.asarray(branch.wire_resistance_ohm, dtype=float) for branch in branches], None
        wires, matrix = [run.shape for run in runs], None
    own = [
        np.shape(value)
        for load in loads
        for value in (load.thermal_resistance_k_per_w, load.radiant_fraction, load.offset_v)
    ]
    curves = [_shape_of(curve) for curve in {id(load.curve): load.curve for load in loads}.values()]
    thermal = None if matrix is None else np.moveaxis(np.atleast_3d(np.asarray(matrix, dtype=float)), 2, 0)
    if thermal is not None and len(thermal) > 1:
        own.append(thermal.shape[:1])
    return Circuit(
        loads=loads,
        driver=driver,
        air_c=air_c,
        runs_ohm=runs,
        wiring=wiring,
        thermal_k_per_w=thermal,
        shape=_shape_of_all(air_c, driver, {"wire_resistance_ohm": wires, "the boards' numbers": [*own, *curves]}),
    )


def _shape_of_all(
    air_c: FloatArray, driver: Driver, network: Mapping[str, Sequence[tuple[int, ...]]]
) -> tuple[int, ...]:
    """Return the shape of all numbers together, or say which do not go together."""
    settings = {f"driver.{name}": value.shape for name, value in driver.as_arrays().items()}
    # A shape once: there may be many boards.
    parts = {
        f"{name} ({number})" if number else name: shape
        for name, shapes in network.items()
        for number, shape in enumerate(dict.fromkeys(shapes))
    }
    return shared_shape({"ambient_c": air_c.shape, **settings, **parts})


@lru_cache(maxsize=64)
def _shape_of(curve: BoardCurve) -> tuple[int, ...]:
    """Return the shape of a curve's variants, kept: circuits of one fixture share their curves."""
    return curve.variants_shape


def kernel_of(network: Sequence[Branch] | Network, driver: Driver, air: FloatArray) -> tuple[Kernel, FloatArray]:
    """Return the kernel for all variants of a circuit, and the air temperature with an entry a variant.

    Raises
    ------
    ArgumentError (a ValueError): no board, a short circuit, boards without supply
    """
    kernel, base = circuit_of(network, driver, air).kernel(slice(None))
    return kernel, base[0]


def _branches(network: Sequence[Branch]) -> list[Branch]:
    if not isinstance(network, Iterable):
        raise ArgumentError("network", network, "a sequence of Branch, or a Network")
    branches = list(network)
    if not branches:
        raise ArgumentError("network", branches, "at least one Branch")
    for branch in branches:
        if not isinstance(branch, Branch):
            raise ArgumentError("network", branch, "a sequence of Branch, or a Network")
    return branches
