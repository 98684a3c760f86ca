"""The PPFD field of boards: exact for even Lambertian rectangles, by Gauss points for narrower beams."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.factors import flat_factors, gauss_factors, tilted_factors

__all__ = ["LightSource", "ppfd_map", "ppfd_per_flux"]

POINTS_AT_A_TIME = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSource:
    """A board as a source of light in room axes (origin in a floor corner, z up), facing down.

    Parameters
    ----------
    x_m, y_m, z_m : m: centre of the light-emitting face
    width_m, length_m : m, at least 0: along x and y before rotation; both 0: a point source
    photon_flux_umol_s : umol/s, at least 0
    rotation_deg : degrees, counter-clockwise seen from above
    tilt_deg : degrees, between -90 and 90, about the board's own length axis; positive turns the face towards the
        board's
        own +x side
    cosine_exponent : at least 0: intensity as cos^m of the angle from the board's axis; 1 is Lambertian

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    x_m: float
    y_m: float
    z_m: float
    width_m: float
    length_m: float
    photon_flux_umol_s: float
    rotation_deg: float = 0.0
    tilt_deg: float = 0.0
    cosine_exponent: float = 1.0

    def __post_init__(self) -> None:
        for name in ("x_m", "y_m", "z_m", "rotation_deg"):
            numbers(name, getattr(self, name))
        for name in ("width_m", "length_m", "photon_flux_umol_s", "cosine_exponent"):
            numbers(name, getattr(self, name), at_least=0)
        numbers("tilt_deg", self.tilt_deg, above=-90, below=90)

    def axes(self) -> FloatArray:
        """Return the board's unit vectors as rows: along its width, along its length, and the way it faces."""
        turn, tilt = np.deg2rad(self.rotation_deg), np.deg2rad(self.tilt_deg)
        outward = np.array([np.cos(turn), np.sin(turn), 0.0])
        along = np.array([-np.sin(turn), np.cos(turn), 0.0])
        up = np.array([0.0, 0.0, 1.0])
        return np.array([outward * np.cos(tilt) + up * np.sin(tilt), along, outward * np.sin(tilt) - up * np.cos(tilt)])


def ppfd_map(sources: LightSource | Iterable[LightSource], points_m: ArrayLike, *, room: None = None) -> Numbers:
    """Return the PPFD that level, upward-facing sensors read at given points.

    Parameters
    ----------
    sources : one ``LightSource`` or several
    points_m : m, shape (..., 3): x, y, z of each point in room axes
    room : None: an open bench, direct light only; walls are not worked out in this version

    Returns
    -------
    umol m-2 s-1, shape (...)

    Raises
    ------
    ArgumentError (a ValueError): points whose last axis is not 3, a source that is none, or a room

    Validity
    --------
    Exact in the near field for even Lambertian rectangles, tilted ones too; narrower beams to about 1e-8 relative
    from one board side away. Boards cast no shadow. A lattice of single LEDs reads differently within two LED pitches
    of the board.

    References
    ----------
    Howell's catalogue of radiation configuration factors, element to parallel rectangle (B-3); Lambert's contour
    formula for a tilted polygon; inverse-square and cosine law for the Gauss points.

    Examples
    --------
    >>> board = LightSource(x_m=0, y_m=0, z_m=0.5, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0)
    >>> round(ppfd_map(board, [0.0, 0.0, 0.0]), 2)
    120.89
    """
    if room is not None:
        raise ArgumentError("room", room, "None: this version works out direct light only")
    several = [sources] if isinstance(sources, LightSource) else list(sources)
    fluxes = np.array([source.photon_flux_umol_s for source in several if isinstance(source, LightSource)])
    factors = ppfd_per_flux(several, points_m)
    return answer(np.tensordot(fluxes, factors, axes=1))


def ppfd_per_flux(sources: Sequence[LightSource], points_m: ArrayLike) -> FloatArray:
    """Return the PPFD at each point for one umol/s of each source: the field is this matrix times the fluxes.

    Parameters
    ----------
    sources : any number of ``LightSource``
    points_m : m, shape (..., 3)

    Returns
    -------
    m-2 (umol m-2 s-1 for a umol/s), shape (sources, ...)

    Raises
    ------
    ArgumentError (a ValueError): as ``ppfd_map``
    """
    points = numbers("points_m", points_m)
    if points.shape[-1:] != (3,):
        raise ArgumentError("points_m", points.shape, "a shape that ends in 3: x, y, z of each point")
    for source in sources:
        if not isinstance(source, LightSource):
            raise ArgumentError("sources", source, "LightSource entries")
    flat = points.reshape(-1, 3)
    factors = np.empty((len(sources), flat.shape[0]))
    for start in range(0, flat.shape[0], POINTS_AT_A_TIME):
        part = slice(start, start + POINTS_AT_A_TIME)
        for number, source in enumerate(sources):
            factors[number, part] = _of_one(source, flat[part])
    return factors.reshape(len(sources), *points.shape[:-1])


def _of_one(source: LightSource, points: FloatArray) -> FloatArray:
    axes, centre = source.axes(), np.array([source.x_m, source.y_m, source.z_m])
    sides = (source.width_m, source.length_m)
    if source.cosine_exponent != 1.0 or min(sides) == 0.0:
        return gauss_factors(centre, axes, sides, source.cosine_exponent, points)
    local = (points - centre) @ axes.T
    if source.tilt_deg == 0.0:
        return flat_factors(sides, local)
    return tilted_factors(axes, sides, local)
