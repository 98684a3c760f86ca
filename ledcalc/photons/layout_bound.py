"""How even light can be at best, however many boards there are and wherever they stand at one height."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.layout_fields import fold, mirror_symmetric, part_weights
from ledcalc.photons.layout_grid import CropGrid, FieldOf, checked_template, field_per_flux
from ledcalc.photons.source import LightSource

__all__ = ["EvennessBound", "evenness_bound"]

SOURCES_AT_A_TIME = 500


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EvennessBound:
    """No boards of this kind at this height, however many and dimmed, have a better min/mean than this.

    ``lattice_min_over_mean`` is what boards that stand at the lattice's places reach, each dimmed as is best; the bound
    lies above it by what places in between could gain. ``places_m`` (x, y from the crop's centre, shape (places, 2))
    and ``flux_fractions`` say where the light comes from; in mirror-symmetric surroundings a quarter of the places,
    each with its mirror images. ``reached`` is False where the target mean is out of reach even
    so; the bound is then that without target.
    """

    min_over_mean: float
    lattice_min_over_mean: float
    places_m: FloatArray
    flux_fractions: FloatArray
    reached: bool
    note: str
    crop: CropGrid


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Optimum:
    """The programme's optimum: flux a place, min/mean, and what a point's light and a unit of flux are worth."""

    fluxes: FloatArray
    value: float
    point_worth: FloatArray
    flux_worth: float


def evenness_bound(
    board: LightSource,
    crop: CropGrid,
    *,
    height_m: float,
    reach_m: tuple[float, float] | None = None,
    target_mean: float | None = None,
    board_count: int | None = None,
    place_count: int = 25,
    field_of: FieldOf | None = None,
) -> EvennessBound:
    """Return the upper bound of min/mean over all positions, numbers and dimmings of a board at one height.

    Parameters
    ----------
    board : what every board is; its own place does not count
    crop : the crop below, whose cells min/mean is over
    height_m : m, above 0: of the boards above the crop's plane
    reach_m : m, at least 0: width and depth, about the crop's centre, within which the middles of boards may stand;
        None: the crop's own. The bound holds for layouts that keep within it
    target_mean, board_count : umol m-2 s-1, above 0, and at least 1: the mean that so many boards at full flux must
        reach; both or none
    place_count : at least 2: places of the lattice along the longer side
    field_of : as ``best_pitch_and_height``

    Returns
    -------
    EvennessBound

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or only one of target and count

    Validity
    --------
    A bound for every position, not only the lattice's: the programme's dual prices are tried at places four times as
    fine, with an allowance for curvature in between. Few boards stay well below it.

    References
    ----------
    Linear programming and its weak duality; Charnes and Cooper (1962, from memory) for the ratio.

    Examples
    --------
    >>> board = LightSource(x_m=0, y_m=0, z_m=1, width_m=0.1, length_m=0.1, photon_flux_umol_s=100.0)
    >>> bound = evenness_bound(board, CropGrid(width_m=1.0, depth_m=1.0), height_m=0.5)
    >>> round(bound.lattice_min_over_mean, 3), round(bound.min_over_mean, 3)
    (0.984, 0.984)
    """
    checked_template(board, crop)
    height = float(numbers("height_m", height_m, above=0))
    reach = numbers("reach_m", (crop.width_m, crop.depth_m) if reach_m is None else reach_m, at_least=0)
    if reach.shape != (2,):
        raise ArgumentError("reach_m", reach_m, "two lengths: width and depth")
    count = int(whole_numbers("place_count", place_count, at_least=2))
    limit = _flux_limit(board, target_mean, board_count)
    symmetric = mirror_symmetric(board, crop, [(float(reach[0]) / 2, float(reach[1]) / 2, height)], field_of)
    lattice = _Lattice(board=board, crop=crop, height_m=height, reach_m=reach, symmetric=symmetric, field_of=field_of)
    places, fields = lattice.fields(count)
    weights = part_weights(crop, symmetric)
    best, note = _optimum(fields, weights, limit), ""
    if best is None:
        note = f"Not even boards at the best places reach a mean of {target_mean:g} umol m-2 s-1"
        limit = np.inf
        best = _optimum(fields, weights, limit)
    if best is None:
        raise ArgumentError("board", board, "a board that lights the crop")
    used = best.fluxes > 1e-9 * best.fluxes.max()
    return EvennessBound(
        min_over_mean=min(1.0, lattice.highest(best, 4 * count - 3, weights, limit)),
        lattice_min_over_mean=best.value,
        places_m=places[used],
        flux_fractions=best.fluxes[used] / best.fluxes[used].sum(),
        reached=not note,
        note=note,
        crop=crop,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lattice:
    """Places of a board at one height; in symmetric surroundings a quarter of them, each with its mirror images."""

    board: LightSource
    crop: CropGrid
    height_m: float
    reach_m: FloatArray
    symmetric: bool
    field_of: FieldOf | None

    def lines(self, count: int) -> list[FloatArray]:
        """Return the places along x and along y, in m from the crop's centre."""
        spacing = max(float(self.reach_m.max()), 1e-9) / (count - 1)
        lines = []
        for side in self.reach_m.tolist():
            half = int(np.ceil(side / 2 / spacing - 1e-9))
            line = np.arange(-half, half + 1) / max(half, 1) * side / 2
            lines.append(line[half:] if self.symmetric else line)
        return lines

    def fields(self, count: int) -> tuple[FloatArray, FloatArray]:
        """Return the places and their fields for one umol/s, shared between mirror images: (places, points)."""
        grid = np.stack(np.meshgrid(*self.lines(count), indexing="ij"), axis=-1).reshape(-1, 2)
        parts = []
        for start in range(0, len(grid), SOURCES_AT_A_TIME):
            some = grid[start : start + SOURCES_AT_A_TIME].tolist()
            sources = [self.crop.source_at(self.board, x, y, self.height_m) for x, y in some]
            fields = field_per_flux(self.field_of, sources, self.crop.points_m)
            parts.append(fold(fields, self.crop) / 4.0 if self.symmetric else fields)
        return grid, np.concatenate(parts)

    def highest(self, best: _Optimum, count: int, weights: FloatArray, limit: float) -> float:
        """Return the bound that the dual prices prove: s <= max over places of (D - flux worth) / M + worth x limit.

        D is a place's light at the points' prices, M its mean: with fluxes y of mean 1, s <= sum y D, and sum y is at
        most the limit. Between places the ratio may be higher than at them by what its curvature allows.
        """
        _, fields = self.fields(count)
        ratio = (fields @ best.point_worth - best.flux_worth) / (fields @ weights)
        table = ratio.reshape([line.size for line in self.lines(count)])
        allowance = np.zeros(table.shape)
        for axis in (0, 1):
            if table.shape[axis] > 2:
                bend = np.abs(np.diff(table, n=2, axis=axis))
                edges = [(1, 1) if other == axis else (0, 0) for other in (0, 1)]
                allowance += np.pad(bend, edges, mode="edge") / 8.0
        worth = best.flux_worth * limit if best.flux_worth > 0 else 0.0
        return float((table + allowance).max()) + worth


def _optimum(fields: FloatArray, weights: FloatArray, limit: float) -> _Optimum | None:
    """Maximise s: field >= s at every point, mean 1, all flux at most the limit; None where that is too little flux."""
    from scipy.optimize import linprog

    places, points = fields.shape
    means = fields @ weights
    scale = float(means.max())
    rows = np.hstack([-fields.T / scale, np.ones((points, 1))])
    limits = np.zeros(points)
    if np.isfinite(limit):
        rows = np.vstack([rows, np.append(np.ones(places), 0.0)])
        limits = np.append(limits, limit * scale)
    solve: Any = linprog
    found = solve(
        np.append(np.zeros(places), -1.0),
        A_ub=rows,
        b_ub=limits,
        A_eq=np.append(means / scale, 0.0)[None, :],
        b_eq=np.ones(1),
        bounds=[(0, None)] * places + [(None, None)],
        method="highs",
    )
    if found.status != 0:
        return None
    prices = np.maximum(-np.asarray(found.ineqlin.marginals, dtype=float), 0.0)
    return _Optimum(
        fluxes=np.asarray(found.x[:places], dtype=float) / scale,
        value=float(-found.fun),
        # Prices of points that sum to 1 prove a bound whatever else they are.
        point_worth=prices[:points] / prices[:points].sum(),
        flux_worth=float(prices[points]) * scale if np.isfinite(limit) else 0.0,
    )


def _flux_limit(board: LightSource, target_mean: float | None, board_count: int | None) -> float:
    """Return how many umol/s there are for a mean of 1."""
    if (target_mean is None) != (board_count is None):
        raise ArgumentError("board_count", board_count, "a count beside target_mean, or neither")
    if target_mean is None or board_count is None:
        return np.inf
    boards = float(whole_numbers("board_count", board_count, at_least=1))
    return boards * board.photon_flux_umol_s / float(numbers("target_mean", target_mean, above=0))
