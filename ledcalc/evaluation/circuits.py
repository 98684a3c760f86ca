"""The fixture's circuit in the form that its arrangement asks for, and what flows in its cables."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import (
    BoardCurve,
    Branch,
    CurrentSplit,
    Driver,
    Link,
    Load,
    Network,
    current_split,
    home_run_network,
    link_currents,
)
from ledcalc.evaluation.conducting import conducting, leading_on, turned
from ledcalc.evaluation.runs import Run
from ledcalc.schema import lead_sets_at, wire_end

__all__ = ["BoardElement", "Circuit", "Part"]

SUPPLY = ("P", "N")
# Of several modes at once the one that asks for attention is named.
MODES_BY_CARE = ("switched off", "below window", "power limit", "constant voltage", "constant current", "no load")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardElement:
    """One board as the circuit sees it. ``thermal_k_per_w``: board to air, where it has a sink of its own."""

    tag: str
    curve: BoardCurve
    offset_v: float
    thermal_k_per_w: float
    radiant_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Boards and runs in an arrangement: home runs, a shared trunk of two-core runs, or single wires.

    ``thermal_matrix_k_per_w`` is None where every board has a sink of its own. ``are_sets_separate``: the driver limits
    each of its output lead sets by itself.
    """

    arrangement: str
    boards: tuple[BoardElement, ...]
    runs: tuple[Run, ...]
    thermal_matrix_k_per_w: FloatArray | None = None
    are_sets_separate: bool = False

    def split(self, driver: Driver, ambient_c: float) -> CurrentSplit:
        """Return the split."""
        parts = self.parts()
        if len(parts) != 1 or len(parts[0].boards) < len(self.boards):
            return self._put_together(parts, driver, ambient_c)
        return current_split(self.as_network(), driver=driver, ambient_c=ambient_c)

    def as_network(self) -> Sequence[Branch] | Network:
        """Return all boards and runs as the circuit functions take them."""
        if self.arrangement != "home runs":
            return self._network()
        branches = self._branches()
        if self.thermal_matrix_k_per_w is None:
            return branches
        return home_run_network(branches, thermal_matrix_k_per_w=self.thermal_matrix_k_per_w)

    def link_names(self) -> list[str]:
        """Return a name a link of the network; home runs with sinks of their own have none."""
        if self.arrangement == "shared trunk":
            return [f"{run.cable.tag} {wire}" for run in self.runs for wire in ("plus", "minus")]
        if self.arrangement == "single wires":
            return [run.cable.tag for run in self.runs]
        of_board = {run.cable.to_node: run.cable.tag for run in self.runs}
        return [of_board[board.tag] for board in self.boards] if self.thermal_matrix_k_per_w is not None else []

    def cable_currents(self, split: CurrentSplit) -> dict[str, float]:
        """Return the current of each cable under its tag."""
        if self.arrangement == "home runs":
            of_board = {board.tag: float(amps) for board, amps in zip(self.boards, split.current_a, strict=True)}
            return {run.cable.tag: of_board[run.cable.to_node] for run in self.runs}
        flowing = link_currents(self._network(), split.current_a)
        # On a trunk the first link of each run is its plus conductor.
        each = flowing[::2] if self.arrangement == "shared trunk" else flowing
        return {run.cable.tag: abs(float(amps)) for run, amps in zip(self.runs, each, strict=True)}

    def lead_set_currents(self, split: CurrentSplit) -> dict[int, float]:
        """Return what flows out of each of the driver's output lead sets."""
        currents = self.cable_currents(split)
        total: dict[int, float] = {}
        for run in self.runs:
            starts = wire_end(run.cable.from_node) in {("driver", ""), ("driver", "+")}
            if starts or wire_end(run.cable.to_node) == ("driver", "+"):
                total[run.cable.lead_set] = total.get(run.cable.lead_set, 0.0) + currents[run.cable.tag]
        return total

    def lead_set_of_boards(self) -> list[int]:
        """Return the lead set that each board hangs on, 0 for a board that several feed."""
        cables = [run.cable for run in self.runs]
        sets = lead_sets_at([(cable.from_node, cable.to_node, cable.lead_set) for cable in cables])
        return [next(iter(sets[board.tag])) if len(sets[board.tag]) == 1 else 0 for board in self.boards]

    def parts(self) -> list[Part]:
        """Return the boards that current can pass, with their circuit; separately limited lead sets one by one."""
        cables = [run.cable for run in self.runs]
        sets = lead_sets_at([(cable.from_node, cable.to_node, cable.lead_set) for cable in cables])
        lit = self._lit()
        if not self.are_sets_separate:
            return [Part(boards=tuple(lit), circuit=self._only(lit, set(sets)))] if lit else []
        found = []
        for number in sorted(set().union(*sets.values())):
            own = [place for place in lit if number in sets[self.boards[place].tag]]
            owners = {owner for owner, fed in sets.items() if number in fed}
            if own:
                found.append(Part(boards=tuple(own), circuit=self._only(own, owners)))
        return found

    def wrong_way_round(self) -> tuple[bool, ...]:
        """Return which boards are dark as they are wired, and would pass current with their two sides swapped."""
        lit = self._lit()
        if len(lit) == len(self.boards):
            return (False,) * len(self.boards)
        wires = [(wire_end(run.cable.from_node), wire_end(run.cable.to_node)) for run in self.runs]
        tags = [board.tag for board in self.boards]
        return tuple(
            number not in lit and number in conducting(tags, turned(tag, wires)) for number, tag in enumerate(tags)
        )

    def _lit(self) -> list[int]:
        if self.arrangement != "single wires":
            return list(range(len(self.boards)))
        wires = [(wire_end(run.cable.from_node), wire_end(run.cable.to_node)) for run in self.runs]
        return conducting([board.tag for board in self.boards], wires)

    def _only(self, boards: Sequence[int], owners: Collection[str]) -> Circuit:
        """Return some of the boards with the runs that lead to them."""
        if len(boards) == len(self.boards):
            return replace(self, are_sets_separate=False)
        matrix, kept = self.thermal_matrix_k_per_w, tuple(self.boards[number] for number in boards)
        runs = [
            run for run in self.runs if {wire_end(run.cable.from_node)[0], wire_end(run.cable.to_node)[0]} & set(owners)
        ]
        if self.arrangement == "single wires":
            wires = [(wire_end(run.cable.from_node), wire_end(run.cable.to_node)) for run in runs]
            runs = [runs[number] for number in leading_on([board.tag for board in kept], wires)]
        return replace(
            self,
            boards=kept,
            runs=tuple(runs),
            thermal_matrix_k_per_w=None if matrix is None else matrix[np.ix_(boards, boards)],
            are_sets_separate=False,
        )

    def _put_together(self, parts: Sequence[Part], driver: Driver, ambient_c: float) -> CurrentSplit:
        """Return the splits of the parts as one; the driver's voltage is the mean that makes its power."""
        arrays = np.zeros((4, len(self.boards)))
        arrays[3] = ambient_c
        splits = []
        for part in parts:
            split = part.circuit.split(driver, ambient_c)
            splits.append(split)
            arrays[:, part.boards] = split.current_a, split.voltage_v, split.power_w, split.temperature_c
        amps = np.array([float(split.driver_current_a) for split in splits])
        at_rest = float(np.asarray(driver.voltage_setting_v))
        volts = np.array([float(split.driver_voltage_v) for split in splits] or [at_rest])
        modes = {str(split.mode) for split in splits}
        return CurrentSplit(
            current_a=arrays[0],
            voltage_v=arrays[1],
            power_w=arrays[2],
            temperature_c=arrays[3],
            driver_voltage_v=float(amps @ volts / amps.sum()) if amps.sum() > 0 else float(volts.max()),
            driver_current_a=float(amps.sum()),
            mode=next((mode for mode in MODES_BY_CARE if mode in modes), "no load"),
            loop_gain=max([float(split.loop_gain) for split in splits], default=0.0),
            settled=all(bool(split.settled) for split in splits),
        )

    def _branches(self) -> list[Branch]:
        ohms = {run.cable.to_node: run.resistance_ohm for run in self.runs}
        return [
            Branch(
                curve=board.curve,
                wire_resistance_ohm=ohms[board.tag],
                thermal_resistance_k_per_w=board.thermal_k_per_w,
                radiant_fraction=board.radiant_fraction,
                offset_v=board.offset_v,
            )
            for board in self.boards
        ]

    def _network(self) -> Network:
        cables = []
        for run in self.runs:
            start, end = run.cable.from_node, run.cable.to_node
            if self.arrangement == "single wires":
                cables.append(Link(_node(*wire_end(start)), _node(*wire_end(end)), run.resistance_ohm))
                continue
            half = run.resistance_ohm / 2.0
            start = "driver" if start.casefold() == "driver" else start
            cables += [Link(_node(start, side), _node(end, side), half) for side in "+-"]
        loads = [
            Load(
                _node(board.tag, "+"),
                _node(board.tag, "-"),
                board.curve,
                thermal_resistance_k_per_w=board.thermal_k_per_w,
                radiant_fraction=board.radiant_fraction,
                offset_v=board.offset_v,
            )
            for board in self.boards
        ]
        return Network(cables=cables, boards=loads, supply=SUPPLY, thermal_matrix_k_per_w=self.thermal_matrix_k_per_w)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Boards, by their numbers, that one limit of the driver holds for, and the circuit that they make."""

    boards: tuple[int, ...]
    circuit: Circuit


def _node(owner: str, side: str) -> str:
    """Return the name of a side of a board or of the driver, or of a joint."""
    if owner == "driver":
        return SUPPLY[0] if side == "+" else SUPPLY[1]
    return f"{side}{owner}" if side else f"joint {owner}"
