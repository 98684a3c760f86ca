"""What flows in each wire of a network, once the boards' currents are known."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.network import Network
from ledcalc.errors import ArgumentError

__all__ = ["link_currents"]


def link_currents(network: Network, current_a: ArrayLike) -> FloatArray:
    """Return the current in each of a network's links, positive from its first node to its second.

    Parameters
    ----------
    network : every link's resistance above 0, a number or an array of variants
    current_a : A, one a board, as ``current_split`` gives them; variants on the last axis

    Returns
    -------
    A, one a link; variants on the last axis where there are any

    Raises
    ------
    ArgumentError (a ValueError): currents of another number, or a link of no resistance

    References
    ----------
    Kirchhoff's laws: node potentials from the conductance matrix of the wires.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve, Link, Load
    >>> curve = BoardCurve.from_diode(0.6, 1e-12, 1.0)
    >>> boards = [Load("a", "N", curve), Load("b", "N", curve)]
    >>> trunk = Network(cables=[Link("P", "a", 0.1), Link("a", "b", 0.1)], boards=boards)
    >>> link_currents(trunk, [0.5, 0.4]).round(9).tolist()
    [0.9, 0.4]
    """
    current = numbers("current_a", current_a)
    if current.shape[:1] != (len(network.boards),) or current.ndim > 2:
        raise ArgumentError("current_a", current.shape, f"one current a board, {len(network.boards)} in all")
    names = [*network.supply]
    names += [end for link in network.cables for end in (link.from_node, link.to_node)]
    names += [end for load in network.boards for end in (load.plus_node, load.minus_node)]
    number = {name: index for index, name in enumerate(dict.fromkeys(names))}
    ends = np.array([(number[link.from_node], number[link.to_node]) for link in network.cables], dtype=int)
    siemens = [1.0 / numbers("resistance_ohm", link.resistance_ohm, above=0) for link in network.cables]
    shape = np.broadcast_shapes(current.shape[1:], *{value.shape for value in siemens})
    injected = np.zeros((len(number), *current.shape[1:]))
    for load, amps in zip(network.boards, current, strict=True):
        injected[number[load.plus_node]] -= amps
        injected[number[load.minus_node]] += amps
    wires = np.array([np.broadcast_to(value, shape) for value in siemens])
    return _flowing(ends.reshape(-1, 2), wires, injected, _grounded(len(number), ends))


def _grounded(count: int, ends: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the first node of each part that wires join: only differences within a part count.

    The supply's nodes come first and take up what the boards leave over; in any other part nothing is left over.
    """
    part = np.arange(count)
    for first, second in ends:
        low, high = sorted((part[first], part[second]))
        part[part == high] = low
    return np.unique(part)


def _flowing(
    ends: NDArray[np.intp], siemens: FloatArray, injected_a: FloatArray, grounded: NDArray[np.intp]
) -> FloatArray:
    """Return the current in each wire, variants on the last axis; ``grounded``: nodes of potential 0."""
    count, free = len(injected_a), np.setdiff1d(np.arange(len(injected_a)), grounded)
    # Without a loop, what flows is the same whatever the wires' resistances.
    is_tree = len(ends) == free.size
    shape = () if is_tree else siemens.shape[1:]
    weight = np.ones(len(ends)) if is_tree else siemens
    laplacian = np.zeros((*shape, count, count))
    for (first, second), value in zip(ends, weight, strict=True):
        laplacian[..., [first, second], [first, second]] += np.asarray(value)[..., None]
        laplacian[..., first, second] -= value
        laplacian[..., second, first] -= value
    inner = laplacian[..., free[:, None], free]
    right = injected_a[free].reshape(free.size, -1)
    right = right if not shape else np.broadcast_to(right, (free.size, shape[0])).T[..., None]
    potential = np.zeros((count, *siemens.shape[1:]))
    solved = np.linalg.solve(inner, right)
    solved = solved.reshape(free.size, *injected_a.shape[1:]) if not shape else solved[..., 0].T
    potential[free] = solved if solved.ndim == potential.ndim else solved[..., None]
    across = potential[ends[:, 0]] - potential[ends[:, 1]]
    return np.asarray(across if is_tree else siemens * across)
