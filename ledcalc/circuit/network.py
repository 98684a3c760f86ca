"""Circuits of any wiring: cables between named nodes, boards between nodes, a supply at two of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.parts import check_load
from ledcalc.errors import ArgumentError

__all__ = ["Link", "Load", "Network"]


@dataclass(frozen=True, slots=True)
class Link:
    """A conductor, joint or contact between two nodes.

    Parameters
    ----------
    from_node, to_node : names of two different nodes
    resistance_ohm : ohm, at least 0; a number, or an array of variants; 0 makes the two one node

    Raises
    ------
    ArgumentError (a ValueError): a link from a node to itself, or a resistance out of its range
    """

    from_node: str
    to_node: str
    resistance_ohm: ArrayLike

    def __post_init__(self) -> None:
        if self.from_node == self.to_node:
            raise ArgumentError("to_node", self.to_node, "another node than from_node")
        numbers("resistance_ohm", self.resistance_ohm, at_least=0)


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """A board between two nodes; its numbers as those of ``Branch``, any of them an array of variants.

    Parameters
    ----------
    plus_node, minus_node : names of two different nodes; current enters at plus
    curve : the board's voltage against current and temperature
    thermal_resistance_k_per_w : K/W, at least 0: board to air; unused where the network has a thermal matrix
    radiant_fraction : at least 0, below 1
    offset_v : V

    Raises
    ------
    ArgumentError (a ValueError): both ends at one node, or a number out of its range
    """

    plus_node: str
    minus_node: str
    curve: BoardCurve
    thermal_resistance_k_per_w: ArrayLike = field(default=0.0, kw_only=True)
    radiant_fraction: ArrayLike = field(default=0.0, kw_only=True)
    offset_v: ArrayLike = field(default=0.0, kw_only=True)

    def __post_init__(self) -> None:
        if self.plus_node == self.minus_node:
            raise ArgumentError("minus_node", self.minus_node, "another node than plus_node")
        check_load(self)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Network:
    """Boards and cables between named nodes, fed at two of them: trunks, both-end feeds, series, strings in parallel.

    Parameters
    ----------
    cables : ``Link`` entries
    boards : ``Load`` entries, at least one
    supply : names of the nodes at the driver's plus and minus
    thermal_matrix_k_per_w : K/W, (boards, boards), variants on the last axis, at least 0: rise of each board by a watt
        of heat of each; None: each board on its own sink

    Raises
    ------
    ArgumentError (a ValueError): no board, a supply that is one node, or a matrix of another shape
    """

    cables: Sequence[Link]
    boards: Sequence[Load]
    supply: tuple[str, str] = ("P", "N")
    thermal_matrix_k_per_w: ArrayLike | None = None

    def __post_init__(self) -> None:
        if not self.boards:
            raise ArgumentError("boards", self.boards, "at least one Load")
        for name, entries, kind in (("boards", self.boards, Load), ("cables", self.cables, Link)):
            for entry in entries:
                if not isinstance(entry, kind):
                    raise ArgumentError(name, entry, f"{kind.__name__} entries")
        if len(self.supply) != 2 or self.supply[0] == self.supply[1]:
            raise ArgumentError("supply", self.supply, "two different nodes")
        if self.thermal_matrix_k_per_w is not None:
            count = len(self.boards)
            matrix = numbers("thermal_matrix_k_per_w", self.thermal_matrix_k_per_w, at_least=0)
            if matrix.shape[:2] != (count, count) or matrix.ndim > 3:
                raise ArgumentError("thermal_matrix_k_per_w", np.shape(matrix), f"shape ({count}, {count})")
