"""Lone circuits side by side as variants of one: those of one shape are solved together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.assembly import circuit_of
from ledcalc.circuit.boards import Boards, Limits
from ledcalc.circuit.changed import Circuit
from ledcalc.circuit.coupled import Coupled
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.home_runs import HomeRuns
from ledcalc.circuit.kernel import Kernel
from ledcalc.circuit.parts import CurrentSplit, Driver
from ledcalc.circuit.ports import Ports
from ledcalc.circuit.split import gain_while_sharing, split_of
from ledcalc.circuit.wired import Wired

__all__ = ["Stack", "stacks_of"]

Where: TypeAlias = NDArray[np.intp] | NDArray[np.bool_]
Rows = TypeVar("Rows", Boards, Limits)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stack:
    """Circuits of one shape; ``numbers``: which of those given, in the order of the kernel's variants."""

    numbers: tuple[int, ...]
    kernel: Kernel
    base_c: FloatArray

    def split(self) -> CurrentSplit:
        """Return how the current splits in each."""
        return split_of(self.kernel, self.base_c)

    def gain_while_sharing(self) -> FloatArray:
        """Return the loop gain of each, infinite where a board hogs or runs away."""
        return gain_while_sharing(self.kernel, self.base_c)

    def at_settings(self, columns: Sequence[int], current_setting_a: Sequence[float]) -> CurrentSplit:
        """Return the split of some of them, each at a current setting of its own; loop gains may be bounds of them."""
        only = np.array(columns, dtype=np.intp)
        part = self.kernel.part(only)
        settings = np.array(current_setting_a, dtype=float)
        turned = part.with_limits(replace(part.limits, current_a=settings))
        return split_of(turned, self.base_c[:, only], is_gain_wanted=False)


def stacks_of(cases: Sequence[tuple[Circuit, Driver, float]]) -> tuple[Stack, ...]:
    """Return circuits (network, driver, air in degC; single numbers only) in stacks of one shape each."""
    alike: dict[tuple[object, ...], list[Entry]] = {}
    for number, (network, driver, ambient_c) in enumerate(cases):
        circuit = circuit_of(network, driver, np.asarray(ambient_c, dtype=float))
        kernel, base = circuit.kernel(slice(None))
        curves = [load.curve for load in circuit.loads]
        alike.setdefault(_shape_of(kernel), []).append(Entry(number=number, kernel=kernel, base_c=base, curves=curves))
    return tuple(
        Stack(
            numbers=tuple(entry.number for entry in entries),
            kernel=_joined(entries),
            base_c=np.concatenate([entry.base_c for entry in entries], axis=1),
        )
        for entries in alike.values()
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Entry:
    """One circuit before it is stacked, ``curves``: of its boards, as given."""

    number: int
    kernel: Kernel
    base_c: FloatArray
    curves: Sequence[BoardCurve]


def _shape_of(kernel: Kernel) -> tuple[object, ...]:
    count = kernel.boards.offset_v.shape[0]
    if isinstance(kernel, Wired | Coupled):
        ports = kernel.ports
        return type(kernel), count, ports.feed.tobytes(), ports.islands.shape, ports.islands.tobytes()
    return type(kernel), count


def _joined(entries: Sequence[Entry]) -> Kernel:
    """Return the kernels of circuits of one shape as one, a variant each."""
    kernels = [entry.kernel for entry in entries]
    if len(kernels) == 1:
        return kernels[0]
    limits = _rows([kernel.limits for kernel in kernels])
    boards = replace(_rows([kernel.boards for kernel in kernels]), groups=_groups([entry.curves for entry in entries]))
    first = kernels[0]
    if isinstance(first, HomeRuns):
        runs = [kernel.wire_ohm for kernel in kernels if isinstance(kernel, HomeRuns)]
        return HomeRuns(boards=boards, limits=limits, wire_ohm=np.concatenate(runs, axis=1))
    frames = [kernel.ports.frame_ohm for kernel in kernels if isinstance(kernel, Wired | Coupled)]
    assert isinstance(first, Wired | Coupled)
    ports = Ports(frame_ohm=np.concatenate(frames, axis=2), feed=first.ports.feed, islands=first.ports.islands)
    if isinstance(first, Wired):
        return Wired(boards=boards, limits=limits, ports=ports)
    thermal = np.concatenate([kernel.thermal_k_per_w for kernel in kernels if isinstance(kernel, Coupled)])
    return Coupled(boards=boards, limits=limits, ports=ports, thermal_k_per_w=thermal)


def _rows(parts: Sequence[Rows]) -> Rows:
    """Return dataclasses of arrays as one, variants side by side; groups of curves are left as they are."""
    names = [entry.name for entry in fields(parts[0]) if entry.name != "groups"]
    whole: dict[str, Any] = {name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in names}
    return replace(parts[0], **whole)


def _groups(curves: Sequence[Sequence[BoardCurve]]) -> tuple[tuple[BoardCurve, Where], ...]:
    """Return which boards have which curve, a row a board and a column a circuit."""
    known = {id(curve): curve for own in curves for curve in own}
    table = np.array([[id(curve) for curve in own] for own in curves]).T
    if (table == table[:, :1]).all():
        return tuple((curve, np.flatnonzero(table[:, 0] == number)) for number, curve in known.items())
    return tuple((curve, table == number) for number, curve in known.items())
