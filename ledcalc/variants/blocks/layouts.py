"""Light on the crop for one umol/s of each board: each layout of a block once, in a room that is worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.fixture import Fixture
from ledcalc.light_sources import all_sources, crop_points, kept_room, per_flux_of_all, room_about
from ledcalc.model_curves import beam_of
from ledcalc.photons import LightSource, Room
from ledcalc.variants.blocks.arrays import rows
from ledcalc.variants.blocks.structure import Block

__all__ = ["Layout", "different_places", "layouts_of", "map_points"]

# Of a board's place, heights first: layouts of one height come one after another, and a room is split at heights.
PLACE = ("height_m", "x_m", "y_m", "rotation_deg", "tilt_deg")
NUMBERS_AT_A_TIME = 2_000_000


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
    fixture, count = block.structure.fixture, len(block.placed)
    points = crop_points(fixture, *map_points(fixture))
    different = different_places(block)
    at_a_time = max(NUMBERS_AT_A_TIME // (count * len(points)), 1)
    for start in range(0, len(different), at_a_time):
        part = different[start : start + at_a_time]
        layouts = [_sources(block, places) for places, _ in part]
        for (_, variants), factors in zip(part, _per_flux(fixture, layouts, points), strict=True):
            yield Layout(variants=variants, per_flux=factors)


def different_places(block: Block) -> list[tuple[FloatArray, NDArray[np.intp]]]:
    """Return every set of places of a block, rows as in ``PLACE`` and a column a board, and which variants have it."""
    given = [[getattr(board.place, name) for board in block.placed] for name in PLACE]
    if not any(isinstance(value, np.ndarray) for values in given for value in values):
        return [(np.array(given, dtype=float), np.arange(block.count))]
    where = np.array([rows(values, block.count) for values in given])
    different, number = np.unique(where.reshape(-1, block.count), axis=1, return_inverse=True)
    variants = np.split(np.argsort(number, kind="stable"), np.cumsum(np.bincount(number))[:-1])
    shaped = np.moveaxis(different.reshape(len(PLACE), len(block.placed), -1), 2, 0)
    return list(zip(shaped, variants, strict=True))


def _sources(block: Block, places: FloatArray) -> list[LightSource]:
    """Return the boards of one layout."""
    fixture = block.structure.fixture
    return [
        LightSource(
            x_m=x,
            y_m=y,
            z_m=fixture.canopy_height_m + height,
            width_m=board.model.width_m,
            length_m=board.model.length_m,
            photon_flux_umol_s=1.0,
            rotation_deg=rotation,
            tilt_deg=tilt,
            cosine_exponent=board.model.cosine_exponent,
            beam=beam_of(board.model, fixture.beams),
        )
        for board, (height, x, y, rotation, tilt) in zip(block.structure.placed, places.T.tolist(), strict=True)
    ]


def _per_flux(fixture: Fixture, layouts: Sequence[Sequence[LightSource]], points_m: FloatArray) -> Iterator[FloatArray]:
    """Yield each layout's factors, shape (boards, points): those in one room, and hung alike, together."""
    keys = [_room_of(fixture, sources) for sources in layouts]
    for key, numbers in groupby(range(len(layouts)), lambda number: keys[number]):
        sources = [source for number in numbers for source in layouts[number]]
        room = None if key is None else kept_room(key[0], points_m.tobytes(), points_m.shape, key[1])
        factors = per_flux_of_all(fixture, sources, points_m, room=room)
        yield from factors.reshape(-1, len(layouts[0]), len(points_m))


def _room_of(fixture: Fixture, own: Sequence[LightSource]) -> tuple[Room, tuple[float, ...]] | None:
    """Return the room and the heights it is split at; None on an open bench, or where a board stands outside."""
    sources = all_sources(fixture, own)
    room = room_about(fixture, sources)
    return None if room is None else (room, tuple(sorted({round(source.z_m, 6) for source in sources})))
