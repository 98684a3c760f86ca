"""How thick a bundle of cables is: the smallest circle known round circles of equal or mixed sizes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.fabrication.packing_bounds import TABLE_COUNT, equal_centres, is_proved, least_radius
from ledcalc.fabrication.packing_search import Packing, packed, settled

__all__ = ["LARGEST_COUNT", "Bundle", "bundle_diameter"]

LARGEST_COUNT = 100
# Beyond these, squares of sizes are no numbers any more.
LEAST_M, MOST_M, LEAST_SHARE = 1e-100, 1e100, 1e-9
# Steps of a searched radius in one largest radius.
SURE_STEPS = 1e11


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """A bundle laid as ``centres_m`` says, in a circle about the origin; none is thinner than ``lower_bound_m``."""

    diameter_m: float
    lower_bound_m: float
    centres_m: tuple[tuple[float, float], ...]
    basis: str


def bundle_diameter(diameters_m: ArrayLike, *, tries_count: int = 6) -> Bundle:
    """Return the diameter of a small circle round a bundle of round cables, and where each cable lies in it.

    Parameters
    ----------
    diameters_m : m, 1e-100 to 1e100, none below 1e-9 of the largest, a cable an entry, 1 to 100 of them
    tries_count : at least 1: starts polished for mixed sizes; more of them take longer and may find a smaller circle

    Returns
    -------
    Bundle: diameter and a proved lower bound in m, centres in m in the order of ``diameters_m``, and what it rests on

    Raises
    ------
    ArgumentError (a ValueError): no cable, more than 100, or a number out of its range

    Validity
    --------
    Round cables that neither yield nor twist. The diameter is an upper bound that the centres attain: the least one
    for up to 13 and for 19 equal cables, the best known for up to 20; over 20 equal ones are laid in the hexagonal
    lattice; mixed sizes are searched, the same every time, and may come out some per cent too thick.

    References
    ----------
    Equal circles: table ``circle_packing``. Mixed: own search (SLSQP). Lower bounds: areas, Descartes' circle theorem,
    Oler's inequality (from memory).

    Examples
    --------
    >>> round(bundle_diameter([0.0055, 0.0055, 0.0055]).diameter_m, 6)
    0.011851
    >>> bundle_diameter([0.008, 0.004]).diameter_m
    0.012
    """
    diameters = np.atleast_1d(numbers("diameters_m", diameters_m, at_least=LEAST_M, at_most=MOST_M))
    if diameters.ndim != 1 or not 1 <= diameters.size <= LARGEST_COUNT:
        raise ArgumentError("diameters_m", diameters.shape, f"1 to {LARGEST_COUNT} diameters in a row")
    tries = int(whole_numbers("tries_count", tries_count, at_least=1))
    order = np.argsort(-diameters, kind="stable")
    falling = diameters[order]
    largest = float(falling[0])
    if falling[-1] < LEAST_SHARE * largest:
        raise ArgumentError(
            "diameters_m", float(falling[-1]), f"none below {LEAST_SHARE:g} of the largest, {largest:g}"
        )
    # Sizes over the largest, so that the same bundle in another unit gives the same answer.
    shares = tuple(np.round(falling / largest, 12).tolist())
    laid, basis = _laid(shares, tries)
    # A rounding of the shares may move circles apart by 1e-12 at most.
    placed = settled(laid.centres * largest / 2.0, falling / 2.0)
    radius = max(placed.radius, laid.radius * largest / 2.0)
    centres = np.zeros((diameters.size, 2))
    centres[order] = placed.centres
    return Bundle(
        diameter_m=2.0 * radius,
        lower_bound_m=min(2.0 * least_radius(falling / 2.0), 2.0 * radius),
        centres_m=tuple((x, y) for x, y in centres.tolist()),
        basis=basis,
    )


@lru_cache(maxsize=1024)
def _laid(shares: tuple[float, ...], tries: int) -> tuple[Packing, str]:
    count = len(shares)
    radii = np.array(shares)
    equal = equal_centres(count)
    if shares[-1] == 1.0:
        return settled(equal, radii), _equal_basis(count)
    if count == 2:
        return Packing(
            centres=np.array([[-radii[1], 0.0], [radii[0], 0.0]]), radius=float(radii.sum())
        ), "two side by side"
    found = packed(radii, tries, equal)
    # The last digits of a search are the processor's: rounded up, every machine gives one radius.
    sure = math.ceil(found.radius * SURE_STEPS) / SURE_STEPS
    return Packing(centres=found.centres, radius=sure), "mixed sizes: best of a seeded search"


def _equal_basis(count: int) -> str:
    if count > TABLE_COUNT:
        return "equal sizes: hexagonal lattice, an upper bound"
    return f"equal sizes: table, {'proved least' if is_proved(count) else 'best known'}"
