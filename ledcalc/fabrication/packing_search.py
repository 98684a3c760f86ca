"""Search for a small circle round circles of mixed sizes: many built starts, the best of them polished."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray

__all__ = ["Packing", "packed", "settled"]

# Any fixed number does: the same circles are to give the same answer.
SEED = 1
# Above this many circles a polish takes seconds, so the built starts stand as they are.
POLISHED_COUNT = 40
# Above this many, only pairs that start near each other are watched, and only two built starts polished.
SCATTERED_COUNT = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """Circles that do not overlap, and the radius about the origin that holds them all."""

    centres: FloatArray
    radius: float


def packed(radii: FloatArray, tries_count: int, known: FloatArray) -> Packing:
    """Return the best packing found of circles of falling radii; ``known`` holds centres to start from besides."""
    count = len(radii)
    built = _built(radii, int(np.clip(2e7 / count**4, 2, 16 * tries_count)))
    reach = np.max(np.hypot(built[..., 0], built[..., 1]) + radii, axis=1)
    # Circles of one size swapped give the same radius again: one of each will do.
    ranked = np.unique(np.round(reach / radii[0], 7), return_index=True)[1]
    if count > SCATTERED_COUNT:
        starts = [*built[ranked[: min(tries_count, 2)]], known]
    else:
        # Built starts serve mixed sizes better, scattered ones equal sizes.
        scattered = tries_count // 3
        starts = [*built[ranked[: tries_count - scattered]], known, *_scattered(radii, scattered)]
    if count <= POLISHED_COUNT:
        return min((_polished(centres, radii) for centres in starts), key=lambda one: one.radius)
    return min((settled(centres, radii) for centres in starts), key=lambda one: one.radius)


def settled(centres: FloatArray, radii: FloatArray) -> Packing:
    """Return the centres spread until no two circles overlap, with the radius that then holds them."""
    first, second = np.triu_indices(len(radii), 1)
    apart = np.hypot(*(centres[first] - centres[second]).T)
    spread = np.max((radii[first] + radii[second]) / np.maximum(apart, 1e-300), initial=0.0)
    grown = centres * max(1.0, float(spread))
    return Packing(centres=grown, radius=float(np.max(np.hypot(*grown.T) + radii)))


def _built(radii: FloatArray, starts: int) -> FloatArray:
    """Set circle after circle into the free place, touching two others, nearest to the middle; an order a start."""
    count = len(radii)
    random = np.random.default_rng(SEED)
    noise = random.standard_normal((starts, count))
    # Large circles tend to come first; the first start keeps to that order. Every other start strays in its places too.
    noise[0] = 0.0
    stray = 0.3 * (np.arange(starts) % 2)
    order = np.argsort(1.2 * noise - np.log(radii), axis=1, kind="stable")
    sizes = radii[order]
    places = np.zeros((starts, count, 2))
    if count > 1:
        places[:, 1, 0] = sizes[:, 0] + sizes[:, 1]
    for k in range(2, count):
        places[:, k] = _next_place(
            places[:, :k], sizes[:, :k], sizes[:, [k]], stray[:, None] * random.random((starts, k * (k - 1)))
        )
    places = _centred(places, sizes)
    sorted_back = np.zeros_like(places)
    sorted_back[np.arange(starts)[:, None], order] = places
    return sorted_back


def _next_place(places: FloatArray, sizes: FloatArray, size: FloatArray, stray: FloatArray) -> FloatArray:
    i, j = np.triu_indices(places.shape[1], 1)
    to_first, to_second = sizes[:, i] + size, sizes[:, j] + size
    line = places[:, j] - places[:, i]
    length = np.sqrt((line**2).sum(-1))
    along = (to_first**2 - to_second**2 + length**2) / (2.0 * length)
    height2 = to_first**2 - along**2
    unit = line / length[..., None]
    foot = places[:, i] + along[..., None] * unit
    aside = np.stack([-unit[..., 1], unit[..., 0]], axis=-1) * np.sqrt(np.maximum(height2, 0.0))[..., None]
    choices = np.concatenate([foot + aside, foot - aside], axis=1)
    apart2 = ((choices[:, :, None, :] - places[:, None, :, :]) ** 2).sum(-1)
    free = (apart2 >= ((sizes + size) ** 2)[:, None, :] * (1.0 - 1e-9)).all(-1)
    free &= np.concatenate([height2, height2], axis=1) >= 0.0
    away2 = ((choices - _middle(places, sizes)[:, None, :]) ** 2).sum(-1)
    nearest = np.where(free, away2 * (1.0 + stray), np.inf).argmin(axis=1)
    chosen: FloatArray = choices[np.arange(len(choices)), nearest]
    return chosen


def _middle(places: FloatArray, sizes: FloatArray) -> FloatArray:
    weight = sizes**2
    middle: FloatArray = (places * weight[..., None]).sum(1) / weight.sum(1)[:, None]
    return middle


def _centred(places: FloatArray, sizes: FloatArray) -> FloatArray:
    """Move the middle by shrinking steps towards the circle that reaches farthest."""
    middle = _middle(places, sizes)
    rows = np.arange(len(places))
    for step in range(40):
        away = places - middle[:, None]
        distance = np.sqrt((away**2).sum(-1))
        reach = distance + sizes
        farthest = reach.argmax(axis=1)
        direction = away[rows, farthest] / np.maximum(distance[rows, farthest], 1e-12)[:, None]
        middle = middle + direction * ((reach.max(axis=1) - reach.mean(axis=1)) / (step + 3))[:, None]
    return places - middle[:, None]


def _scattered(radii: FloatArray, starts: int) -> FloatArray:
    spread = 0.7 * float(np.sqrt(np.sum(radii * radii)))
    return np.random.default_rng(SEED).standard_normal((starts, len(radii), 2)) * spread


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gaps:
    """Room between circles and to the enclosing one, in squares, over x of all, y of all and the enclosing radius."""

    radii: FloatArray
    i: NDArray[np.intp]
    j: NDArray[np.intp]

    def room(self, z: FloatArray) -> FloatArray:
        """Above 0 where two circles lie apart, and where a circle lies within."""
        x, y = z[:-1].reshape(2, -1)
        apart2 = (x[self.i] - x[self.j]) ** 2 + (y[self.i] - y[self.j]) ** 2
        touch2 = (self.radii[self.i] + self.radii[self.j]) ** 2
        return np.concatenate([apart2 - touch2, (z[-1] - self.radii) ** 2 - x * x - y * y])

    def slope(self, z: FloatArray) -> FloatArray:
        """The derivatives of ``room``."""
        count, pairs = len(self.radii), len(self.i)
        rows = np.zeros((pairs + count, 2 * count + 1))
        pair, own = np.arange(pairs), np.arange(count)
        for offset, at in zip((0, count), z[:-1].reshape(2, -1), strict=True):
            rows[pair, offset + self.i] = 2.0 * (at[self.i] - at[self.j])
            rows[pair, offset + self.j] = -rows[pair, offset + self.i]
            rows[pairs + own, offset + own] = -2.0 * at
        rows[pairs:, -1] = 2.0 * (z[-1] - self.radii)
        return rows


def _polished(centres: FloatArray, radii: FloatArray) -> Packing:
    """Shrink the enclosing circle with all centres free (SLSQP); the start where that fails."""
    from scipy.optimize import minimize

    count = len(radii)
    i, j = np.triu_indices(count, 1)
    if count > SCATTERED_COUNT:
        # Should two far ones meet after all, settling spreads them.
        near = np.hypot(*(centres[i] - centres[j]).T) < radii[i] + radii[j] + 1.5 * radii[0]
        i, j = i[near], j[near]
    gaps = _Gaps(radii=radii, i=i, j=j)
    aim = np.append(np.zeros(2 * count), 1.0)
    # The solver's stubs know no arrays of open shape.
    solve: Any = minimize
    found = solve(
        lambda z: float(z[-1]),
        np.append(centres.T.ravel(), np.max(np.hypot(*centres.T) + radii)),
        jac=lambda _: aim,
        method="SLSQP",
        constraints={"type": "ineq", "fun": gaps.room, "jac": gaps.slope},
        options={"maxiter": 50, "ftol": 1e-12},
    )
    start, ended = settled(centres, radii), found.x[:-1].reshape(2, -1).T
    if not np.isfinite(ended).all():
        return start
    return min(start, settled(ended, radii), key=lambda one: one.radius)
