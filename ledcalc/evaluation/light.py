"""The light field over the crop, the dose, and the efficacies, each on its named basis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture
from ledcalc.model_curves import beam_of
from ledcalc.photons import (
    LightSource,
    PreparedRoom,
    Room,
    daily_light_integral,
    photon_efficacy,
    ppfd_grid_statistics,
    ppfd_map,
)
from ledcalc.results import LightResults

__all__ = ["light_over_crop", "light_results", "room_about", "sources_of"]

NEAREST_TO_WALL_M = 0.001


def sources_of(fixture: Fixture, placed: Sequence[PlacedBoard], photon_flux_umol_s: FloatArray) -> list[LightSource]:
    """Return each board as a light source in room axes."""
    return [
        LightSource(
            x_m=board.place.x_m,
            y_m=board.place.y_m,
            z_m=fixture.canopy_height_m + float(board.place.height_m or 0.0),
            width_m=board.model.width_m,
            length_m=board.model.length_m,
            photon_flux_umol_s=float(flux),
            rotation_deg=board.place.rotation_deg,
            tilt_deg=board.place.tilt_deg,
            cosine_exponent=board.model.cosine_exponent,
            beam=beam_of(board.model, fixture.beams),
        )
        for board, flux in zip(placed, photon_flux_umol_s, strict=True)
    ]


def room_about(fixture: Fixture, sources: Sequence[LightSource]) -> Room | None:
    """Return the room; None on an open bench, and where a board stands outside the walls: a finding says so."""
    site = fixture.site
    if site.room_width_m is None or site.room_depth_m is None or site.room_height_m is None:
        return None
    sizes = np.array([site.room_width_m, site.room_depth_m, site.room_height_m])
    corners = np.concatenate([source.corners() for source in sources])
    crop = [fixture.crop_x_m + fixture.crop_width_m, fixture.crop_y_m + fixture.crop_depth_m, fixture.canopy_height_m]
    if (corners < -1e-9).any() or (corners > sizes + 1e-9).any() or (np.array(crop) > sizes + 1e-9).any():
        return None
    return Room(
        width_m=site.room_width_m,
        depth_m=site.room_depth_m,
        height_m=site.room_height_m,
        wall_reflectance=site.wall_reflectance_fraction,
        ceiling_reflectance=site.ceiling_reflectance_fraction,
        floor_reflectance=site.floor_reflectance_fraction,
        mirror_share=site.mirror_share_fraction,
        wall_opening_fraction=site.wall_opening_fraction,
    )


def light_over_crop(
    fixture: Fixture, sources: Sequence[LightSource], x_m: FloatArray, y_m: FloatArray, raised_m: float = 0.0
) -> FloatArray:
    """Return the PPFD at points counted from the crop's corner, with the boards as they hang or raised."""
    points = _points(fixture, x_m, y_m)
    hung = [replace(source, z_m=source.z_m + raised_m) for source in sources]
    room = room_about(fixture, hung)
    if room is None:
        return np.asarray(ppfd_map(hung, points), dtype=float)
    heights = tuple(sorted({round(source.z_m, 6) for source in hung}))
    # As the boards hang, one room serves the map and all other points: it is solved once, and what these see follows.
    points = _off_the_walls(points, room)
    kept = points if raised_m else _points(fixture, *np.meshgrid(*_map_axes(fixture)))
    return np.asarray(ppfd_map(hung, points, room=_prepared(room, kept.tobytes(), kept.shape, heights)), dtype=float)


def _map_axes(fixture: Fixture) -> tuple[FloatArray, FloatArray]:
    """Return the columns and rows of the map, the centres of even cells, counted from the crop's corner in m."""
    x = (np.arange(fixture.map_columns_count) + 0.5) * fixture.crop_width_m / fixture.map_columns_count
    y = (np.arange(fixture.map_rows_count) + 0.5) * fixture.crop_depth_m / fixture.map_rows_count
    return x, y


def _points(fixture: Fixture, x_m: FloatArray, y_m: FloatArray) -> FloatArray:
    height = np.full_like(x_m, fixture.canopy_height_m)
    return np.stack([x_m + fixture.crop_x_m, y_m + fixture.crop_y_m, height], axis=-1)


def _off_the_walls(points: FloatArray, room: Room) -> FloatArray:
    """Return the points as far from each wall as any sensor's middle: in the very edge of two walls light jumps."""
    held = points.copy()
    for axis, size in ((0, room.width_m), (1, room.depth_m)):
        near = min(NEAREST_TO_WALL_M, size / 2)
        held[..., axis] = np.clip(points[..., axis], near, size - near)
    return held


@lru_cache(maxsize=8)
def _prepared(room: Room, points: bytes, shape: tuple[int, ...], heights: tuple[float, ...]) -> PreparedRoom:
    """Return a room worked out for points and heights, kept: variants of one fixture mostly share it."""
    return room.prepare(np.frombuffer(points).reshape(shape), fixture_height_m=heights)


def light_results(
    fixture: Fixture, sources: Sequence[LightSource], *, dc_power_w: float, mains_power_w: float
) -> LightResults:
    """Return the map at the centres of even cells over the crop, and what follows from it."""
    x, y = _map_axes(fixture)
    x_grid, y_grid = np.meshgrid(x, y)
    ppfd = light_over_crop(fixture, sources, x_grid, y_grid)
    area = (fixture.crop_width_m, fixture.crop_depth_m)
    middle = (fixture.crop_width_m / 2, fixture.crop_depth_m / 2)
    statistics = ppfd_grid_statistics(x_grid.ravel(), y_grid.ravel(), ppfd.ravel(), area_m=area, centre_m=middle)
    flux = float(sum(source.photon_flux_umol_s for source in sources))
    canopy_flux = statistics.area_weighted_mean * area[0] * area[1]
    hours = fixture.site.photoperiod_h
    return LightResults(
        x_m=x,
        y_m=y,
        ppfd_umol_m2_s=ppfd,
        statistics=statistics,
        basis=_basis(fixture, sources),
        photon_flux_umol_s=flux,
        canopy_flux_umol_s=canopy_flux,
        utilisation_fraction=canopy_flux / flux if flux > 0 else float("nan"),
        dli_mean_mol_m2_d=float(daily_light_integral(statistics.mean, hours)),
        dli_minimum_mol_m2_d=float(daily_light_integral(statistics.minimum, hours)),
        dli_maximum_mol_m2_d=float(daily_light_integral(statistics.maximum, hours)),
        dc_efficacy_umol_per_j=_efficacy(flux, dc_power_w),
        ac_efficacy_umol_per_j=_efficacy(flux, mains_power_w),
        canopy_efficacy_umol_per_j=_efficacy(canopy_flux, mains_power_w),
    )


def _efficacy(photon_flux_umol_s: float, power_w: float) -> float:
    return float(photon_efficacy(photon_flux_umol_s, power_w)) if power_w > 0 else float("nan")


def _basis(fixture: Fixture, sources: Sequence[LightSource]) -> str:
    grid = f"{fixture.map_columns_count} x {fixture.map_rows_count} points at the centres of even cells"
    site = fixture.site
    if room_about(fixture, sources) is not None:
        place = (
            f"walls send back {site.wall_reflectance_fraction:.0%}, ceiling {site.ceiling_reflectance_fraction:.0%}, "
            f"canopy {site.floor_reflectance_fraction:.0%}"
        )
    elif site.room_width_m is None:
        place = "direct light only"
    else:
        place = "direct light only: boards or crop stand outside the room, so that its walls are not counted"
    return f"worked out from the boards' photon flux; {place}; {grid}"
