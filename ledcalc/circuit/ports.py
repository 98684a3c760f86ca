"""Wires seen from the boards: one symmetric matrix between them, by the currents in a tree of wires and its meshes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.network import Network
from ledcalc.circuit.shapes import Columns, part_of
from ledcalc.errors import ArgumentError

__all__ = ["Ports", "Wiring", "wiring_of"]

# A wire of less counts as a mere joint; where only some variants have less, they have this.
LEAST_OHM = 1e-6
STIFF_TIMES = 1e6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ports:
    """The wires as boards see them: V board + Z I = a V driver + B u, with B' I = 0 on islands no wire feeds.

    ``frame_ohm``: Z bordered by B, (boards + islands, boards + islands, variants). ``feed``: a, a row a board.
    ``islands``: B, (boards, islands).
    """

    frame_ohm: FloatArray
    feed: FloatArray
    islands: FloatArray

    @property
    def impedance_ohm(self) -> FloatArray:
        """Z, (boards, boards, variants)."""
        return self.frame_ohm[: self.feed.size, : self.feed.size]

    def held_ohm(self, driver_ohm: FloatArray, seen_ohm: FloatArray) -> FloatArray:
        """Return what a driver that gives way adds to what boards and wires are, (boards, boards, variants); one
        that holds its current counts as very many times as stiff as these."""
        stiff = STIFF_TIMES * np.abs(seen_ohm).max(axis=(0, 1))
        return np.asarray(self.feed[:, None, None] * self.feed[:, None] * np.minimum(driver_ohm, stiff))

    def part(self, only: Columns) -> Ports:
        """Return the wires of some variants."""
        return Ports(frame_ohm=self.frame_ohm[:, :, only], feed=self.feed, islands=self.islands)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wiring:
    """A network's wires in order: what flows in each (a row a wire) by a unit current through each board, then round
    each mesh."""

    flows: FloatArray
    ohms: Sequence[FloatArray]
    feed: FloatArray
    islands: FloatArray

    def ports(self, only: slice, size: int) -> Ports:
        """Return the wires of some variants, ``size`` of them, as boards see them.

        Drops round meshes are none: C' R (P I + C m) = 0 takes the mesh currents m out of the drops P' R (P I + C m).
        """
        ohms = np.empty((len(self.ohms), size))
        for row, value in zip(ohms, self.ohms, strict=True):
            row[:] = part_of(value, only)
        np.maximum(ohms, LEAST_OHM, out=ohms)
        count, boards = self.flows.shape[1], self.feed.size
        pairs = (self.flows[:, :, None] * self.flows[:, None, :]).reshape(len(self.ohms), count * count)
        drops = (pairs.T @ ohms).reshape(count, count, size)
        for mesh in range(count - 1, boards - 1, -1):
            drops[:mesh, :mesh] -= drops[:mesh, None, mesh] * (drops[mesh, :mesh] / drops[mesh, mesh])
        frame = drops[:boards, :boards]
        if self.islands.shape[1]:
            frame = np.zeros((boards + self.islands.shape[1],) * 2 + (size,))
            frame[:boards, :boards] = drops[:boards, :boards]
            frame[:boards, boards:] = self.islands[:, :, None]
            frame[boards:, :boards] = self.islands.T[:, :, None]
        return Ports(frame_ohm=frame, feed=self.feed, islands=self.islands)


def wiring_of(network: Network) -> Wiring:
    """Put a network's wires in order.

    Raises
    ------
    ArgumentError (a ValueError): the supply is short-circuited by wires, or a board hangs on no supply at all
    """
    plus, minus = network.supply
    names = {plus: 0, minus: 1}
    for load in network.boards:
        names.setdefault(load.plus_node, len(names))
        names.setdefault(load.minus_node, len(names))
    for link in network.cables:
        names.setdefault(link.from_node, len(names))
        names.setdefault(link.to_node, len(names))
    ohms = [np.asarray(link.resistance_ohm, dtype=float) for link in network.cables]
    ends = [(names[link.from_node], names[link.to_node]) for link in network.cables]
    node = _joined(len(names), [pair for pair, ohm in zip(ends, ohms, strict=True) if ohm.max() < LEAST_OHM])
    component = _joined(len(names), ends)
    if component[0] == component[1]:
        raise ArgumentError("cables", _shorting(network), "no wires alone from the driver's plus to its minus")
    boards = [(names[load.plus_node], names[load.minus_node]) for load in network.boards]
    feed, islands = _feeds(component, np.array(boards))
    joined = [(int(node[first]), int(node[second])) for first, second in ends]
    wires = [number for number, (first, second) in enumerate(joined) if first != second]
    flows = _flows([joined[number] for number in wires], [(int(node[p]), int(node[m])) for p, m in boards])
    return Wiring(flows=flows, ohms=[ohms[number] for number in wires], feed=feed, islands=islands)


def _shorting(network: Network) -> str:
    """Return in words which wires join the supply's two nodes: the fewest in a row."""
    plus, minus = network.supply
    ways: dict[str, list[str]] = {plus: []}
    waiting = [plus]
    for node in waiting:
        for link in network.cables:
            for start, end in ((link.from_node, link.to_node), (link.to_node, link.from_node)):
                if start == node and end not in ways:
                    ways[end] = [*ways[node], f"{link.from_node} to {link.to_node}"]
                    waiting.append(end)
    way = ways[minus]
    if len(way) == 1:
        return f"a short circuit: the wire {way[0]} joins the driver's plus and minus"
    return f"a short circuit: the wires {', '.join(way)} join the driver's plus and minus"


def _joined(count: int, ends: Sequence[tuple[int, int]]) -> NDArray[np.intp]:
    """Return for each node the least number of the nodes it is joined with."""
    label = np.arange(count)
    for first, second in ends:
        low, high = sorted((label[first], label[second]))
        label[label == high] = low
    return label


def _flows(wires: Sequence[tuple[int, int]], boards: Sequence[tuple[int, int]]) -> FloatArray:
    """Return the currents in the wires: a column a board by way of a tree, then a column a mesh that a wire beside
    the tree closes."""
    paths: dict[int, FloatArray] = {}
    own = np.eye(len(wires))
    closing: list[FloatArray] = []
    # Any node of a part may be the tree's root: what enters a part leaves it again.
    left = dict(enumerate(wires))
    while left:
        reached = [number for number, (first, second) in left.items() if first in paths or second in paths]
        if not reached:
            paths[min(min(pair) for pair in left.values())] = np.zeros(len(wires))
            continue
        for number in reached:
            first, second = left.pop(number)
            if first in paths and second in paths:
                closing.append(own[number] + paths[first] - paths[second])
            elif first in paths:
                paths[second] = paths[first] + own[number]
            else:
                paths[first] = paths[second] - own[number]
    nowhere = np.zeros(len(wires))
    columns = [paths.get(plus, nowhere) - paths.get(minus, nowhere) for plus, minus in boards]
    return np.array([*columns, *closing]).T


def _feeds(component: NDArray[np.intp], boards: NDArray[np.intp]) -> tuple[FloatArray, FloatArray]:
    """Return a (+1 where plus hangs on the supply's plus, -1 where minus does) and B, a column an unfed island."""
    plus, minus = component[boards].T
    feed = (plus == component[0]).astype(float) - (minus == component[0]).astype(float)
    islands = [label for label in np.unique(component[boards]) if label not in (component[0], component[1])]
    columns = [(plus == label).astype(float) - (minus == label).astype(float) for label in islands]
    matrix = np.array(columns).reshape(len(islands), boards.shape[0]).T
    # An island that is tied to the rest by fewer than two boards, or to itself alone, leaves its potential open.
    reached = {component[0], component[1]}
    for _ in range(len(islands) + 1):
        for first, second in component[boards]:
            if first in reached or second in reached:
                reached |= {first, second}
    stray = [label for label in islands if label not in reached]
    if stray:
        raise ArgumentError("boards", int(stray[0]), "boards with a path to the supply; some hang on nothing")
    return feed, matrix
