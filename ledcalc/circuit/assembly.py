"""From branches or a network, with a driver, to the kernel that solves them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit.boards import as_arrays
from ledcalc.circuit.coupled import Coupled
from ledcalc.circuit.home_runs import HomeRuns
from ledcalc.circuit.kernel import Kernel
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Branch, Driver
from ledcalc.circuit.ports import ports_of
from ledcalc.errors import ArgumentError

__all__ = ["kernel_of"]


def kernel_of(network: Sequence[Branch] | Network, driver: Driver, air: FloatArray) -> tuple[Kernel, FloatArray]:
    """Return the kernel for a circuit, and the air temperature with an entry a variant.

    Raises
    ------
    ArgumentError (a ValueError): no board, a short circuit, boards without supply
    """
    return _network(network, driver, air) if isinstance(network, Network) else _home_runs(network, driver, air)


def _home_runs(network: Sequence[Branch], driver: Driver, air: FloatArray) -> tuple[Kernel, FloatArray]:
    branches = list(network)
    if not branches:
        raise ArgumentError("network", branches, "at least one Branch")
    for branch in branches:
        if not isinstance(branch, Branch):
            raise ArgumentError("network", branch, "a sequence of Branch, or a Network")
    wires = [np.asarray(branch.wire_resistance_ohm, dtype=float) for branch in branches]
    boards, limits, (air, *runs) = as_arrays(branches, driver, air, *wires)
    return HomeRuns(boards=boards, limits=limits, wire_ohm=np.array(runs)), air


def _network(network: Network, driver: Driver, air: FloatArray) -> tuple[Kernel, FloatArray]:
    wires = [np.asarray(link.resistance_ohm, dtype=float) for link in network.cables]
    boards, limits, (air, *_) = as_arrays(network.boards, driver, air, *wires)
    matrix = network.thermal_matrix_k_per_w
    kernel = Coupled(
        boards=boards,
        limits=limits,
        ports=ports_of(network, air.shape[0]),
        thermal_k_per_w=None if matrix is None else np.asarray(matrix, dtype=float),
    )
    return kernel, air
