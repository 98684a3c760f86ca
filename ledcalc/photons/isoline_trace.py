"""Lines of equal PPFD through a map on a rectangular grid, by marching squares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["Isoline", "isolines"]

Edge = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Isoline:
    """One line at one level (umol m-2 s-1): x and y in m along it; a closed line ends where it starts."""

    level: float
    x_m: FloatArray
    y_m: FloatArray
    is_closed: bool


def isolines(x_m: ArrayLike, y_m: ArrayLike, ppfd: ArrayLike, levels: ArrayLike) -> list[Isoline]:
    """Return the lines at which a map crosses given levels.

    Parameters
    ----------
    x_m, y_m : m, rising, two or more each: the grid's columns and rows
    ppfd : umol m-2 s-1, shape (rows, columns)
    levels : umol m-2 s-1, one or several

    Returns
    -------
    list of Isoline, level by level in the order given; lines that leave the map are open

    Raises
    ------
    ArgumentError (a ValueError): places that do not rise, or a map of another shape

    Validity
    --------
    Straight between the grid's points: a line is off by about the square of the spacing over eight times its radius of
    curvature. Where four lines meet in a cell, the mean of its corners says which side is joined.

    Examples
    --------
    >>> line, = isolines([0.0, 1.0], [0.0, 1.0], [[0.0, 100.0], [0.0, 100.0]], 25.0)
    >>> line.x_m.tolist(), line.is_closed
    ([0.25, 0.25], False)
    """
    x, y, field = numbers("x_m", x_m), numbers("y_m", y_m), numbers("ppfd", ppfd)
    for name, places in (("x_m", x), ("y_m", y)):
        if places.ndim != 1 or places.size < 2 or (np.diff(places) <= 0).any():
            raise ArgumentError(name, places.tolist(), "two or more rising places")
    if field.shape != (y.size, x.size):
        raise ArgumentError("ppfd", field.shape, f"shape ({y.size}, {x.size}): rows, columns")
    found = []
    for level in np.ravel(numbers("levels", levels)).tolist():
        for chain in _chains(_segments(field, level)):
            places = np.array([_place(edge, x, y, field, level) for edge in chain])
            closed = len(chain) > 2 and chain[0] == chain[-1]
            found.append(Isoline(level=level, x_m=places[:, 0], y_m=places[:, 1], is_closed=closed))
    return found


def _segments(field: FloatArray, level: float) -> list[tuple[Edge, Edge]]:
    """Return the pieces in each cell as pairs of edges; an edge is (0 along x or 1 along y, row, column)."""
    above = field >= level
    corners = (above[:-1, :-1], above[:-1, 1:], above[1:, 1:], above[1:, :-1])
    mixed = np.logical_or.reduce(corners) & ~np.logical_and.reduce(corners)
    pieces = []
    for row, column in np.argwhere(mixed).tolist():
        ring: list[Edge] = [(0, row, column), (1, row, column + 1), (0, row + 1, column), (1, row, column)]
        own = [bool(corner[row, column]) for corner in corners]
        # Edge k runs from corner k to corner k + 1.
        crossed = [ring[k] for k in range(4) if own[k] != own[(k + 1) % 4]]
        if len(crossed) == 4:
            middle_above = field[row : row + 2, column : column + 2].mean() >= level
            # Lines cut off the corners that differ from the middle: each joins the edges beside such a corner.
            first = 0 if own[0] != middle_above else 1
            pieces += [(ring[first - 1], ring[first]), (ring[first + 1], ring[(first + 2) % 4])]
        else:
            pieces.append((crossed[0], crossed[1]))
    return pieces


def _chains(pieces: Sequence[tuple[Edge, Edge]]) -> list[list[Edge]]:
    """Join pieces end to end; open lines first, so that each starts at the map's border."""
    at: dict[Edge, list[int]] = {}
    for number, piece in enumerate(pieces):
        for edge in piece:
            at.setdefault(edge, []).append(number)
    left = set(range(len(pieces)))
    starts = [edge for edge, members in at.items() if len(members) == 1] + [piece[0] for piece in pieces]
    chains = []
    for start in starts:
        chain = [start]
        while onward := [number for number in at[chain[-1]] if number in left]:
            left.discard(onward[0])
            one, other = pieces[onward[0]]
            chain.append(other if one == chain[-1] else one)
        if len(chain) > 1:
            chains.append(chain)
    return chains


def _place(edge: Edge, x: FloatArray, y: FloatArray, field: FloatArray, level: float) -> tuple[float, float]:
    along_y, row, column = edge
    here, there = field[row, column], field[row + along_y, column + 1 - along_y]
    share = (level - here) / (there - here)
    if along_y:
        return float(x[column]), float(y[row] + share * (y[row + 1] - y[row]))
    return float(x[column] + share * (x[column + 1] - x[column])), float(y[row])
