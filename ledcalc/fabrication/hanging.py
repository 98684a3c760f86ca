"""Hanging a fixture: the load on each hanger, and the rating it asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["USUAL_SAFETY_FACTOR", "HangerLoads", "four_hanger_loads", "two_hanger_loads"]

# Common practice, no source: five times the load for hangers, cords and hooks overhead.
USUAL_SAFETY_FACTOR = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HangerLoads:
    """Masses on the hangers, kg: ``even_kg`` when all pull alike, ``worst_kg`` the most each may have to carry."""

    total_kg: float
    even_kg: tuple[float, ...]
    worst_kg: tuple[float, ...]
    rating_kg: tuple[float, ...]
    hangs: bool
    status: str


def two_hanger_loads(
    masses_kg: ArrayLike,
    positions_m: ArrayLike,
    hangers_m: ArrayLike,
    *,
    safety_factor: float = USUAL_SAFETY_FACTOR,
) -> HangerLoads:
    """Return what two hangers carry.

    Parameters
    ----------
    masses_kg : kg, above 0, a part an entry (fixture, boards, driver, cables)
    positions_m : m, same shape: where each part's centre lies along the fixture
    hangers_m : m, two entries that differ, from the same origin
    safety_factor : at least 1: rated over carried load

    Returns
    -------
    HangerLoads, hangers in the order given; status ``"hangs"`` or ``"tips: the weight lies outside the hangers"``

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, hangers that are not two or coincide, or a number out of its range

    Validity
    --------
    At rest and hanging straight; pulling, swinging and slanting cords add load. A hanger that would have to push has a
    load below 0, and a rating of 0.

    References
    ----------
    Moments about each hanger. A safety factor of 5: common practice, no source.

    Examples
    --------
    >>> two_hanger_loads([6.0, 2.0], [0.5, 0.25], [0.0, 1.0]).even_kg
    (4.5, 3.5)
    """
    masses, places = _parts(masses_kg, positions_m)
    hangers = numbers("hangers_m", hangers_m)
    if hangers.shape != (2,) or hangers[0] == hangers[1]:
        raise ArgumentError("hangers_m", hangers.tolist(), "two positions that differ")
    far = float(np.sum(masses * (places - hangers[0]))) / float(hangers[1] - hangers[0])
    total = float(masses.sum())
    loads = (total - far, far)
    return _hung(total, loads, loads, safety_factor)


def four_hanger_loads(
    masses_kg: ArrayLike,
    x_m: ArrayLike,
    y_m: ArrayLike,
    *,
    span_x_m: float,
    span_y_m: float,
    safety_factor: float = USUAL_SAFETY_FACTOR,
) -> HangerLoads:
    """Return what four hangers at the corners of a rigid rectangle carry, evenly and at worst.

    Parameters
    ----------
    masses_kg : kg, above 0, a part an entry
    x_m, y_m : m, same shape: each part's centre, from the first hanger
    span_x_m, span_y_m : m, above 0: hangers stand at (0, 0), (x, 0), (x, y) and (0, y), in this order
    safety_factor : at least 1: rated over carried load

    Returns
    -------
    HangerLoads, hangers in that order; status ``"hangs"`` or ``"tips: the weight lies outside the hangers"``

    Raises
    ------
    ArgumentError (a ValueError): shapes that differ, or a number out of its range

    Validity
    --------
    A rigid body on four cords is statically indeterminate: a cord a little long goes slack, and with the weight in the
    middle the two of a diagonal carry all. ``worst_kg`` is the most that equilibrium allows with no cord pushing;
    ``even_kg`` shares by position alone.

    References
    ----------
    Equilibrium leaves one free number s: loads even + s, - s, + s, - s round the corners, none below 0. A safety factor
    of 5: common practice, no source.

    Examples
    --------
    >>> found = four_hanger_loads([8.0], [0.5], [0.25], span_x_m=1.0, span_y_m=0.5)
    >>> found.even_kg, found.worst_kg, found.rating_kg
    ((2.0, 2.0, 2.0, 2.0), (4.0, 4.0, 4.0, 4.0), (20.0, 20.0, 20.0, 20.0))
    """
    masses, across = _parts(masses_kg, x_m)
    along = _parts(masses_kg, y_m)[1]
    spans = [float(numbers(name, span, above=0)) for name, span in (("span_x_m", span_x_m), ("span_y_m", span_y_m))]
    total = float(masses.sum())
    u, v = (float(np.sum(masses * at)) / total / span for at, span in zip((across, along), spans, strict=True))
    even = tuple(total * share for share in ((1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v))
    # One diagonal gains what the other can lose until a cord of that goes slack.
    gains = (min(even[1], even[3]), min(even[0], even[2]))
    worst = tuple(load + gains[n % 2] for n, load in enumerate(even))
    inside = 0.0 <= u <= 1.0 and 0.0 <= v <= 1.0
    return _hung(total, even, worst if inside else even, safety_factor)


def _parts(masses_kg: ArrayLike, positions_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
    masses = np.atleast_1d(numbers("masses_kg", masses_kg, above=0))
    places = np.atleast_1d(numbers("positions_m", positions_m))
    if masses.shape != places.shape or masses.ndim != 1 or masses.size == 0:
        raise ArgumentError("positions_m", places.shape, f"one position a mass: {masses.shape}")
    return masses, places


def _hung(total: float, even: tuple[float, ...], worst: tuple[float, ...], safety_factor: float) -> HangerLoads:
    factor = float(numbers("safety_factor", safety_factor, at_least=1))
    hangs = min(even) >= -1e-12 * total
    return HangerLoads(
        total_kg=total,
        even_kg=even,
        worst_kg=worst,
        rating_kg=tuple(factor * max(load, 0.0) for load in worst),
        hangs=hangs,
        status="hangs" if hangs else "tips: the weight lies outside the hangers",
    )
