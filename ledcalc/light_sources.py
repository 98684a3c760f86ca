"""The boards as light sources, those of fixtures beside this one too; the room about them; the field over the crop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.fixture import Fixture, Site
from ledcalc.model_curves import beam_of
from ledcalc.photons import LightSource, Opening, PreparedRoom, Room, ppfd_map, ppfd_per_flux
from ledcalc.results import BoardResults

__all__ = [
    "all_sources",
    "crop_fields",
    "crop_points",
    "kept_room",
    "off_the_walls",
    "own_sources",
    "own_wall_reflectances",
    "per_flux_of_all",
    "raised",
    "room_about",
    "shifts_of",
    "wall_reflectances",
]

ROUNDING_M = 1e-9
NEAREST_TO_WALL_M = 0.001


def own_sources(fixture: Fixture, boards: BoardResults) -> list[LightSource]:
    """Return each board of the fixture as a light source in room axes."""
    models = {model.tag: model for model in fixture.boards}
    return [
        LightSource(
            x_m=float(boards.x_m[n]),
            y_m=float(boards.y_m[n]),
            z_m=float(boards.z_m[n]),
            width_m=float(boards.width_m[n]),
            length_m=float(boards.length_m[n]),
            photon_flux_umol_s=float(boards.photon_flux_umol_s[n]),
            rotation_deg=float(boards.rotation_deg[n]),
            tilt_deg=float(boards.tilt_deg[n]),
            cosine_exponent=models[name].cosine_exponent,
            beam=beam_of(models[name], fixture.beams),
        )
        for n, name in enumerate(boards.model)
    ]


def all_sources(fixture: Fixture, own: Sequence[LightSource]) -> list[LightSource]:
    """Return the boards of the fixture and of those beside it, fixture after fixture."""
    return [
        replace(source, x_m=source.x_m + x, y_m=source.y_m + y, z_m=source.z_m + z)
        for x, y, z in shifts_of(fixture)
        for source in own
    ]


def raised(sources: Sequence[LightSource], by_m: float) -> list[LightSource]:
    """Return boards hung higher, or lower where ``by_m`` is below 0."""
    return [replace(source, z_m=source.z_m + by_m) for source in sources]


def crop_points(fixture: Fixture, x_m: FloatArray, y_m: FloatArray) -> FloatArray:
    """Return points counted from the crop's corner in room axes, at canopy height, shape (..., 3)."""
    return np.stack(
        [x_m + fixture.crop_x_m, y_m + fixture.crop_y_m, np.full_like(x_m, fixture.canopy_height_m)], axis=-1
    )


def room_about(fixture: Fixture, sources: Sequence[LightSource]) -> Room | None:
    """Return the room; None on an open bench, and where a board or the crop lies outside the walls: findings say so.

    ``sources``: the boards of all fixtures.
    """
    site = fixture.site
    if site.room_width_m is None or site.room_depth_m is None or site.room_height_m is None:
        return None
    sizes = np.array([site.room_width_m, site.room_depth_m, site.room_height_m])
    corners = np.concatenate([source.corners() for source in sources])
    lowest = min(source.z_m for source in sources)
    crop = [fixture.crop_x_m + fixture.crop_width_m, fixture.crop_y_m + fixture.crop_depth_m, fixture.canopy_height_m]
    if (corners < -ROUNDING_M).any() or (corners > sizes + ROUNDING_M).any() or lowest <= ROUNDING_M:
        return None
    if (np.array(crop) > sizes + ROUNDING_M).any():
        return None
    return Room(
        width_m=site.room_width_m,
        depth_m=site.room_depth_m,
        height_m=site.room_height_m,
        wall_reflectance=wall_reflectances(site, site.wall_reflectance_fraction),
        ceiling_reflectance=site.ceiling_reflectance_fraction,
        floor_reflectance=site.floor_reflectance_fraction,
        mirror_share=site.mirror_share_fraction,
        wall_opening_fraction=site.wall_opening_fraction,
        openings=_openings(fixture),
    )


def own_wall_reflectances(site: Site) -> tuple[float | None, ...]:
    """Return what is stated of the left, right, front and back wall each; None: it is as the wall reflectance."""
    return (
        site.left_wall_reflectance_fraction,
        site.right_wall_reflectance_fraction,
        site.front_wall_reflectance_fraction,
        site.back_wall_reflectance_fraction,
    )


def wall_reflectances(site: Site, wall_reflectance: float) -> tuple[float, ...]:
    """Return what the left, right, front and back wall send back: each its own share if stated, else the common one."""
    return tuple(wall_reflectance if own is None else own for own in own_wall_reflectances(site))


def _openings(fixture: Fixture) -> tuple[Opening, ...]:
    return tuple(
        Opening(
            surface=hole.wall,
            low_m=(hole.from_corner_m, hole.bottom_m),
            high_m=(hole.from_corner_m + hole.width_m, hole.bottom_m + hole.height_m),
        )
        for hole in fixture.wall_openings
    )


def off_the_walls(points_m: FloatArray, room: Room | PreparedRoom | None) -> FloatArray:
    """Return points as far from each wall as any sensor's middle: in the very edge of two walls light jumps."""
    if room is None:
        return points_m
    held = points_m.copy()
    for axis, size in enumerate(room.sizes_m[:2]):
        near = min(NEAREST_TO_WALL_M, size / 2)
        held[..., axis] = np.clip(points_m[..., axis], near, size - near)
    return held


def crop_fields(
    fixture: Fixture, own: Sequence[LightSource], points_m: FloatArray, raises_m: Sequence[float]
) -> Iterator[FloatArray | None]:
    """Yield the PPFD at the points with the boards of all fixtures hung higher by each of ``raises_m``, walls counted.

    None where a board would hang outside its room, above the ceiling, or at or below the canopy. Where the boards stand
    outside the room as they are, its walls are not counted at any height.
    """
    sources = all_sources(fixture, own)
    room = room_about(fixture, sources)
    levels = sorted({round(source.z_m + by, 6) for by in raises_m for source in sources})
    if room is not None:
        levels = [level for level in levels if 0.0 < level <= room.height_m]
    prepared = None if room is None else kept_room(room, points_m.tobytes(), points_m.shape, tuple(levels))
    seen = off_the_walls(points_m, room)
    heights = np.array([source.corners()[:, 2] for source in sources])
    ceiling = fixture.site.room_height_m or np.inf
    for by in raises_m:
        hung = raised(sources, by)
        fits = heights.min() + by > fixture.canopy_height_m and heights.max() + by <= ceiling + ROUNDING_M
        if not fits or (room is not None and room_about(fixture, hung) is None):
            yield None
        else:
            yield np.asarray(ppfd_map(hung, seen, room=prepared), dtype=float)


def per_flux_of_all(
    fixture: Fixture, sources: Sequence[LightSource], points_m: FloatArray, room: Room | PreparedRoom | None = None
) -> FloatArray:
    """Return the PPFD for one umol/s of each board of this fixture, its likes in the fixtures beside it included."""
    seen = off_the_walls(points_m, room)
    fields = [
        ppfd_per_flux(
            [replace(source, x_m=source.x_m + x, y_m=source.y_m + y, z_m=source.z_m + z) for source in sources],
            seen,
            room=room,
        )
        for x, y, z in shifts_of(fixture)
    ]
    return np.asarray(sum(fields[1:], start=fields[0]))


@lru_cache(maxsize=8)
def kept_room(room: Room, points: bytes, shape: tuple[int, ...], heights: tuple[float, ...]) -> PreparedRoom:
    """Return a room worked out for points off its walls, and heights, kept: variants of a fixture mostly share it."""
    return room.prepare(off_the_walls(np.frombuffer(points).reshape(shape), room), fixture_height_m=heights)


def shifts_of(fixture: Fixture) -> list[tuple[float, float, float]]:
    """Return how far each fixture hangs from this one, itself first."""
    others = fixture.other_fixtures
    return [(0.0, 0.0, 0.0), *((other.shift_x_m, other.shift_y_m, other.height_change_m) for other in others)]
