"""Configuration factors from a level sensor to one board, over the board's area: PPFD for one umol/s, in m-2."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["flat_factors", "gauss_factors", "tilted_factors"]

GAUSS_POINTS = 6
# A 6 x 6 rule errs by about 1e-9 on a piece whose side is half the distance; boards nearer than that are split.
LARGEST_SIDE_OVER_DISTANCE = 0.5
MOST_PIECES_PER_SIDE = 40


def flat_factors(sides_m: tuple[float, float], local_m: FloatArray) -> FloatArray:
    """Return the factor of a level, even Lambertian rectangle, exact (Howell B-3, summed over the four corners).

    ``local_m``: points in the board's axes, shape (n, 3); the third is the distance in front of its face.
    """
    x, y, c = local_m.T
    in_front = c > 0
    depth = np.where(in_front, c, 1.0)
    total = np.zeros(x.shape)
    for sign_x in (1.0, -1.0):
        for sign_y in (1.0, -1.0):
            corner = _corner(sides_m[0] / 2 + sign_x * x, sides_m[1] / 2 + sign_y * y, depth)
            total += corner
    return np.where(in_front, np.maximum(total, 0.0), 0.0) / (sides_m[0] * sides_m[1])


def tilted_factors(axes: FloatArray, sides_m: tuple[float, float], local_m: FloatArray) -> FloatArray:
    """Return the factor of a tilted, even Lambertian rectangle, exact: Lambert's contour formula.

    E = M / (2 pi) sum of angle_i times (unit normal_i . sensor normal) over the edges seen from the point. What lies
    below the sensor's horizon is cut off first.
    """
    half_w, half_l = sides_m[0] / 2, sides_m[1] / 2
    corners = np.array([[half_w, half_l, 0.0], [-half_w, half_l, 0.0], [-half_w, -half_l, 0.0], [half_w, -half_l, 0.0]])
    # The sensor's normal (straight up) in the board's axes.
    normal = axes @ np.array([0.0, 0.0, 1.0])
    rays = corners[None, :, :] - local_m[:, None, :]
    heights = rays @ normal
    in_front = local_m[:, 2] > 0
    whole = in_front & (heights >= 0).all(axis=1)
    cut = in_front & ~whole & (heights > 0).any(axis=1)
    factors = np.zeros(local_m.shape[0])
    if whole.any():
        factors[whole] = _contour(rays[whole], normal)
    for number in np.flatnonzero(cut):
        factors[number] = _contour(_above_horizon(rays[number], heights[number])[None, :, :], normal)[0]
    return factors / (sides_m[0] * sides_m[1])


def gauss_factors(
    centre_m: FloatArray, axes: FloatArray, sides_m: tuple[float, float], exponent: float, points_m: FloatArray
) -> FloatArray:
    """Return the factor of a cos^m source by Gauss points over its face, split where points come near."""
    nearest = max(float(np.min(np.linalg.norm(points_m - centre_m, axis=1), initial=np.inf)) - max(sides_m) / 2, 1e-6)
    places, weights = _face_points(sides_m, nearest)
    emitters = centre_m + places @ axes[:2]
    total = np.zeros(points_m.shape[0])
    for emitter, weight in zip(emitters, weights, strict=True):
        ray = points_m - emitter
        square = np.einsum("ij,ij->i", ray, ray)
        distance = np.sqrt(np.where(square > 0, square, np.inf))
        leaving = np.maximum(ray @ axes[2], 0.0) / distance
        arriving = np.maximum(-ray[:, 2], 0.0) / distance
        # 0 ** 0 would let an exponent of 0 shine backwards.
        total += (
            weight * np.where(leaving > 0, leaving**exponent, 0.0) * arriving / np.where(square > 0, square, np.inf)
        )
    return total * (exponent + 1.0) / (2.0 * np.pi)


def _corner(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Return the factor from the element under a corner of an a x b rectangle at distance c (signs carried through)."""
    to_a, to_b = np.hypot(a, c), np.hypot(b, c)
    return np.asarray((a / to_a * np.arctan(b / to_a) + b / to_b * np.arctan(a / to_b)) / (2.0 * np.pi))


def _contour(rays: FloatArray, normal: FloatArray) -> FloatArray:
    following = np.roll(rays, -1, axis=1)
    across = np.cross(rays, following)
    sine = np.linalg.norm(across, axis=2)
    cosine = np.einsum("ijk,ijk->ij", rays, following)
    angle = np.arctan2(sine, cosine)
    share = np.where(sine > 0, (across @ normal) / np.where(sine > 0, sine, 1.0), 0.0)
    return np.asarray(np.abs((angle * share).sum(axis=1)) / (2.0 * np.pi))


def _above_horizon(rays: FloatArray, heights: FloatArray) -> FloatArray:
    """Return the polygon cut at the sensor's horizon (Sutherland-Hodgman, one plane)."""
    kept: list[FloatArray] = []
    for number in range(rays.shape[0]):
        after = (number + 1) % rays.shape[0]
        if heights[number] >= 0:
            kept.append(rays[number])
        if (heights[number] >= 0) != (heights[after] >= 0):
            share = heights[number] / (heights[number] - heights[after])
            kept.append(rays[number] + share * (rays[after] - rays[number]))
    return np.array(kept)


def _face_points(sides_m: tuple[float, float], nearest_m: float) -> tuple[FloatArray, FloatArray]:
    """Return Gauss points over the face in its own axes, shape (n, 2), and their weights, which sum to 1."""
    lines = [_side_points(side, nearest_m) for side in sides_m]
    (u, weight_u), (v, weight_v) = lines
    grid = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2)
    return grid, np.outer(weight_u, weight_v).ravel()


def _side_points(side_m: float, nearest_m: float) -> tuple[FloatArray, FloatArray]:
    if side_m == 0.0:
        return np.zeros(1), np.ones(1)
    pieces = int(np.clip(np.ceil(side_m / (LARGEST_SIDE_OVER_DISTANCE * nearest_m)), 1, MOST_PIECES_PER_SIDE))
    node, weight = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    starts = np.arange(pieces)[:, None]
    places = ((starts + (node + 1.0) / 2.0) / pieces - 0.5).ravel() * side_m
    return places, np.tile(weight / 2.0 / pieces, pieces)
