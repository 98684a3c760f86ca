"""PPFD at the points of the surveys for a umol/s of each board, at any reflectance of walls and canopy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.readings import LightPoints
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture
from ledcalc.light_sources import (
    all_sources,
    crop_points,
    off_the_walls,
    own_wall_reflectances,
    raised,
    room_about,
    wall_reflectances,
)
from ledcalc.model_curves import beam_of
from ledcalc.photons import LightSource, Room, ppfd_per_flux

__all__ = ["LightFactors", "light_factors", "surfaces_that_count", "unit_sources"]

# Light sent to and fro goes about as r / (1 - k r) with the reflectance r: in that variable a few nodes do. Six hold
# one board's field in a room within 0.4 % at any point and reflectance, and the fixture's within 0.02 % in the mean.
BOUNCING, LOWEST, HIGHEST = 0.6, 0.0, 0.98
NODES = {"wall": 6, "canopy": 4}
STEP = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightFactors:
    """``nodes``: reflectances of walls and of canopy; ``at_nodes``: (walls, canopy, boards, points), m-2."""

    wall: FloatArray
    canopy: FloatArray
    at_nodes: FloatArray

    def at(self, wall: float, canopy: float) -> FloatArray:
        """Return PPFD for one umol/s, (boards, points)."""
        return self._with(_weights(self.wall, wall), _weights(self.canopy, canopy))

    def slope(self, surface: str, wall: float, canopy: float) -> FloatArray:
        """Return how that changes with one reflectance."""
        by_wall, by_canopy = _weights(self.wall, wall), _weights(self.canopy, canopy)
        if surface == "wall":
            by_wall = (_weights(self.wall, wall + STEP) - _weights(self.wall, wall - STEP)) / (2.0 * STEP)
        else:
            by_canopy = (_weights(self.canopy, canopy + STEP) - _weights(self.canopy, canopy - STEP)) / (2.0 * STEP)
        return self._with(by_wall, by_canopy)

    def _with(self, by_wall: FloatArray, by_canopy: FloatArray) -> FloatArray:
        return np.asarray(np.einsum("w,c,wcbp->bp", by_wall, by_canopy, self.at_nodes))


def light_factors(
    fixture: Fixture, placed: Sequence[PlacedBoard], points: LightPoints, surfaces: Sequence[str]
) -> LightFactors:
    """Work out the field at nodes of reflectance; of surfaces that are not looked for, at the one they have.

    Parameters
    ----------
    fixture, placed : the boards and where they hang
    points : where light was read; the boards are raised or lowered to the height over the sensor
    surfaces : "wall", "canopy": whose reflectance is looked for
    """
    site = fixture.site
    wall = _nodes("wall") if "wall" in surfaces else np.array([site.wall_reflectance_fraction])
    canopy = _nodes("canopy") if "canopy" in surfaces else np.array([site.floor_reflectance_fraction])
    walls = tuple(wall_reflectances(site, float(by)) for by in wall)
    at_nodes = np.zeros((wall.size, canopy.size, len(placed), points.height_m.size))
    unit = unit_sources(fixture, placed)
    for height in np.unique(points.height_m):
        own = points.height_m == height
        hung = tuple(all_sources(fixture, raised(unit, float(height) - fixture.height_m)))
        room = room_about(fixture, hung)
        places = off_the_walls(crop_points(fixture, points.x_m[own], points.y_m[own]), room)
        of_all = _at_nodes(room, hung, places.tobytes(), walls, tuple(canopy))
        # Boards of fixtures beside this one give what their likes on this one give.
        likes = of_all.reshape(wall.size, canopy.size, -1, len(placed), places.shape[0])
        at_nodes[..., own] = likes.sum(axis=2)
    return LightFactors(wall=wall, canopy=canopy, at_nodes=at_nodes)


def surfaces_that_count(
    fixture: Fixture, placed: Sequence[PlacedBoard], points: LightPoints, *, canopy: bool
) -> tuple[str, ...]:
    """Return the surfaces whose reflectance light readings can tell: none on an open bench, nor what is stated.

    "wall" is the wall reflectance of the site: that of the walls without a figure of their own, which stay as stated.
    """
    unit = all_sources(fixture, unit_sources(fixture, placed))
    hung = [raised(unit, float(height) - fixture.height_m) for height in np.unique(points.height_m)]
    if not any(room_about(fixture, sources) is not None for sources in hung):
        return ()
    wall = ("wall",) if None in own_wall_reflectances(fixture.site) else ()
    return (*wall, "canopy") if canopy else wall


def unit_sources(fixture: Fixture, placed: Sequence[PlacedBoard]) -> list[LightSource]:
    """Return each board as a light source of 1 umol/s in room axes."""
    return [
        LightSource(
            x_m=board.place.x_m,
            y_m=board.place.y_m,
            z_m=fixture.canopy_height_m + float(board.place.height_m or 0.0),
            width_m=board.model.width_m,
            length_m=board.model.length_m,
            photon_flux_umol_s=1.0,
            rotation_deg=board.place.rotation_deg,
            tilt_deg=board.place.tilt_deg,
            cosine_exponent=board.model.cosine_exponent,
            beam=beam_of(board.model, fixture.beams),
        )
        for board in placed
    ]


@lru_cache(maxsize=8)
def _at_nodes(
    room: Room | None,
    hung: tuple[LightSource, ...],
    places: bytes,
    walls: tuple[tuple[float, ...], ...],
    canopy: tuple[float, ...],
) -> FloatArray:
    """Return the factors at all nodes, kept: one bench is calibrated again and again as readings come in."""
    points = np.frombuffer(places).reshape(-1, 3)
    if room is None:
        return np.tile(ppfd_per_flux(hung, points), (len(walls), len(canopy), 1, 1))
    heights = sorted({round(source.z_m, 6) for source in hung})
    found = np.empty((len(walls), len(canopy), len(hung), len(points)))
    for one, by_wall in enumerate(walls):
        for other, by_canopy in enumerate(canopy):
            painted = replace(room, wall_reflectance=by_wall, floor_reflectance=float(by_canopy))
            found[one, other] = ppfd_per_flux(hung, points, room=painted.prepare(points, fixture_height_m=heights))
    return found


def _nodes(surface: str) -> FloatArray:
    """Return reflectances at the Chebyshev points of r / (1 - k r)."""
    count = NODES[surface]
    low, high = _bounced(LOWEST), _bounced(HIGHEST)
    angle = (2 * np.arange(count) + 1) / (2 * count) * np.pi
    at = (low + high) / 2.0 + (high - low) / 2.0 * np.cos(angle)
    return np.asarray(at / (1.0 + BOUNCING * at))


def _bounced(reflectance: float | FloatArray) -> float | FloatArray:
    return reflectance / (1.0 - BOUNCING * reflectance)


def _weights(nodes: FloatArray, reflectance: float) -> FloatArray:
    """Return Lagrange's weights of the nodes."""
    at, known = np.asarray(_bounced(reflectance)), np.asarray(_bounced(nodes))
    apart = known[:, None] - known[None, :]
    np.fill_diagonal(apart, 1.0)
    ahead = np.where(np.eye(known.size, dtype=bool), 1.0, at - known[None, :])
    return np.asarray((ahead / apart).prod(axis=1))
