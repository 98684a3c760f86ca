"""What moving the rails in or out does to the light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray, choice, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.layout_grid import CropGrid, FieldOf, board_extent, checked_template, field_per_flux
from ledcalc.photons.source import LightSource, several_sources

__all__ = ["CropLight", "RailMove", "moved_rails"]

# Boards whose middles differ by less are on one rail, in m.
SAME_RAIL_M = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class CropLight:
    """PPFD over the crop's cells, umol m-2 s-1; ``centre``: of the middle cells, ``edge``: of those at the rim."""

    mean: float
    minimum: float
    min_over_mean: float
    centre: float
    edge: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RailMove:
    """The light before and after, and the boards where they then stand."""

    before: CropLight
    after: CropLight
    sources: tuple[LightSource, ...]
    crop: CropGrid


def moved_rails(
    sources: Sequence[LightSource],
    crop: CropGrid,
    *,
    move_m: float,
    rails_along: str = "x",
    which: str = "all",
    field_of: FieldOf | None = None,
) -> RailMove:
    """Return the crop's light before and after its rails are moved.

    Parameters
    ----------
    sources : the boards; those in one line along the rails are on one rail
    crop : the crop below
    move_m : m: how far each rail is moved away from the middle of all rails, or, below 0, towards it. A rail in the
        middle stays
    rails_along : "x" or "y": the way the rails run
    which : "all" rails, or only the two "outer" ones
    field_of : as ``best_pitch_and_height``

    Returns
    -------
    RailMove

    Raises
    ------
    ArgumentError (a ValueError): no boards, a single rail, or rails moved until their boards would overlap

    Validity
    --------
    As exact as the field.

    References
    ----------
    Linearity of light in its sources.

    Examples
    --------
    >>> boards = [LightSource(x_m=0.5, y_m=y, z_m=0.3, width_m=0.8, length_m=0.1, photon_flux_umol_s=100.0)
    ...           for y in (0.3, 0.7)]
    >>> moved = moved_rails(boards, CropGrid(width_m=1.0, depth_m=1.0), move_m=0.1)
    >>> round(moved.before.min_over_mean, 2), round(moved.after.min_over_mean, 2)
    (0.27, 0.41)
    """
    boards = several_sources(sources)
    if not boards:
        raise ArgumentError("sources", [], "at least two boards, on two rails")
    for board in boards:
        checked_template(board, crop)
    axis = {"x": 1, "y": 0}[choice("rails_along", rails_along, ("x", "y"))]
    places = np.array([(board.x_m, board.y_m)[axis] for board in boards])
    moves = _moves(places, float(numbers("move_m", move_m)), choice("which", which, ("all", "outer")))
    shifts = [(move, 0.0) if axis == 0 else (0.0, move) for move in moves.tolist()]
    moved = [replace(b, x_m=b.x_m + x, y_m=b.y_m + y) for b, (x, y) in zip(boards, shifts, strict=True)]
    extents = np.array([board_extent(board)[axis] for board in boards])
    _check_apart(places, places + moves, extents, move_m)
    return RailMove(
        before=_light(boards, crop, field_of), after=_light(moved, crop, field_of), sources=tuple(moved), crop=crop
    )


def _moves(places: FloatArray, move_m: float, which: str) -> FloatArray:
    """Return how far each board goes along the axis across the rails."""
    middle = (float(places.min()) + float(places.max())) / 2
    offset = places - middle
    half = float(offset.max())
    if half < SAME_RAIL_M:
        raise ArgumentError("sources", len(places), "boards on at least two rails")
    moving = np.abs(offset) >= SAME_RAIL_M if which == "all" else np.abs(offset) >= half - SAME_RAIL_M
    return np.where(moving, np.sign(offset) * move_m, 0.0)


def _check_apart(before: FloatArray, after: FloatArray, extents: FloatArray, move_m: float) -> None:
    """Say so where rails that were apart are moved over each other."""
    order = np.argsort(before, kind="stable")
    apart = np.diff(before[order]) >= SAME_RAIL_M
    # Boards that overlap as given, staggered on their rails for one, may stay so: only what moving brings is wrong.
    room = (extents[order][1:] + extents[order][:-1]) / 2
    gaps = np.diff(after[order])
    bad = apart & (gaps < np.minimum(room, np.diff(before[order])) - 1e-9)
    if bad.any():
        raise ArgumentError("move_m", move_m, "a move that leaves the boards of neighbouring rails apart")


def _light(boards: Sequence[LightSource], crop: CropGrid, field_of: FieldOf | None) -> CropLight:
    fluxes = np.array([board.photon_flux_umol_s for board in boards])
    field = (fluxes @ field_per_flux(field_of, boards, crop.points_m)).reshape(crop.row_count, crop.column_count)
    rim = np.ones(field.shape, dtype=bool)
    rim[1:-1, 1:-1] = False
    mean, minimum = float(field.mean()), float(field.min())
    return CropLight(
        mean=mean,
        minimum=minimum,
        min_over_mean=minimum / mean if mean > 0 else 0.0,
        centre=float(field[_middle(crop.row_count), _middle(crop.column_count)].mean()),
        edge=float(field[rim].mean()),
    )


def _middle(count: int) -> slice:
    return slice((count - 1) // 2, count // 2 + 1)
