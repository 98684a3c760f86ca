"""Copies of a circuit with something changed: what faults, tolerances and remedies are tried by."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.network import Link, Network
from ledcalc.circuit.parts import BoardLoad, Branch
from ledcalc.errors import ArgumentError

__all__ = [
    "Circuit",
    "a_number_a_board",
    "carrying",
    "loads_of",
    "with_ballast",
    "with_boards",
    "with_heat_scaled",
    "with_offsets",
    "with_sinks_scaled",
    "with_wires_scaled",
    "without_boards",
    "without_link",
]

# Boards count as poor conductors, so that a long trunk reaches its end; what is passed stands far above rounding.
BOARD_S, PASSED_V = 1e-4, 1e-9

Circuit: TypeAlias = Sequence[Branch] | Network


def loads_of(circuit: Circuit) -> Sequence[BoardLoad]:
    """Return the boards of a circuit."""
    return circuit.boards if isinstance(circuit, Network) else circuit


def with_boards(circuit: Circuit, changed: Mapping[int, Mapping[str, Any]]) -> Circuit:
    """Return the circuit with fields of some boards replaced: board number -> field -> value."""
    if isinstance(circuit, Network):
        boards = [replace(board, **changed[n]) if n in changed else board for n, board in enumerate(circuit.boards)]
        return replace(circuit, boards=boards)
    return [replace(board, **changed[n]) if n in changed else board for n, board in enumerate(circuit)]


def with_offsets(circuit: Circuit, offset_v: Sequence[ArrayLike]) -> Circuit:
    """Return the circuit with a voltage added to each board."""
    boards = loads_of(circuit)
    added = {n: {"offset_v": np.asarray(board.offset_v) + offset_v[n]} for n, board in enumerate(boards)}
    return with_boards(circuit, added)


def with_heat_scaled(circuit: Circuit, factor: ArrayLike) -> Circuit:
    """Return the circuit with every thermal resistance multiplied by a factor, a number or an array of variants."""
    if isinstance(circuit, Network) and circuit.thermal_matrix_k_per_w is not None:
        return replace(circuit, thermal_matrix_k_per_w=np.asarray(circuit.thermal_matrix_k_per_w) * factor)
    return with_sinks_scaled(circuit, [factor] * len(loads_of(circuit)))


def with_sinks_scaled(circuit: Circuit, factor: Sequence[ArrayLike]) -> Circuit:
    """Return the circuit with each board's own thermal resistance multiplied, a factor a board."""
    scaled = {
        n: {"thermal_resistance_k_per_w": np.asarray(board.thermal_resistance_k_per_w) * factor[n]}
        for n, board in enumerate(loads_of(circuit))
    }
    return with_boards(circuit, scaled)


def with_wires_scaled(circuit: Circuit, factor: Sequence[ArrayLike]) -> Circuit:
    """Return the circuit with each wire's resistance multiplied: a factor a branch, or a link of a network."""
    if isinstance(circuit, Network):
        cables = [
            replace(link, resistance_ohm=np.asarray(link.resistance_ohm) * own)
            for link, own in zip(circuit.cables, factor, strict=True)
        ]
        return replace(circuit, cables=cables)
    pairs = zip(circuit, factor, strict=True)
    return [replace(board, wire_resistance_ohm=np.asarray(board.wire_resistance_ohm) * own) for board, own in pairs]


def with_ballast(circuit: Circuit, ballast_ohm: ArrayLike, *, only: Collection[int] | None = None) -> Circuit:
    """Return the circuit with a resistance in series with each board, or with some of them."""
    if not isinstance(circuit, Network):
        return [
            replace(board, wire_resistance_ohm=np.asarray(board.wire_resistance_ohm) + ballast_ohm)
            if only is None or number in only
            else board
            for number, board in enumerate(circuit)
        ]
    cables, boards = list(circuit.cables), list(circuit.boards)
    for number, board in enumerate(circuit.boards):
        if only is None or number in only:
            node = f"ballast {number}"
            cables.append(Link(board.plus_node, node, ballast_ohm))
            boards[number] = replace(board, plus_node=node)
    return replace(circuit, cables=cables, boards=boards)


def without_boards(circuit: Circuit, lost: Collection[int]) -> tuple[Circuit, tuple[int, ...]]:
    """Return the circuit without some boards and without those that carry nothing then, and the numbers that stay.

    The circuit is an empty list where none stays.
    """
    boards = loads_of(circuit)
    left = [number for number in range(len(boards)) if number not in lost]
    if not isinstance(circuit, Network):
        return [circuit[number] for number in left], tuple(left)
    return carrying(circuit, left)


def without_link(circuit: Network, link: int) -> tuple[Circuit, tuple[int, ...]]:
    """Return the network without one of its links and without the boards that carry nothing then."""
    cables = [entry for number, entry in enumerate(circuit.cables) if number != link]
    return carrying(replace(circuit, cables=cables), range(len(circuit.boards)))


def carrying(network: Network, boards: Collection[int]) -> tuple[Circuit, tuple[int, ...]]:
    """Return the part of a network that current can pass: dead ends and what hangs on nothing are dropped, and boards
    that only a current from minus to plus could reach.

    A piece is passed if it is passed in the same network of plain resistors, of values so odd that nothing cancels.
    """
    boards = _lit_way_round(network, boards)
    ends = [(network.boards[number].plus_node, network.boards[number].minus_node) for number in boards]
    ends += [(link.from_node, link.to_node) for link in network.cables]
    siemens = np.append(np.full(len(boards), BOARD_S), np.ones(len(network.cables)))
    siemens *= np.random.default_rng(1).uniform(1.0, 2.0, siemens.size)
    is_passed = np.abs(_across(network.supply, ends, siemens)) > PASSED_V
    left = tuple(number for number, passed in zip(boards, is_passed, strict=False) if passed)
    if not left:
        return [], ()
    kept = [link for link, passed in zip(network.cables, is_passed[len(boards) :], strict=True) if passed]
    matrix = network.thermal_matrix_k_per_w
    part: FloatArray | None = None if matrix is None else np.asarray(matrix, dtype=float)[np.ix_(left, left)]
    alone = [network.boards[number] for number in left]
    return replace(network, cables=kept, boards=alone, thermal_matrix_k_per_w=part), left


def _lit_way_round(network: Network, boards: Collection[int]) -> list[int]:
    """Return the boards whose plus current reaches from the supply's plus, and whose minus leads on to its minus.

    Wires pass current both ways, boards from plus to minus only; none goes on beyond the supply's other end.
    """
    plus, minus = network.supply
    wires = [
        pair for link in network.cables for pair in ((link.from_node, link.to_node), (link.to_node, link.from_node))
    ]
    lit = list(boards)
    while True:
        ends = [(network.boards[number].plus_node, network.boards[number].minus_node) for number in lit]
        fed = _reached(plus, minus, [*wires, *ends])
        led_on = _reached(minus, plus, [*wires, *((end, start) for start, end in ends)])
        left = [number for number, (start, end) in zip(lit, ends, strict=True) if start in fed and end in led_on]
        if left == lit:
            return lit
        lit = left


def _reached(start: str, stop: str, steps: Sequence[tuple[str, str]]) -> set[str]:
    """Return the nodes that steps lead to from one, none going on from ``stop``, which itself is not among them."""
    onward: dict[str, list[str]] = {}
    for one, other in steps:
        onward.setdefault(one, []).append(other)
    found, waiting = {start, stop}, [start]
    while waiting:
        following = [node for node in onward.get(waiting.pop(), ()) if node not in found]
        found.update(following)
        waiting.extend(following)
    return found - {stop}


def _across(supply: Sequence[str], ends: Sequence[tuple[str, str]], siemens: FloatArray) -> FloatArray:
    """Return the voltage across each resistor with 1 V between the supply's nodes; 0 where it hangs on nothing."""
    number = {name: place for place, name in enumerate(dict.fromkeys([*supply, *(n for pair in ends for n in pair)]))}
    pairs = np.array([[number[start], number[end]] for start, end in ends], dtype=int).reshape(-1, 2)
    laplacian = np.zeros((len(number), len(number)))
    for (start, end), value in zip(pairs, siemens, strict=True):
        laplacian[[start, end], [start, end]] += value
        laplacian[[start, end], [end, start]] -= value
    potential = np.zeros(len(number))
    potential[0] = 1.0
    # Least squares leaves a part that hangs on nothing at one potential, whichever.
    potential[2:] = np.linalg.lstsq(laplacian[2:, 2:], -laplacian[2:, 0], rcond=None)[0]
    return np.asarray(potential[pairs[:, 0]] - potential[pairs[:, 1]])


def a_number_a_board(argument: str, value: ArrayLike, count: int) -> FloatArray:
    """Turn one number for all boards, or one a board, into one a board."""
    array = numbers(argument, value, infinite=True)
    if array.shape not in {(), (count,)}:
        raise ArgumentError(argument, array.shape, f"one number, or one a board, shape ({count},)")
    return np.broadcast_to(array, (count,))
