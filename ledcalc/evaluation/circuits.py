"""The fixture's circuit in the form that its arrangement asks for, and what flows in its cables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledcalc.circuit import BoardCurve, Branch, CurrentSplit, Driver, Link, Load, Network, current_split, link_currents
from ledcalc.evaluation.runs import Run

__all__ = ["BoardElement", "Circuit"]

SUPPLY = ("P", "N")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardElement:
    """One board as the circuit sees it."""

    tag: str
    curve: BoardCurve
    thermal_k_per_w: float
    radiant_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Boards and runs in an arrangement: home runs, or a shared trunk of two-core runs from board to board."""

    arrangement: str
    boards: tuple[BoardElement, ...]
    runs: tuple[Run, ...]

    def split(self, driver: Driver, ambient_c: float) -> CurrentSplit:
        """Return the split."""
        return current_split(self.as_network(), driver=driver, ambient_c=ambient_c)

    def as_network(self) -> Sequence[Branch] | Network:
        """Return all boards and runs as the circuit functions take them."""
        return self._branches() if self.arrangement == "home runs" else self._network()

    def link_names(self) -> list[str]:
        """Return a name a link of the network, none for home runs: a run has two conductors."""
        if self.arrangement == "home runs":
            return []
        return [f"{run.cable.tag} {wire}" for run in self.runs for wire in ("plus", "minus")]

    def cable_currents(self, split: CurrentSplit) -> dict[str, float]:
        """Return the current of each cable under its tag."""
        if self.arrangement == "home runs":
            of_board = {board.tag: float(amps) for board, amps in zip(self.boards, split.current_a, strict=True)}
            return {run.cable.tag: of_board[run.cable.to_node] for run in self.runs}
        flowing = link_currents(self._network(), split.current_a)
        # The first link of each run is its plus conductor.
        return {run.cable.tag: abs(float(amps)) for run, amps in zip(self.runs, flowing[::2], strict=True)}

    def _branches(self) -> list[Branch]:
        ohms = {run.cable.to_node: run.resistance_ohm for run in self.runs}
        return [
            Branch(
                curve=board.curve,
                wire_resistance_ohm=ohms[board.tag],
                thermal_resistance_k_per_w=board.thermal_k_per_w,
                radiant_fraction=board.radiant_fraction,
            )
            for board in self.boards
        ]

    def _network(self) -> Network:
        cables = []
        for run in self.runs:
            start, end = run.cable.from_node, run.cable.to_node
            half = run.resistance_ohm / 2.0
            cables += [Link(_plus(start), _plus(end), half), Link(_minus(start), _minus(end), half)]
        loads = [
            Load(
                _plus(board.tag),
                _minus(board.tag),
                board.curve,
                thermal_resistance_k_per_w=board.thermal_k_per_w,
                radiant_fraction=board.radiant_fraction,
            )
            for board in self.boards
        ]
        return Network(cables=cables, boards=loads, supply=SUPPLY)


def _plus(node: str) -> str:
    return SUPPLY[0] if node.casefold() == "driver" else f"+{node}"


def _minus(node: str) -> str:
    return SUPPLY[1] if node.casefold() == "driver" else f"-{node}"
