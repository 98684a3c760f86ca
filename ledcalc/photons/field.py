"""The PPFD field of boards: straight from them, and sent back by the room's walls, ceiling and floor."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer
from ledcalc.errors import ArgumentError
from ledcalc.photons.direct import direct_factors
from ledcalc.photons.prepared import PreparedRoom
from ledcalc.photons.room import Room
from ledcalc.photons.source import LightSource, point_rows, several_sources

__all__ = ["LightSource", "ppfd_map", "ppfd_per_flux"]


def ppfd_map(
    sources: LightSource | Iterable[LightSource], points_m: ArrayLike, *, room: Room | PreparedRoom | None = None
) -> Numbers:
    """Return the PPFD that level, upward-facing sensors read at given points.

    Parameters
    ----------
    sources : one ``LightSource`` or several
    points_m : m, shape (..., 3): x, y, z of each point in room axes
    room : None: an open bench, direct light only; a ``Room``; or ``Room.prepare(...)``, which is quicker for many
        layouts

    Returns
    -------
    umol m-2 s-1, shape (...)

    Raises
    ------
    ArgumentError (a ValueError): points whose last axis is not 3, no source, a source that is none, a board or a point
        outside the room

    Validity
    --------
    Exact in the near field for even Lambertian rectangles, tilted ones too; cos^m beams to about 1e-7 up to m = 20. A
    lattice of single LEDs reads differently within two LED pitches of the board.
    In a room of diffuse walls the mean is within 0.2 % of the exact solution and cells of 1/8 of the width within 1 %
    (2 % where a board is nearer to floor or wall than such a cell; 0.3 % in the mean where boards hang more than
    three widths up); in the very corner of floor and wall it is uncertain by a few per cent. Walls that are partly
    mirrors are a blend of the two pure solutions: up to 1.6 % high in the mean, within 2.5 % a cell where boards fill
    the room and 4 % for one board near a corner.
    Boards cast no shadow: in white rooms real boards take away 0.2 % to 6 % where their faces are white, 6 % to 14 %
    where black. With flux measured and reflectances known to 0.05, expect +-10 % in the mean and +-10 % to 15 % within
    5 cm of a wall.

    References
    ----------
    Howell's catalogue of radiation configuration factors, element to parallel rectangle (B-3); Lambert's contour
    formula for a tilted polygon; inverse-square and cosine law for the Gauss points. Rooms: the radiosity method with
    factors B-3, B-4, C-13 and C-15 of that catalogue; image sources for mirrors.

    Examples
    --------
    >>> board = LightSource(x_m=0.5, y_m=0.5, z_m=0.5, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0)
    >>> round(ppfd_map(board, [0.5, 0.5, 0.0]), 2)
    120.89
    >>> white = Room(width_m=1, depth_m=1, height_m=1, wall_reflectance=0.8, ceiling_reflectance=0.8,
    ...              floor_reflectance=0.1)
    >>> round(ppfd_map(board, [0.5, 0.5, 0.0], room=white), 1)
    144.0
    """
    several = several_sources(sources)
    factors = ppfd_per_flux(several, points_m, room=room)
    if not several:
        raise ArgumentError("sources", several, "at least one LightSource")
    return answer(np.tensordot(np.array([source.photon_flux_umol_s for source in several]), factors, axes=1))


def ppfd_per_flux(
    sources: Sequence[LightSource], points_m: ArrayLike, *, room: Room | PreparedRoom | None = None
) -> FloatArray:
    """Return the PPFD at each point for one umol/s of each source: the field is the fluxes times this matrix.

    Parameters
    ----------
    sources : any number of ``LightSource``
    points_m : m, shape (..., 3)
    room : as ``ppfd_map``

    Returns
    -------
    m-2 (umol m-2 s-1 for a umol/s), shape (sources, ...): ``fluxes @ matrix`` for any dimming of the boards

    Raises
    ------
    ArgumentError (a ValueError): as ``ppfd_map``
    """
    several = several_sources(sources)
    points = point_rows(points_m)
    shape = (len(several), *np.shape(points_m)[:-1])
    if room is None:
        return direct_factors(several, points).reshape(shape)
    if isinstance(room, Room):
        # Used once, so that nothing needs to be kept for the points.
        room = room.prepare(fixture_height_m=_heights_within(room, several))
    if not isinstance(room, PreparedRoom):
        raise ArgumentError("room", room, "None, a Room, or what its prepare() returns")
    return room.per_flux(several, points).reshape(shape)


def _heights_within(room: Room, sources: Sequence[LightSource]) -> list[float]:
    # A board outside the room is named when the room meets it.
    return [float(np.clip(source.z_m, 0.0, room.height_m)) for source in sources]
