"""Light that comes straight from the boards, for one umol/s of each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons.beams import gauss_per_flux
from ledcalc.photons.factors import FAR_OVER_SIDE, far_factors, flat_factors, tilted_factors
from ledcalc.photons.source import LightSource

__all__ = ["direct_factors", "factors_of_image"]

POINTS_AT_A_TIME = 20_000


def direct_factors(sources: Sequence[LightSource], points_m: FloatArray) -> FloatArray:
    """Return the PPFD at points of shape (n, 3) for one umol/s of each source, shape (sources, n)."""
    factors = np.empty((len(sources), points_m.shape[0]))
    columns = np.ascontiguousarray(points_m.T)
    for start in range(0, points_m.shape[0], POINTS_AT_A_TIME):
        part = slice(start, start + POINTS_AT_A_TIME)
        for number, source in enumerate(sources):
            factors[number, part] = _of_one(source, columns[:, part])
    return factors


def factors_of_image(source: LightSource, centre_m: FloatArray, axes: FloatArray, points_m: FloatArray) -> FloatArray:
    """Return the PPFD for one umol/s of a source that stands elsewhere and is turned or mirrored otherwise."""
    sides = (source.width_m, source.length_m)
    if source.is_lambertian and min(sides) > 0.0:
        local = axes @ (points_m - centre_m).T
        return flat_factors(sides, local) if source.tilt_deg == 0.0 else tilted_factors(axes, sides, local.T)
    if source.spread.table is None:
        return _of_cosines(source, centre_m, axes, points_m)
    return gauss_per_flux(source.spread, centre_m, axes, sides, points_m)


def _of_cosines(source: LightSource, centre_m: FloatArray, axes: FloatArray, points_m: FloatArray) -> FloatArray:
    """Return the factors of a cos^m board: one rule for points well away, pieces of the face for those near it."""
    sides = (source.width_m, source.length_m)
    local = axes @ (points_m - centre_m).T
    fall = centre_m[2] - points_m[:, 2]
    dip = (abs(axes[0, 2]) * sides[0] + abs(axes[1, 2]) * sides[1]) / 2.0
    away = np.sqrt(np.square(local).sum(axis=0)) - max(sides) / 2.0
    # The rule is for smooth light: no point behind the face, none that part of the face cannot shine upon.
    far = (away >= FAR_OVER_SIDE * max(sides)) & (fall > dip) & (local[2] > 0)
    factors = np.zeros(points_m.shape[0])
    factors[far] = far_factors(axes, sides, source.spread.exponent, local[:, far], fall[far])
    near = ~far & (local[2] > 0)
    if near.any():
        factors[near] = gauss_per_flux(source.spread, centre_m, axes, sides, points_m[near])
    return factors


def _of_one(source: LightSource, columns: FloatArray) -> FloatArray:
    sides = (source.width_m, source.length_m)
    if source.tilt_deg != 0.0 or source.rotation_deg != 0.0 or not source.is_lambertian or min(sides) == 0.0:
        return factors_of_image(source, source.centre(), source.axes(), columns.T)
    # The usual case, without a product of matrices.
    offset = columns - source.centre()[:, None]
    offset[2] *= -1.0
    return flat_factors(sides, offset)
