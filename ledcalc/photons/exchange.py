"""Exchange of light between the patches of a closed room, and from its patches to level sensors, in closed form."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons.mesh import Surface

__all__ = ["exchange_areas", "parallel_areas", "seen_shares"]

POINTS_AT_A_TIME = 128
# A sensor on a wall is held this far off it, in m.
LEAST_DISTANCE_M = 1e-9


def exchange_areas(surfaces: Sequence[Surface]) -> FloatArray:
    """Return area times configuration factor in m2 from each patch to each other, a symmetric matrix.

    References
    ----------
    Howell's catalogue of radiation configuration factors: rectangle to parallel rectangle (C-13) and to one at a right
    angle (C-15), for rectangles with parallel sides.
    """
    starts = np.concatenate([[0], np.cumsum([surface.count for surface in surfaces])])
    whole = np.zeros((starts[-1], starts[-1]))
    for one, first in enumerate(surfaces):
        for other in range(one + 1, len(surfaces)):
            second = surfaces[other]
            block = parallel_areas(first, second) if first.axis == second.axis else _at_right_angles(first, second)
            rows, columns = slice(*starts[one : one + 2]), slice(*starts[other : other + 2])
            whole[rows, columns] = block
            whole[columns, rows] = block.T
    return whole


def parallel_areas(first: Surface, second: Surface) -> FloatArray:
    """Return area times configuration factor in m2 between the patches of two facing surfaces."""
    one, other = first.across
    u = first.lines_m[one][:, None] - second.lines_m[one][None, :]
    v = first.lines_m[other][:, None] - second.lines_m[other][None, :]
    corners = _parallel_corner(u[:, None, :, None], v[None, :, None, :], abs(first.plane_m - second.plane_m))
    return np.abs(_over_patches(corners)).reshape(first.count, second.count)


def _parallel_corner(u: FloatArray, v: FloatArray, distance: float) -> FloatArray:
    """Return the corner function of two parallel rectangles: differences of it are area times factor."""
    square = distance * distance
    to_u, to_v = np.sqrt(u * u + square), np.sqrt(v * v + square)
    angles = v * to_u * np.arctan(v / to_u) + u * to_v * np.arctan(u / to_v)
    return np.asarray((angles - square / 2.0 * np.log(u * u + v * v + square)) / (2.0 * np.pi))


def _at_right_angles(first: Surface, second: Surface) -> FloatArray:
    shared = 3 - first.axis - second.axis
    along = first.lines_m[shared][:, None] - second.lines_m[shared][None, :]
    # How far each one's lines lie from the other's plane.
    from_second = np.abs(first.lines_m[second.axis] - second.plane_m)
    from_first = np.abs(second.lines_m[first.axis] - first.plane_m)
    corners = _right_angle_corner(along[:, None, :, None], np.hypot(from_second[:, None], from_first)[None, :, None, :])
    patches = np.abs(_over_patches(corners))
    if first.across[0] != shared:
        patches = patches.swapaxes(0, 1)
    if second.across[0] != shared:
        patches = patches.swapaxes(2, 3)
    return patches.reshape(first.count, second.count)


def _right_angle_corner(along: FloatArray, reach: FloatArray) -> FloatArray:
    safe = np.where(reach > 0, reach, 1.0)
    angle = np.where(reach > 0, along * reach * np.arctan(along / safe), 0.0)
    along, reach = along * along, reach * reach
    total = along + reach
    logarithm = np.log(np.where(total > 0, total, 1.0))
    return np.asarray((angle - (reach - along) / 4.0 * logarithm) / (2.0 * np.pi))


def _over_patches(corners: FloatArray) -> FloatArray:
    for axis in range(corners.ndim):
        corners = np.diff(corners, axis=axis)
    return corners


def seen_shares(surfaces: Sequence[Surface], points_m: FloatArray, *, upward: bool) -> FloatArray:
    """Return the configuration factor from level elements to each patch, shape (points, patches).

    ``upward``: elements face up (sensors), else down (boards). Each row sums to 1 within the room.

    References
    ----------
    Howell's catalogue: element to parallel rectangle (B-3), element to rectangle at a right angle (B-4).
    """
    shares = np.zeros((points_m.shape[0], sum(surface.count for surface in surfaces)))
    for start in range(0, points_m.shape[0], POINTS_AT_A_TIME):
        rows = slice(start, start + POINTS_AT_A_TIME)
        filled = 0
        for surface in surfaces:
            columns = slice(filled, filled + surface.count)
            filled += surface.count
            if surface.axis != 2:
                shares[rows, columns] = _seen_wall(surface, points_m[rows], upward)
            elif (surface.name == "ceiling") == upward:
                shares[rows, columns] = _seen_level(surface, points_m[rows])
    return shares


def _seen_level(surface: Surface, points: FloatArray) -> FloatArray:
    a = surface.lines_m[0][None, :] - points[:, 0, None]
    b = surface.lines_m[1][None, :] - points[:, 1, None]
    square = np.maximum(np.abs(surface.plane_m - points[:, 2, None]), LEAST_DISTANCE_M) ** 2
    to_a, to_b = np.sqrt(a * a + square)[:, :, None], np.sqrt(b * b + square)[:, None, :]
    a, b = a[:, :, None], b[:, None, :]
    corners = a / to_a * np.arctan(b / to_a) + b / to_b * np.arctan(a / to_b)
    return _shares_of(corners)


def _seen_wall(surface: Surface, points: FloatArray, upward: bool) -> FloatArray:
    away = np.maximum(np.abs(surface.plane_m - points[:, surface.axis]), LEAST_DISTANCE_M)[:, None]
    side = 1 - surface.axis
    along = surface.lines_m[side][None, :] - points[:, side, None]
    rise = surface.lines_m[2][None, :] - points[:, 2, None]
    # What lies behind the element is not seen.
    rise = np.maximum(rise if upward else -rise, 0.0)
    to_row = np.sqrt(rise * rise + away * away)[:, None, :]
    along = along[:, :, None]
    corners = np.arctan(along / away[:, :, None]) - away[:, :, None] / to_row * np.arctan(along / to_row)
    return _shares_of(corners)


def _shares_of(corners: FloatArray) -> FloatArray:
    shares = np.diff(np.diff(corners, axis=1), axis=2)
    return np.abs(shares).reshape(corners.shape[0], -1) / (2.0 * np.pi)
