"""Rules about where the boards are, in blocks: each is asked once a layout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.checks.registry import Rule
from ledcalc.results import Evaluation
from ledcalc.variants.blocks.layouts import different_places
from ledcalc.variants.blocks.structure import Block
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts

__all__ = ["BY_PLACES", "by_places"]

# These rules read where the boards are and what no variant of a block changes.
BY_PLACES = ("board-outside-room", "boards-overlap", "board-at-canopy")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedBoards:
    """What outlines ask of board results; an entry a board."""

    tag: tuple[str, ...]
    x_m: FloatArray
    y_m: FloatArray
    z_m: FloatArray
    width_m: FloatArray
    length_m: FloatArray
    rotation_deg: FloatArray
    tilt_deg: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hung:
    """What these rules ask of results."""

    boards: PlacedBoards


def by_places(rule: Rule) -> Check:
    """Return a rule about places in its array form."""

    def check(worked: Worked) -> Counts:
        block, found = worked.block, np.zeros(worked.block.count, dtype=np.intp)
        for places, variants in different_places(block):
            hung = cast(Evaluation, Hung(boards=_boards(block, places)))
            found[variants] = sum(1 for _ in rule.check(block.structure.fixture, hung))
        return {rule.severities[0]: found}

    return check


def _boards(block: Block, places: FloatArray) -> PlacedBoards:
    height, x, y, rotation, tilt = places
    placed = block.structure.placed
    return PlacedBoards(
        tag=tuple(board.place.tag for board in placed),
        x_m=x,
        y_m=y,
        z_m=block.structure.fixture.canopy_height_m + height,
        width_m=np.array([board.model.width_m for board in placed]),
        length_m=np.array([board.model.length_m for board in placed]),
        rotation_deg=rotation,
        tilt_deg=tilt,
    )
