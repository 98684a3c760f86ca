"""The same room with walls that are mirrors: image sources, with floor and ceiling that stay diffuse."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons.direct import factors_of_image
from ledcalc.photons.exchange import parallel_areas, seen_shares
from ledcalc.photons.mesh import Surface
from ledcalc.photons.source import LightSource

__all__ = ["MirrorRoom", "mirror_room"]

PLAN_COUNT = 4
# Image rooms are followed this many heights out, at most so many; what goes beyond is spread evenly.
REACH_OVER_HEIGHT, MOST_ORDER = 4.0, 8
LEAST_IMAGE_WEIGHT = 1e-5
POINTS_AT_A_TIME = 128
TAIL_STEPS = 32


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MirrorRoom:
    """A room of mirror walls; ``wall_reflectances``: left, right, front, back."""

    sizes_m: tuple[float, float, float]
    wall_reflectances: tuple[float, float, float, float]
    floor_reflectance: float
    ceiling_reflectance: float
    exchange: FloatArray
    points_m: FloatArray
    transfer: FloatArray

    def per_flux(self, sources: Sequence[LightSource], points_m: FloatArray) -> FloatArray:
        """Return the PPFD at points of shape (n, 3) for one umol/s of each source."""
        known = np.array_equal(points_m, self.points_m)
        transfer = self.transfer if known else _seen_ceiling(self.sizes_m, self.wall_reflectances, points_m)
        direct = self._with_images(sources, points_m)
        return np.asarray(direct + self.ceiling_reflectance * self._on_ceiling(sources) @ transfer.T)

    def _on_ceiling(self, sources: Sequence[LightSource]) -> FloatArray:
        """Return what arrives on the ceiling's patches, in m-2: from floor and ceiling by turns, the walls between."""
        width, depth, _ = self.sizes_m
        on_floor = self._with_images(sources, _plan_points(width, depth))
        on_floor = on_floor.reshape(len(sources), PLAN_COUNT, 2, PLAN_COUNT, 2).mean(axis=(2, 4))
        first = self.floor_reflectance * on_floor.reshape(len(sources), -1) @ self.exchange.T
        # A tilted matt board sends (1 - cos) / 2 of its light above the horizon: evenly over the ceiling, near enough.
        tilts = np.deg2rad([source.tilt_deg for source in sources])
        above = 1.0 - np.array([source.spread.lower_half_fraction for source in sources]) * (1.0 + np.cos(tilts)) / 2.0
        back = self.floor_reflectance * self.ceiling_reflectance * self.exchange @ self.exchange
        arriving = (first + above[:, None] / (width * depth)).T
        return np.asarray(np.linalg.solve(np.eye(back.shape[0]) - back, arriving).T)

    def _with_images(self, sources: Sequence[LightSource], points: FloatArray) -> FloatArray:
        total = np.zeros((len(sources), points.shape[0]))
        lowest = float(points[:, 2].min(initial=self.sizes_m[2]))
        for number, source in enumerate(sources):
            orders = _orders(self.sizes_m, source.z_m - lowest)
            for weight, centre, axes in self._images(source, orders):
                total[number] += weight * factors_of_image(source, centre, axes, points)
            fall = np.maximum(source.z_m - points[:, 2], 0.0)
            if source.spread.table is None:
                total[number] += self._beyond(fall, orders, source.spread.exponent)
        return total

    def _images(self, source: LightSource, orders: tuple[int, int]) -> Iterator[tuple[float, FloatArray, FloatArray]]:
        left, right, front, back = self.wall_reflectances
        for m in range(-orders[0], orders[0] + 1):
            for n in range(-orders[1], orders[1] + 1):
                weight = _weight(m, left, right) * _weight(n, front, back)
                if weight > LEAST_IMAGE_WEIGHT:
                    yield weight, *_image(source, (m, n), self.sizes_m)

    def _beyond(self, fall_m: FloatArray, orders: tuple[int, int], exponent: float) -> FloatArray:
        heights, places = np.unique(fall_m, return_inverse=True)
        width, depth, _ = self.sizes_m
        tails = [_tail(self.sizes_m, self.wall_reflectances, fall, orders, exponent) for fall in heights.tolist()]
        return np.asarray(np.array(tails)[places] / (width * depth))


def mirror_room(
    sizes_m: tuple[float, float, float], mean_reflectances: Mapping[str, float], points_m: FloatArray
) -> MirrorRoom:
    """Solve what floor and ceiling exchange between mirror walls; each surface with one, mean reflectance."""
    width, depth, height = sizes_m
    walls = [mean_reflectances[name] for name in ("left", "right", "front", "back")]
    reflectances = (walls[0], walls[1], walls[2], walls[3])
    orders = _orders(sizes_m, height)
    floor = Surface(name="floor", axis=2, plane_m=0.0, lines_m={0: _lines(width, 0), 1: _lines(depth, 0)})
    patch_m2 = width * depth / PLAN_COUNT**2
    shares = parallel_areas(floor, _wide_ceiling(sizes_m, orders)) / patch_m2
    return MirrorRoom(
        sizes_m=sizes_m,
        wall_reflectances=reflectances,
        floor_reflectance=mean_reflectances["floor"],
        ceiling_reflectance=mean_reflectances["ceiling"],
        exchange=_folded(shares, orders, reflectances) + _tail(sizes_m, reflectances, height, orders) / PLAN_COUNT**2,
        points_m=points_m,
        transfer=_seen_ceiling(sizes_m, reflectances, points_m),
    )


def _seen_ceiling(
    sizes_m: tuple[float, float, float], reflectances: tuple[float, float, float, float], points_m: FloatArray
) -> FloatArray:
    seen = np.empty((points_m.shape[0], PLAN_COUNT**2))
    for start in range(0, points_m.shape[0], POINTS_AT_A_TIME):
        part = points_m[start : start + POINTS_AT_A_TIME]
        rise = sizes_m[2] - float(part[:, 2].mean())
        orders = _orders(sizes_m, rise)
        shares = seen_shares([_wide_ceiling(sizes_m, orders)], part, upward=True)
        tail = _tail(sizes_m, reflectances, rise, orders) / PLAN_COUNT**2
        seen[start : start + POINTS_AT_A_TIME] = _folded(shares, orders, reflectances) + tail
    return seen


def _wide_ceiling(sizes_m: tuple[float, float, float], orders: tuple[int, int]) -> Surface:
    """Return the ceiling with its images beside it."""
    lines = {axis: _lines(sizes_m[axis], orders[axis]) for axis in (0, 1)}
    return Surface(name="ceiling", axis=2, plane_m=sizes_m[2], lines_m=lines)


def _plan_points(width_m: float, depth_m: float) -> FloatArray:
    """Return two by two Gauss points on each patch of the floor, in the order (x patch, x point, y patch, y point)."""
    node = 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3.0)
    places = (np.arange(PLAN_COUNT)[:, None] + node).ravel() / PLAN_COUNT
    x, y = np.meshgrid(places * width_m, places * depth_m, indexing="ij")
    return np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])


def _lines(side_m: float, order: int) -> FloatArray:
    return np.linspace(-order * side_m, (order + 1) * side_m, (2 * order + 1) * PLAN_COUNT + 1)


def _folded(shares: FloatArray, orders: tuple[int, int], reflectances: tuple[float, float, float, float]) -> FloatArray:
    """Return shares of the images' patches as those of the patches themselves, weakened by each mirror on the way."""
    for axis, order in enumerate(orders):
        # Patches of the axis to fold lie in the middle: (points x folded, cells, patches, the other axis).
        cells = 2 * order + 1
        rest = PLAN_COUNT * (2 * orders[1] + 1) if axis == 0 else 1
        blocks = shares.reshape(-1, cells, PLAN_COUNT, rest)
        one, other = reflectances[2 * axis], reflectances[2 * axis + 1]
        summed = np.zeros((blocks.shape[0], PLAN_COUNT, rest))
        for place, m in enumerate(range(-order, order + 1)):
            block = blocks[:, place]
            summed += _weight(m, one, other) * (block[:, ::-1] if m % 2 else block)
        shares = summed
    return shares.reshape(-1, PLAN_COUNT**2)


def _weight(order: int, low: float, high: float) -> float:
    """Return what reflections at two facing mirrors leave of an image's light; images above 0 meet ``high`` first."""
    more, fewer = (abs(order) + 1) // 2, abs(order) // 2
    return float(high**more * low**fewer if order > 0 else low**more * high**fewer)


def _orders(sizes_m: tuple[float, float, float], rise_m: float) -> tuple[int, int]:
    reach = REACH_OVER_HEIGHT * rise_m
    one, other = (int(np.clip(np.ceil(reach / side - 0.5), 1, MOST_ORDER)) for side in sizes_m[:2])
    return one, other


def _image(
    source: LightSource, orders: tuple[int, int], sizes_m: tuple[float, float, float]
) -> tuple[FloatArray, FloatArray]:
    """Return centre and axes of a source's image; odd images are mirrored."""
    centre, axes = source.centre(), source.axes()
    for axis, order in enumerate(orders):
        if order % 2:
            centre[axis] = sizes_m[axis] - centre[axis]
            axes[:, axis] *= -1.0
        centre[axis] += order * sizes_m[axis]
    return centre, axes


def _tail(
    sizes_m: tuple[float, float, float],
    reflectances: tuple[float, float, float, float],
    rise_m: float,
    orders: tuple[int, int],
    exponent: float = 1.0,
) -> float:
    """Return the share of a level element's light that arrives from beyond the images followed.

    Of cos^m light, cos^(m + 1) of an angle is even between 0 and 1; the way to a distance takes as many mirrors as
    it crosses rooms.
    """
    means = np.sqrt([reflectances[0] * reflectances[1], reflectances[2] * reflectances[3]])
    if (means == 0.0).any() or rise_m <= 0.0:
        return 0.0
    steps = (np.arange(TAIL_STEPS) + 0.5) / TAIL_STEPS
    turn = steps * np.pi / 2.0
    cosines = np.array([np.cos(turn), np.sin(turn)])
    reach = np.min(
        [
            (order + 0.5) * side / cosines[axis]
            for axis, (order, side) in enumerate(zip(orders, sizes_m[:2], strict=True))
        ],
        axis=0,
    )
    beyond = (rise_m**2 / (reach**2 + rise_m**2)) ** ((exponent + 1.0) / 2.0)
    cosine_square = (beyond[:, None] * steps) ** (2.0 / (exponent + 1.0))
    distance = rise_m * np.sqrt(1.0 / cosine_square - 1.0)
    per_metre = np.log(means) @ (cosines / np.array(sizes_m[:2])[:, None])
    return float((beyond * np.exp(per_metre[:, None] * distance).mean(axis=1)).mean())
