"""Light on the crop for one umol/s of each board: each layout of a block once, in a room that is worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.light import room_about, sources_of
from ledcalc.fixture import Fixture
from ledcalc.photons import LightSource, PreparedRoom, Room, ppfd_per_flux
from ledcalc.variants.blocks.arrays import rows
from ledcalc.variants.blocks.structure import Block

__all__ = ["Layout", "layouts_of", "map_points"]

# Of a board's place, heights first: layouts of one height come one after another, and a room is split at heights.
PLACE = ("height_m", "x_m", "y_m", "rotation_deg", "tilt_deg")
NUMBERS_AT_A_TIME = 2_000_000
KEPT_ROOMS = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """One layout: which variants have it, and the PPFD at each map point for one umol/s of each board."""

    variants: NDArray[np.intp]
    per_flux: FloatArray


def map_points(fixture: Fixture) -> FloatArray:
    """Return the centres of even cells over the crop, counted from its corner: a row of x and a row of y."""
    x = (np.arange(fixture.map_columns_count) + 0.5) * fixture.crop_width_m / fixture.map_columns_count
    y = (np.arange(fixture.map_rows_count) + 0.5) * fixture.crop_depth_m / fixture.map_rows_count
    return np.array([grid.ravel() for grid in np.meshgrid(x, y)])


def layouts_of(block: Block) -> Iterator[Layout]:
    """Yield every layout of a block, each once; which variants have which comes out in no order."""
    fixture, placed = block.structure.fixture, block.placed
    x, y = map_points(fixture)
    points = np.stack([x + fixture.crop_x_m, y + fixture.crop_y_m, np.full_like(x, fixture.canopy_height_m)], axis=-1)
    where = np.array([rows([getattr(board.place, name) for board in placed], block.count) for name in PLACE])
    different, number = np.unique(where.reshape(-1, block.count), axis=1, return_inverse=True)
    variants = np.split(np.argsort(number, kind="stable"), np.cumsum(np.bincount(number))[:-1])
    at_a_time = max(NUMBERS_AT_A_TIME // (len(placed) * len(points)), 1)
    for start in range(0, different.shape[1], at_a_time):
        part = different[:, start : start + at_a_time].reshape(len(PLACE), len(placed), -1)
        sources = [_sources(block, places) for places in np.moveaxis(part, 2, 0)]
        for factors in _per_flux(fixture, sources, points):
            yield Layout(variants=variants[start], per_flux=factors)
            start += 1


def _sources(block: Block, places: FloatArray) -> list[LightSource]:
    """Return the boards of one layout, ``places`` with a row a name and a column a board."""
    stood = [
        replace(board, place=replace(board.place, **dict(zip(PLACE, place.tolist(), strict=True))))
        for board, place in zip(block.structure.placed, places.T, strict=True)
    ]
    return sources_of(block.structure.fixture, stood, np.ones(len(stood)))


def _per_flux(fixture: Fixture, layouts: Sequence[Sequence[LightSource]], points_m: FloatArray) -> Iterator[FloatArray]:
    """Yield each layout's factors, shape (boards, points): those in one room, and hung alike, together."""
    keys = [_room_of(fixture, sources) for sources in layouts]
    for key, numbers in groupby(range(len(layouts)), lambda number: keys[number]):
        sources = [source for number in numbers for source in layouts[number]]
        room = None if key is None else _prepared(*key, points_m.tobytes(), points_m.shape)
        factors = ppfd_per_flux(sources, points_m, room=room)
        yield from factors.reshape(-1, len(layouts[0]), len(points_m))


def _room_of(fixture: Fixture, sources: Sequence[LightSource]) -> tuple[Room, tuple[float, ...]] | None:
    """Return the room and the heights it is split at; None on an open bench, or where a board stands outside."""
    room = room_about(fixture, sources)
    return None if room is None else (room, tuple(sorted({round(source.z_m, 6) for source in sources})))


@lru_cache(maxsize=KEPT_ROOMS)
def _prepared(room: Room, heights_m: tuple[float, ...], points: bytes, shape: tuple[int, ...]) -> PreparedRoom:
    """Return a room worked out for points and heights, kept: layouts of one sweep mostly share it."""
    return room.prepare(np.frombuffer(points).reshape(shape), fixture_height_m=heights_m)
