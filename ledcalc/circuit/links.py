"""What flows in each wire of a network, once the boards' currents are known."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.network import Network
from ledcalc.errors import ArgumentError

__all__ = ["link_currents"]


def link_currents(network: Network, current_a: ArrayLike) -> FloatArray:
    """Return the current in each of a network's links, positive from its first node to its second.

    Parameters
    ----------
    network : single numbers only, every link's resistance above 0
    current_a : A, one a board, as ``current_split`` gives them

    Raises
    ------
    ArgumentError (a ValueError): currents of another number, a link of no resistance, or arrays of variants

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
    if current.shape != (len(network.boards),):
        raise ArgumentError("current_a", current.shape, f"one current a board, shape ({len(network.boards)},)")
    names = [*network.supply]
    names += [end for link in network.cables for end in (link.from_node, link.to_node)]
    names += [end for load in network.boards for end in (load.plus_node, load.minus_node)]
    number = {name: index for index, name in enumerate(dict.fromkeys(names))}
    conductance, injected = np.zeros((len(number), len(number))), np.zeros(len(number))
    for load, amps in zip(network.boards, current, strict=True):
        injected[number[load.plus_node]] -= amps
        injected[number[load.minus_node]] += amps
    ends = [(number[link.from_node], number[link.to_node]) for link in network.cables]
    siemens = [1.0 / float(numbers("resistance_ohm", link.resistance_ohm, above=0)) for link in network.cables]
    for (first, second), value in zip(ends, siemens, strict=True):
        conductance[[first, second], [first, second]] += value
        conductance[first, second] -= value
        conductance[second, first] -= value
    # The supply's nodes take up what the boards leave over; each part of the wires has a potential of its own, which
    # the
    # least-squares solution sets to any value: only differences within a part count.
    fed = np.ones(len(number), dtype=bool)
    fed[:2] = False
    potential = np.linalg.lstsq(conductance[fed], injected[fed], rcond=None)[0]
    return np.array(
        [value * (potential[first] - potential[second]) for (first, second), value in zip(ends, siemens, strict=True)]
    )
