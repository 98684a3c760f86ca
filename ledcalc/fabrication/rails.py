"""Rails: where the holes for the boards go."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError

__all__ = ["HolePositions", "hole_positions"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePositions:
    """Holes of a rail from its end, rising, the board of each (0 first), and those that cannot be drilled."""

    positions_m: tuple[float, ...]
    boards: tuple[int, ...]
    off_rail_count: int
    warnings: tuple[str, ...]


def hole_positions(
    board_centres_m: ArrayLike,
    hole_spacing_m: float,
    rail_length_m: float,
    *,
    end_margin_m: float = 0.0,
    least_gap_m: float = 0.0,
    rail_start_m: float = 0.0,
) -> HolePositions:
    """Return where a rail's holes go, two a board, from the rail's end.

    Parameters
    ----------
    board_centres_m : m, a board an entry: its centre along the rail
    hole_spacing_m : m, above 0: between the two holes of a board
    rail_length_m : m, above 0
    end_margin_m : m, at least 0: no hole nearer to either end of the rail
    least_gap_m : m, at least 0: no two holes nearer to each other
    rail_start_m : m: where the rail's end lies in the coordinates of ``board_centres_m``

    Returns
    -------
    HolePositions; a warning for each hole off the rail or within the margin, and for each two holes too near

    Raises
    ------
    ArgumentError (a ValueError): no board, or a number out of its range

    Examples
    --------
    >>> hole_positions([0.25, 0.75], 0.2, 1.0, end_margin_m=0.02).positions_m
    (0.15, 0.35, 0.65, 0.85)
    """
    centres = np.atleast_1d(numbers("board_centres_m", board_centres_m))
    if centres.ndim != 1 or centres.size == 0:
        raise ArgumentError("board_centres_m", centres.shape, "one centre or more in a row")
    half = float(numbers("hole_spacing_m", hole_spacing_m, above=0)) / 2.0
    length = float(numbers("rail_length_m", rail_length_m, above=0))
    margin = float(numbers("end_margin_m", end_margin_m, at_least=0))
    gap = float(numbers("least_gap_m", least_gap_m, at_least=0))
    centres = centres - float(numbers("rail_start_m", rail_start_m))
    # A thousandth of a micrometre is binary noise.
    holes = sorted(
        (round(float(centre) + side, 9), board) for board, centre in enumerate(centres) for side in (-half, half)
    )
    words = [
        f"hole of board {board + 1} at {place:.4g} m: {'too near the end' if 0 <= place <= length else 'off the rail'}"
        for place, board in holes
        if not margin - 1e-9 <= place <= length - margin + 1e-9
    ]
    off = len(words)
    words += [
        f"holes at {one:.4g} m and {other:.4g} m are {other - one:.4g} m apart, nearer than {gap:.4g} m"
        for (one, _), (other, _) in pairwise(holes)
        if other - one < gap - 1e-9
    ]
    return HolePositions(
        positions_m=tuple(place for place, _ in holes),
        boards=tuple(board for _, board in holes),
        off_rail_count=off,
        warnings=tuple(words),
    )
