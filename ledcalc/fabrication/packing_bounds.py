"""What no packing of circles in a circle can beat, and packings of equal circles known beforehand."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.tables import table

__all__ = ["TABLE_COUNT", "equal_centres", "equal_ratio", "hexagonal_centres", "is_proved", "least_radius"]

TABLE_COUNT = 20


@cache
def equal_ratio(count: int) -> float:
    """Return radius of the enclosing circle over radius of each of 1 to 20 equal circles, from the table."""
    return float(table("circle_packing")[count - 1]["ratio"])


@cache
def is_proved(count: int) -> bool:
    """Return whether no smaller enclosing circle of so many equal circles exists (proved, from memory)."""
    return count <= TABLE_COUNT and table("circle_packing")[count - 1]["standing"] == "proved"


def equal_centres(count: int) -> FloatArray:
    """Return centres of equal circles of radius 1 packed about the origin: the table's up to 20, hexagonal beyond."""
    if count > TABLE_COUNT:
        return hexagonal_centres(count)
    pairs = table("circle_packing")[count - 1]["centres"].split("; ")
    return np.array([[float(number) for number in pair.split()] for pair in pairs])


def hexagonal_centres(count: int) -> FloatArray:
    """Return centres of equal circles of radius 1 in the densest lattice, about the best of its symmetric points."""
    reach = math.isqrt(count) + 3
    steps = np.arange(-reach, reach + 1)
    across, up = (grid.ravel() for grid in np.meshgrid(steps, steps))
    lattice = np.column_stack([2.0 * across + up, math.sqrt(3.0) * up])
    found: list[tuple[float, FloatArray]] = []
    # About a circle, about the touch of two, about the gap between three.
    for middle in ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0 / math.sqrt(3.0))):
        moved = lattice - np.array(middle)
        distance = np.hypot(moved[:, 0], moved[:, 1])
        nearest = np.argsort(np.round(distance, 9), kind="stable")[:count]
        found.append((float(distance[nearest].max()), moved[nearest]))
    return min(found, key=lambda one: one[0])[1]


def least_radius(radii: FloatArray) -> float:
    """Return a radius below which no circle holds all the given ones.

    Parameters
    ----------
    radii : m, above 0, falling

    References
    ----------
    Areas; the three largest alone (Descartes' circle theorem); the k largest, none smaller than the k-th, as k equal
    circles: by the table where proved, by Oler's inequality otherwise (Oler 1961, from memory).
    """
    bounds = [math.sqrt(float(np.sum(radii * radii)))]
    bounds += [_equal_bound(k + 1) * r for k, r in enumerate(radii.tolist())]
    if len(radii) > 1:
        bounds.append(float(radii[0] + radii[1]))
    if len(radii) > 2:
        bounds.append(_three(*radii[:3].tolist()))
    return float(max(bounds))


def _equal_bound(count: int) -> float:
    if is_proved(count):
        # The table rounds its ratio up in the ninth decimal.
        return equal_ratio(count) - 1e-9
    # Oler: at most 2/sqrt(3) area / d^2 + edge / (2 d) + 1 points no nearer than d; a disc of radius t d.
    square = 2.0 * math.pi / math.sqrt(3.0)
    t: float = (math.sqrt(math.pi**2 + 4.0 * square * (count - 1)) - math.pi) / (2.0 * square)
    return 1.0 + 2.0 * t


def _three(first: float, second: float, third: float) -> float:
    """The circle round three circles: by Descartes, or set by the two largest where the third fits beside them."""
    pair = first + second
    beside = first * second * pair / (first * first + first * second + second * second)
    if third <= beside:
        return pair
    a, b, c = 1.0 / first, 1.0 / second, 1.0 / third
    return 1.0 / (2.0 * math.sqrt(a * b + b * c + c * a) - (a + b + c))
