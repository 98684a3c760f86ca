"""What reaches the canopy of what the boards send out, and how the map changes with the boards' height."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.field import ppfd_map
from ledcalc.photons.prepared import PreparedRoom
from ledcalc.photons.room import Room
from ledcalc.photons.source import LightSource, several_sources
from ledcalc.ppfd.statistics import ppfd_grid_statistics

__all__ = ["CanopyLight", "HeightSpread", "canopy_light", "spread_by_height"]

GAUSS_POINTS = 4
# Panels are no longer than this share of the nearest board's height above the canopy.
PANEL_OVER_HEIGHT = 0.5
FEWEST_PANELS, MOST_PANELS = 4, 30


@dataclass(frozen=True, slots=True, kw_only=True)
class CanopyLight:
    """Light on a canopy: mean PPFD, photon flux, and that flux over the boards'.

    In a room the flux counts light each time that it comes down on the canopy, so that the utilisation may pass 1 over
    a bright floor; ``PreparedRoom.balance`` says what is absorbed where.
    """

    mean_ppfd_umol_m2_s: float
    canopy_flux_umol_s: float
    utilisation_fraction: float
    area_m2: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeightSpread:
    """Maps of one fixture at several heights, an entry a height; ``scale`` is one range of PPFD for all of them."""

    heights_m: FloatArray
    ppfd_umol_m2_s: FloatArray
    mean: FloatArray
    minimum: FloatArray
    maximum: FloatArray
    min_over_mean: FloatArray
    scale: tuple[float, float]
    reading_count: int


def canopy_light(
    sources: LightSource | Iterable[LightSource],
    x_m: tuple[float, float],
    y_m: tuple[float, float],
    height_m: float,
    *,
    room: Room | PreparedRoom | None = None,
) -> CanopyLight:
    """Return the light on a level rectangle.

    Parameters
    ----------
    sources : one ``LightSource`` or several
    x_m, y_m : m: from, to
    height_m : m: of the canopy in room axes
    room : as ``ppfd_map``

    Returns
    -------
    CanopyLight

    Raises
    ------
    ArgumentError (a ValueError): a rectangle without area, or as ``ppfd_map``

    Validity
    --------
    Gauss rules on panels no longer than half the nearest board's height above the canopy: about 1e-6; coarser where
    that height is below 1/15 of the rectangle's side.

    Examples
    --------
    >>> board = LightSource(x_m=0.5, y_m=0.5, z_m=0.5, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0)
    >>> round(canopy_light(board, (0, 1), (0, 1), 0.0).utilisation_fraction, 3)
    0.548
    """
    several = several_sources(sources)
    height = float(numbers("height_m", height_m))
    falls = [source.z_m - height for source in several if source.z_m > height]
    (x, weight_x), (y, weight_y) = (
        _panels(name, ends, min(falls, default=1.0)) for name, ends in (("x_m", x_m), ("y_m", y_m))
    )
    grid_x, grid_y = np.meshgrid(x, y)
    points = np.stack([grid_x, grid_y, np.full_like(grid_x, height)], axis=-1)
    canopy_flux = float(weight_y @ np.asarray(_field(several, points, room)) @ weight_x)
    area = float(weight_x.sum() * weight_y.sum())
    flux = sum(source.photon_flux_umol_s for source in several)
    return CanopyLight(
        mean_ppfd_umol_m2_s=canopy_flux / area,
        canopy_flux_umol_s=canopy_flux,
        utilisation_fraction=canopy_flux / flux if flux > 0 else float("nan"),
        area_m2=area,
    )


def spread_by_height(
    sources: LightSource | Iterable[LightSource],
    x_m: ArrayLike,
    y_m: ArrayLike,
    heights_m: ArrayLike,
    *,
    plane_m: float = 0.0,
    area_m: tuple[float, float] | None = None,
    room: Room | None = None,
) -> HeightSpread:
    """Return maps with the whole fixture moved up or down, and their statistics by height.

    Parameters
    ----------
    sources : one ``LightSource`` or several; they keep their places towards each other
    x_m, y_m : m, shape (n,) each: columns and rows of the grid
    heights_m : m, above 0: of the lowest board above the sensor plane
    plane_m : m: height of the sensor plane in room axes
    area_m : m: as ``ppfd_grid_statistics``, for the weights of the mean
    room : None or a ``Room``

    Returns
    -------
    HeightSpread; ``mean`` is area-weighted; min/mean depends on the grid: print the grid with it

    Raises
    ------
    ArgumentError (a ValueError): no source, no height, or as ``ppfd_map``
    """
    several = several_sources(sources)
    heights = np.atleast_1d(numbers("heights_m", heights_m, above=0))
    if not several or heights.ndim != 1 or heights.size == 0:
        raise ArgumentError("heights_m", heights.tolist(), "one or more heights, and at least one source")
    x, y = np.meshgrid(numbers("x_m", x_m), numbers("y_m", y_m))
    points = np.stack([x, y, np.full_like(x, float(numbers("plane_m", plane_m)))], axis=-1)
    maps = np.array([ppfd_map(_lifted(several, plane_m + height), points, room=room) for height in heights.tolist()])
    tables = [ppfd_grid_statistics(x.ravel(), y.ravel(), one.ravel(), area_m=area_m) for one in maps]
    return HeightSpread(
        heights_m=heights,
        ppfd_umol_m2_s=maps,
        mean=np.array([table.area_weighted_mean for table in tables]),
        minimum=np.array([table.minimum for table in tables]),
        maximum=np.array([table.maximum for table in tables]),
        min_over_mean=np.array([table.minimum / table.area_weighted_mean for table in tables]),
        scale=(float(maps.min()), float(maps.max())),
        reading_count=x.size,
    )


def _lifted(sources: Sequence[LightSource], lowest_m: float) -> list[LightSource]:
    lift = lowest_m - min(source.z_m for source in sources)
    return [replace(source, z_m=source.z_m + lift) for source in sources]


def _panels(name: str, ends: tuple[float, float], fall_m: float) -> tuple[FloatArray, FloatArray]:
    low_high = numbers(name, ends)
    if low_high.shape != (2,) or low_high[1] <= low_high[0]:
        raise ArgumentError(name, ends, "two numbers, the second above the first")
    side = float(low_high[1] - low_high[0])
    count = int(np.clip(np.ceil(side / (PANEL_OVER_HEIGHT * fall_m)), FEWEST_PANELS, MOST_PANELS))
    node, weight = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    places = low_high[0] + ((np.arange(count)[:, None] + (node + 1.0) / 2.0) * side / count).ravel()
    return places, np.tile(weight * side / count / 2.0, count)


def _field(sources: Sequence[LightSource], points_m: FloatArray, room: Room | PreparedRoom | None) -> Numbers:
    """Return the PPFD at points; without any source it is dark."""
    return ppfd_map(sources, points_m, room=room) if sources else np.zeros(points_m.shape[:-1])
