"""A block worked out: everything that rules and results ask for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.variants.blocks.electrical import boards_of, operating_of, what_if_of, wires_of
from ledcalc.variants.blocks.figures import BlockBoards, BlockCost, BlockLight, BlockOperating, BlockWhatIf, BlockWires
from ledcalc.variants.blocks.light import cost_of, light_of
from ledcalc.variants.blocks.steady import Steady, steady_state
from ledcalc.variants.blocks.structure import Block

__all__ = ["Worked", "worked_out"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worked:
    """The variants of a block that have a steady state, and all that follows from it."""

    block: Block
    steady: Steady
    operating: BlockOperating
    boards: BlockBoards
    wires: BlockWires
    what_if: BlockWhatIf
    light: BlockLight
    cost: BlockCost


def worked_out(block: Block) -> tuple[Worked | None, NDArray[np.intp]]:
    """Return a block worked out, and the numbers of the variants in it: those left out have no steady state."""
    steady, numbers = steady_state(block)
    if steady is None:
        return None, numbers
    part = block if numbers.size == block.count else block.only(numbers)
    operating, boards = operating_of(part, steady), boards_of(part, steady)
    light = light_of(part, steady, operating)
    return Worked(
        block=part,
        steady=steady,
        operating=operating,
        boards=boards,
        wires=wires_of(steady),
        what_if=what_if_of(part, steady, boards),
        light=light,
        cost=cost_of(part, operating),
    ), numbers
