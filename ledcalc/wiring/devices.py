"""Fuses and breakers: their standard ratings, what they hold and what opens them, and limits of small conductors."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, choice, numbers
from ledcalc.errors import TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.sizes import awg_area_mm2, parse_size

__all__ = [
    "DEVICE_KINDS",
    "SLACK",
    "DeviceKind",
    "SmallConductorLimit",
    "device_kind",
    "goes_by_small_limit",
    "highest_rating_within",
    "next_rating",
    "small_conductor_limit",
    "wire_limit_a",
]

DEVICE_KINDS = ("NEC fuse", "NEC breaker", "IEC breaker", "cartridge fuse", "blade fuse")
# A figure that equals its limit in decimals may miss it in the last bit.
SLACK = 1.0 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceKind:
    """A kind of protective device. It holds ``holds_factor`` and opens at ``opens_factor`` times its rating, for good.

    ``voltage_v``: dc voltage that all of the kind are made for, None where makers' sheets differ.
    """

    kind: str
    ratings_a: tuple[float, ...]
    holds_factor: float
    opens_factor: float
    voltage_v: float | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallConductorLimit:
    """The greatest device and continuous load on a small conductor; infinite where the clause sets no limit."""

    device_a: float
    continuous_a: float
    source: str


@cache
def device_kind(kind: str) -> DeviceKind:
    """Return what is known of a kind of fuse or breaker.

    Parameters
    ----------
    kind : ``"NEC fuse"``, ``"NEC breaker"``, ``"IEC breaker"``, ``"cartridge fuse"`` (5 x 20 mm), ``"blade fuse"``

    Raises
    ------
    ArgumentError (a ValueError): an unknown kind

    References
    ----------
    NFPA 70 (NEC) Table 240.6(A), UL 248, UL 489, IEC 60898-1, IEC 60127-2, ISO 8820-3, all from memory.

    Examples
    --------
    >>> device_kind("blade fuse").opens_factor, device_kind("blade fuse").voltage_v
    (1.35, 32.0)
    """
    choice("kind", kind, DEVICE_KINDS)
    rows = [row for row in table("overcurrent_ratings") if row["kind"] == kind]
    last = rows[-1]
    return DeviceKind(
        kind=kind,
        ratings_a=tuple(float(row["rating_a"]) for row in rows),
        holds_factor=float(last["holds_factor"]),
        opens_factor=float(last["opens_factor"]),
        voltage_v=float(last["voltage_v"]) if last["voltage_v"] else None,
        source=last["source"],
    )


def next_rating(current_a: ArrayLike, kind: str) -> Numbers:
    """Return the smallest standard rating at or above a current.

    Parameters
    ----------
    current_a : A, at least 0, any shape
    kind : as in ``device_kind``

    Returns
    -------
    A, in the shape of ``current_a``

    Raises
    ------
    ArgumentError (a ValueError): an unknown kind, or a number out of its range
    TableRangeError (an ArgumentError): a current above the largest rating of the kind

    References
    ----------
    As ``device_kind``.

    Examples
    --------
    >>> next_rating(2.6, "NEC fuse"), next_rating(2.6, "cartridge fuse")
    (3.0, 3.15)
    """
    ratings = np.array(device_kind(kind).ratings_a)
    current = numbers("current_a", current_a, at_least=0)
    if (current > ratings[-1] * SLACK).any():
        raise TableRangeError("current_a", float(current.max()), f"at most {ratings[-1]:g} A, the largest {kind}")
    return answer(ratings[np.searchsorted(ratings * SLACK, current, side="left")])


def highest_rating_within(current_a: ArrayLike, kind: str) -> Numbers:
    """Return the largest standard rating at or below a current; parameters and sources as ``next_rating``.

    Raises
    ------
    ArgumentError (a ValueError): an unknown kind, or a number out of its range
    TableRangeError (an ArgumentError): a current below the smallest rating of the kind

    Examples
    --------
    >>> highest_rating_within(7.0, "NEC fuse"), highest_rating_within(7.0, "blade fuse")
    (6.0, 5.0)
    """
    ratings = np.array(device_kind(kind).ratings_a)
    current = numbers("current_a", current_a, at_least=0)
    if (current * SLACK < ratings[0]).any():
        raise TableRangeError("current_a", float(current.min()), f"at least {ratings[0]:g} A, the smallest {kind}")
    return answer(ratings[np.searchsorted(ratings, current * SLACK, side="right") - 1])


def small_conductor_limit(size: str) -> SmallConductorLimit:
    """Return the greatest protective device and continuous load on a small copper conductor.

    Parameters
    ----------
    size : AWG size, 18 AWG or thicker; an odd gauge goes by the next finer size named

    Returns
    -------
    SmallConductorLimit; infinite above 10 AWG

    Raises
    ------
    ArgumentError (a ValueError): an unknown size
    TableRangeError (an ArgumentError): finer than 18 AWG, which the clause does not name

    Validity
    --------
    Building wire; cords and fixture wire go by their own ampacity. Where the clause names no continuous load (14, 12,
    10 AWG) the device's rating stands in: what a device may carry for good is the device's matter.

    References
    ----------
    NFPA 70 (NEC) 240.4(D), public quotes; 7 A and 10 A from memory.

    Examples
    --------
    >>> small_conductor_limit("18 AWG").device_a, small_conductor_limit("18 AWG").continuous_a
    (7.0, 5.6)
    """
    area = awg_area_mm2(parse_size(size, rule_set="NEC"))
    if area > awg_area_mm2(table("nec_small_conductors")[-1]["size"]) * SLACK:
        return SmallConductorLimit(device_a=math.inf, continuous_a=math.inf, source="NFPA 70 (NEC) 240.4(D): no limit")
    named = [row for row in table("nec_small_conductors") if awg_area_mm2(row["size"]) <= area * SLACK]
    if not named:
        raise TableRangeError("size", size, "18 AWG and thicker, the sizes that NEC 240.4(D) names")
    return _limit(named[-1])


def wire_limit_a(size: str, ampacity_a: float, *, rule_set: str, wire_kind: str | None) -> float:
    """Return the device that may protect a wire at most: its ampacity, or less on small building wire under NEC."""
    if not goes_by_small_limit(size, rule_set=rule_set, wire_kind=wire_kind):
        return ampacity_a
    return min(ampacity_a, small_conductor_limit(size).device_a)


def goes_by_small_limit(size: str, *, rule_set: str, wire_kind: str | None) -> bool:
    """Whether NEC 240.4(D) speaks of a wire; it leaves out cords and fixture wire, and does not name finer sizes."""
    if rule_set != "NEC" or wire_kind in ("flexible cord", "fixture wire"):
        return False
    finest = awg_area_mm2(table("nec_small_conductors")[0]["size"])
    return awg_area_mm2(parse_size(size, rule_set="NEC")) * SLACK >= finest


def _limit(row: Mapping[str, str]) -> SmallConductorLimit:
    return SmallConductorLimit(
        device_a=float(row["device_a"]),
        continuous_a=float(row["continuous_a"] or row["device_a"]),
        source=row["source"],
    )
