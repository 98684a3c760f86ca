"""Wires seen from the boards: one symmetric matrix, found once for a network."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.network import Network
from ledcalc.errors import ArgumentError

__all__ = ["Ports", "ports_of"]

# A wire of less counts as a mere joint; where only some variants have less, they have this.
LEAST_OHM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ports:
    """The wires as boards see them: V board + Z I = a V driver + B u, with B' I = 0 on islands no wire feeds.

    ``impedance_ohm``: (variants, boards, boards). ``feed``: a, a row a board. ``islands``: B, (boards, islands).
    """

    impedance_ohm: FloatArray
    feed: FloatArray
    islands: FloatArray


def ports_of(network: Network, variants: int) -> Ports:
    """Reduce a network's wires to the matrix between its boards.

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
    ohms = np.array(
        [np.broadcast_to(np.asarray(link.resistance_ohm, dtype=float), (variants,)) for link in network.cables]
    ).reshape(len(network.cables), variants)
    ends = np.array([[names[link.from_node], names[link.to_node]] for link in network.cables], dtype=np.intp).reshape(
        -1, 2
    )
    whole = (ohms < LEAST_OHM).all(axis=1)
    ohms = np.maximum(ohms, LEAST_OHM)
    node = _joined(len(names), ends[whole])
    component = _joined(len(names), ends)
    if component[0] == component[1]:
        raise ArgumentError(
            "cables", network.supply, "no path of wires alone between the supply's two nodes: a short circuit"
        )
    boards = np.array([[names[load.plus_node], names[load.minus_node]] for load in network.boards])
    impedance = _impedance(node, component, ends[~whole], ohms[~whole], boards)
    feed, islands = _feeds(component, boards)
    return Ports(impedance_ohm=impedance, feed=feed, islands=islands)


def _joined(count: int, ends: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return for each node the least number of the nodes it is joined with."""
    label = np.arange(count)
    for first, second in ends:
        low, high = sorted((label[first], label[second]))
        label[label == high] = low
    return label


def _impedance(
    node: NDArray[np.intp],
    component: NDArray[np.intp],
    ends: NDArray[np.intp],
    ohms: FloatArray,
    boards: NDArray[np.intp],
) -> FloatArray:
    """Return Z: drop between the ends of each board by a current through each; one node a component is held still."""
    count, variants = node.size, ohms.shape[1]
    laplacian = np.zeros((variants, count, count))
    for (first, second), resistance in zip(node[ends].reshape(-1, 2), ohms, strict=True):
        if first != second:
            for row, column, sign in ((first, first, 1), (second, second, 1), (first, second, -1), (second, first, -1)):
                laplacian[:, row, column] += sign / resistance
    injection = np.zeros((count, boards.shape[0]))
    for number, (plus, minus) in enumerate(node[boards]):
        injection[plus, number] += 1.0
        injection[minus, number] -= 1.0
    # Nodes joined to another or holding their component still keep no equation of their own.
    free = np.flatnonzero((node == np.arange(count)) & (component != np.arange(count)))
    if free.size == 0:
        return np.zeros((variants, boards.shape[0], boards.shape[0]))
    inner = injection[free]
    drops = np.linalg.solve(
        laplacian[:, free[:, None], free[None, :]], np.broadcast_to(inner, (variants, *inner.shape))
    )
    return np.asarray(np.einsum("fi,mfj->mij", inner, drops))


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
