"""Conduit fill: how many wires a tube may hold, and when three of them jam."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError
from ledcalc.tables import table

__all__ = ["ConduitFill", "conduit_count", "conduit_fill", "wire_diameter"]

INCH_M = 0.0254


@dataclass(frozen=True, slots=True, kw_only=True)
class ConduitFill:
    """Wires in a conduit. ``jam_ratio``: inner diameter over the mean of three wires, NaN for any other number."""

    fill_fraction: float
    limit_fraction: float
    jam_ratio: float
    may_jam: bool
    fits: bool
    status: str


@cache
def _constant(name: str) -> float:
    return next(float(row["value"]) for row in table("conduit_fill") if row["name"] == name)


def conduit_fill(diameters_m: ArrayLike, conduit_inner_m: float, *, length_m: float | None = None) -> ConduitFill:
    """Return how full a conduit is, and how full it may be.

    Parameters
    ----------
    diameters_m : m, above 0, a wire or cable an entry
    conduit_inner_m : m, above 0: inner diameter
    length_m : m, above 0; up to 24 in (0.61 m) it counts as a nipple; None: a longer run

    Returns
    -------
    ConduitFill; status ``"within the limit"``, ``"within the limit, but three wires may jam"`` or ``"over the limit"``

    Raises
    ------
    ArgumentError (a ValueError): no wire, or a number out of its range

    Validity
    --------
    Conduit and tubing as the table has them; a cable of several conductors counts as one.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 1 and notes, partly from memory: table ``conduit_fill``.

    Examples
    --------
    >>> full = conduit_fill([0.0033] * 3, 0.0158)
    >>> round(full.fill_fraction, 3), full.limit_fraction, full.fits
    (0.131, 0.4, True)
    """
    inner = float(numbers("conduit_inner_m", conduit_inner_m, above=0))
    wires = np.atleast_1d(numbers("diameters_m", diameters_m, above=0))
    if wires.ndim != 1 or wires.size == 0:
        raise ArgumentError("diameters_m", wires.shape, "one diameter or more in a row")
    fill = float(np.sum(wires * wires)) / inner**2
    limit = _limit(wires.size, length_m)
    ratio = inner / float(wires.mean()) if wires.size == 3 else math.nan
    jams = _constant("jam_ratio_low") <= ratio <= _constant("jam_ratio_high")
    fits = fill <= limit * (1.0 + 1e-12)
    status = "within the limit" if fits else "over the limit"
    return ConduitFill(
        fill_fraction=fill,
        limit_fraction=limit,
        jam_ratio=ratio,
        may_jam=jams,
        fits=fits,
        status=f"{status}, but three wires may jam" if fits and jams else status,
    )


def conduit_count(diameter_m: float, conduit_inner_m: float, *, length_m: float | None = None) -> int:
    """Return how many wires of one size a conduit may hold.

    Parameters
    ----------
    diameter_m : m, above 0
    conduit_inner_m : m, above 0: inner diameter
    length_m : m, above 0; up to 24 in (0.61 m) it counts as a nipple; None: a longer run

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Wires all of one size: only for these 0.8 of a wire rounds up to a whole one.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 1 and note 7, partly from memory: table ``conduit_fill``.

    Examples
    --------
    >>> conduit_count(0.130 * 0.0254, 0.622 * 0.0254)
    9
    """
    wire = float(numbers("diameter_m", diameter_m, above=0))
    inner = float(numbers("conduit_inner_m", conduit_inner_m, above=0))
    times = (inner / wire) ** 2
    up = 1.0 - _constant("rounding_up_from")
    many = math.floor(times * _limit(3, length_m) + up + 1e-9)
    if many > 2:
        return many
    return next((count for count in (2, 1) if math.floor(times * _limit(count, length_m) + up + 1e-9) >= count), 0)


def wire_diameter(size: str) -> float:
    """Return the diameter over insulation of a building or fixture wire in m.

    Parameters
    ----------
    size : ``"18 AWG"``, ``"16 AWG"`` (TFN, TFFN), ``"14 AWG"`` to ``"4 AWG"`` (THHN, THWN)

    Raises
    ------
    ArgumentError (a ValueError): a size that the table does not have

    Validity
    --------
    These wire types only; LED hook-up wire and flexible cord differ, so measure those.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 5, from memory: table ``awg_wire_diameters``.

    Examples
    --------
    >>> round(wire_diameter("18 AWG"), 6)
    0.002134
    """
    found = {row["size"]: float(row["diameter_in"]) * INCH_M for row in table("awg_wire_diameters")}
    if size not in found:
        raise ArgumentError("size", size, ", ".join(found))
    return found[size]


def _limit(count: int, length_m: float | None) -> float:
    if length_m is not None:
        length = float(numbers("length_m", length_m, above=0))
        if length <= _constant("nipple_longest"):
            return _constant("nipple_fraction")
    names = {1: "one_conductor_fraction", 2: "two_conductors_fraction"}
    return _constant(names.get(count, "over_two_conductors_fraction"))
