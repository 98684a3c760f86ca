"""Configuration factors from a level sensor to one board, over the board's area: PPFD for one umol/s, in m-2."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["FAR_OVER_SIDE", "far_factors", "flat_factors", "tilted_factors"]

GAUSS_POINTS = 6
# From this many sides away the rule errs by less than 1e-7 for beams up to cos^20.
FAR_OVER_SIDE = 2.0


def flat_factors(sides_m: tuple[float, float], local_m: FloatArray) -> FloatArray:
    """Return the factor of a level, even Lambertian rectangle, exact (Howell B-3, summed over the four corners).

    ``local_m``: points in the board's axes, shape (3, n); the third is the distance in front of its face. The two
    arctangents of a side share their divisor, so that the four corners take four square roots.
    """
    x, y, depth = local_m
    in_front = depth > 0
    everywhere = bool(in_front.all())
    square = np.square(depth if everywhere else np.where(in_front, depth, 1.0))
    right, left = sides_m[0] / 2 + x, sides_m[0] / 2 - x
    far, near = sides_m[1] / 2 + y, sides_m[1] / 2 - y
    total = np.zeros(x.shape)
    for side, one, other in ((right, far, near), (left, far, near), (far, right, left), (near, right, left)):
        to_side = np.sqrt(side * side + square)
        total += side / to_side * (np.arctan(one / to_side) + np.arctan(other / to_side))
    np.maximum(total, 0.0, out=total)
    total /= 2.0 * np.pi * sides_m[0] * sides_m[1]
    return total if everywhere else np.where(in_front, total, 0.0)


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


def far_factors(
    axes: FloatArray, sides_m: tuple[float, float], exponent: float, local_m: FloatArray, fall_m: FloatArray
) -> FloatArray:
    """Return the factor of a cos^m rectangle for points well away and in front of it, all below its lowest edge.

    ``local_m`` as in ``flat_factors``; ``fall_m``: how far each point lies below the centre. One Gauss rule over the
    face: z^m fall / distance^(m + 3) at each of its points.
    """
    node, weight = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    x, y, z = local_m
    total = np.zeros(x.shape)
    for u, weight_u in zip(node / 2.0 * sides_m[0], weight / 2.0, strict=True):
        across = np.square(x - u) + np.square(z)
        for v, weight_v in zip(node / 2.0 * sides_m[1], weight / 2.0, strict=True):
            fall = fall_m + (u * axes[0, 2] + v * axes[1, 2])
            total += weight_u * weight_v * fall * (across + np.square(y - v)) ** (-(exponent + 3.0) / 2.0)
    return np.asarray(total * z**exponent * (exponent + 1.0) / (2.0 * np.pi))


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
