"""Which share of a board's light falls on which patch of the room."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons.exchange import seen_shares
from ledcalc.photons.mesh import Surface
from ledcalc.photons.source import LightSource

__all__ = ["PatchPoints", "patch_points", "patch_shares"]

# Gauss points along a side of a patch, for beams without a closed form.
POINTS_PER_SIDE = 3
# Emitting points along a board's side: usual, and where a wall or the floor is nearer than the board is long.
USUAL_EMITTERS, NEAR_EMITTERS = 2, 4

# Places (points, 3), inward normals (points, 3), areas in m2 (points), patch number (points).
PatchPoints = tuple[FloatArray, FloatArray, FloatArray, int]


def patch_points(surfaces: Sequence[Surface]) -> PatchPoints:
    """Return Gauss points on all patches, patch by patch: places, inward normals, areas, and how many a patch has."""
    places, normals, areas = [], [], []
    for surface in surfaces:
        first, second = surface.across
        u, weight_u = _gauss(surface.lines_m[first])
        v, weight_v = _gauss(surface.lines_m[second])
        shape = (u.shape[0], v.shape[0], POINTS_PER_SIDE, POINTS_PER_SIDE)
        grid = np.empty((*shape, 3))
        grid[..., surface.axis] = surface.plane_m
        grid[..., first] = u[:, None, :, None]
        grid[..., second] = v[None, :, None, :]
        normal = np.zeros(3)
        normal[surface.axis] = 1.0 if surface.plane_m == 0.0 else -1.0
        places.append(grid.reshape(-1, 3))
        normals.append(np.broadcast_to(normal, (grid.size // 3, 3)))
        areas.append((weight_u[:, None, :, None] * weight_v[None, :, None, :]).ravel())
    return np.concatenate(places), np.concatenate(normals), np.concatenate(areas), POINTS_PER_SIDE**2


@cache
def _rule(count: int) -> tuple[FloatArray, FloatArray]:
    node, weight = np.polynomial.legendre.leggauss(count)
    return node, weight


def _gauss(lines_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    node, weight = _rule(POINTS_PER_SIDE)
    half = np.diff(lines_m)[:, None] / 2.0
    return lines_m[:-1, None] + half * (node + 1.0), half * weight


def patch_shares(sources: Sequence[LightSource], surfaces: Sequence[Surface], points: PatchPoints) -> FloatArray:
    """Return the share of each source's flux that falls on each patch, shape (sources, patches); rows sum to 1.

    Level Lambertian boards are exact from each emitting point (a Gauss rule over the board); other beams take a Gauss
    rule on the patches as well, scaled so that no light is lost.
    """
    shares = np.zeros((len(sources), points[2].size // points[3]))
    emitting = [_emitters(source, surfaces) for source in sources]
    level = [source.tilt_deg == 0.0 and source.is_lambertian for source in sources]
    exact = [number for number, even in enumerate(level) if even]
    if exact:
        seen = seen_shares(surfaces, np.concatenate([emitting[number][0] for number in exact]), upward=False)
        ends = np.cumsum([emitting[number][0].shape[0] for number in exact])
        for number, part in zip(exact, np.split(seen, ends[:-1]), strict=True):
            shares[number] = emitting[number][1] @ part
    for number in set(range(len(sources))) - set(exact):
        shares[number] = _by_points(sources[number], *emitting[number], points)
    return shares


def _emitters(source: LightSource, surfaces: Sequence[Surface]) -> tuple[FloatArray, FloatArray]:
    sides = np.array([source.width_m, source.length_m])
    corners = source.corners()
    # The ceiling sees nothing of a level board, so that a board may hang just under it.
    seen = [surface for surface in surfaces if surface.name != "ceiling"]
    nearest = np.abs(corners[:, [surface.axis for surface in seen]] - [surface.plane_m for surface in seen]).min()
    per_side = NEAR_EMITTERS if nearest < sides.max() else USUAL_EMITTERS
    node, weight = _rule(per_side)
    lines = [(node / 2.0 * side, weight / 2.0) if side > 0 else (np.zeros(1), np.ones(1)) for side in sides]
    (u, weight_u), (v, weight_v) = lines
    face = np.column_stack([np.repeat(u, v.size), np.tile(v, u.size)])
    return source.centre() + face @ source.axes()[:2], np.outer(weight_u, weight_v).ravel()


def _by_points(source: LightSource, emitters: FloatArray, weights: FloatArray, points: PatchPoints) -> FloatArray:
    places, normals, areas, per_patch = points
    spread, axes = source.spread, source.axes()
    received = np.zeros(places.shape[0])
    for emitter, weight in zip(emitters, weights, strict=True):
        ray = places - emitter
        square = np.maximum(np.einsum("ij,ij->i", ray, ray), 1e-12)
        distance = np.sqrt(square)
        arriving = np.maximum(-np.einsum("ij,ij->i", ray, normals), 0.0)
        across, along, ahead = axes @ ray.T / distance
        received += weight * spread.towards(across, along, ahead) * arriving / (distance * square)
    shares = (received * areas).reshape(-1, per_patch).sum(axis=1)
    return np.asarray(shares / shares.sum())
