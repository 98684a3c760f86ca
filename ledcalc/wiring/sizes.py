"""Conductor sizes: how they are written, which there are, and how large they are."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from difflib import get_close_matches
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, Numbers, answer, choice
from ledcalc.errors import ArgumentError
from ledcalc.tables import table

__all__ = ["RULE_SETS", "awg_area_mm2", "conductor_area_mm2", "for_each_size", "known_sizes", "parse_size"]

RULE_SETS = ("NEC", "IEC")

_AWG = re.compile(r"^(?:#\s*)?(\d{1,2}|[1-4]/0)\s*(?:AWG)?$|^AWG\s*#?\s*(\d{1,2}|[1-4]/0)$", re.IGNORECASE)
_METRIC = re.compile(r"^(\d+(?:\.\d+)?)\s*(?:mm2|mm²|mm\^2|sq\.?\s*mm)$", re.IGNORECASE)
_FINEST_AWG = 40


@cache
def known_sizes(rule_set: str) -> tuple[str, ...]:
    """Return the sizes a rule set knows, fine to coarse.

    Under NEC every size from 40 AWG to 4/0 AWG (resistance by table from 18 AWG up, by formula where the table has no
    row).

    Raises
    ------
    ArgumentError (a ValueError): a rule set other than NEC and IEC

    Examples
    --------
    >>> known_sizes("IEC")[:3]
    ('0.5 mm2', '0.75 mm2', '1 mm2')
    """
    if choice("rule_set", rule_set, RULE_SETS) == "IEC":
        return tuple(row["size"] for row in table("iec_60228"))
    return (*(f"{gauge} AWG" for gauge in range(_FINEST_AWG, 0, -1)), *(f"{gauge}/0 AWG" for gauge in range(1, 5)))


def parse_size(size: str, *, rule_set: str) -> str:
    """Return the size as ledcalc writes it: ``18 AWG``, ``1.5 mm2``.

    Parameters
    ----------
    size : as typed: ``18 AWG``, ``18awg``, ``#18``, ``AWG 18``, ``1.5 mm2``, ``1.5mm²``
    rule_set : ``"NEC"`` (AWG sizes) or ``"IEC"`` (mm2 sizes)

    Raises
    ------
    ArgumentError (a ValueError): no such size in the rule set; the text names the nearest one

    Examples
    --------
    >>> parse_size("1.5mm²", rule_set="IEC")
    '1.5 mm2'
    """
    known = known_sizes(rule_set)
    words = " ".join(str(size).split())
    awg, metric = _AWG.match(words), _METRIC.match(words)
    written = words
    if awg:
        written = f"{(awg.group(1) or awg.group(2)).lstrip('0') or '0'} AWG"
    elif metric:
        written = f"{float(metric.group(1)):g} mm2"
    if written in known:
        return written
    raise ArgumentError("size", size, _hint(written, rule_set, known))


def for_each_size(size: ArrayLike, figure: Callable[[str], float], *, rule_set: str) -> FloatArray:
    """Return a figure for each size of a text or an array of texts, in the shape of ``size``."""
    sizes: NDArray[np.object_] = np.asarray(size, dtype=object)
    figures = [figure(parse_size(str(entry), rule_set=rule_set)) for entry in sizes.ravel()]
    return np.array(figures, dtype=float).reshape(sizes.shape)


def awg_area_mm2(size: str) -> float:
    """Return the area of a solid AWG conductor in mm2.

    References
    ----------
    ASTM B258: diameter 0.127 mm x 92^((36 - n)/39), with n = 0, -1, -2, -3 for 1/0 to 4/0.
    """
    gauge = size.removesuffix(" AWG")
    number = 1 - int(gauge[0]) if "/" in gauge else int(gauge)
    diameter_mm: float = 0.127 * 92.0 ** ((36 - number) / 39.0)
    return math.pi / 4.0 * diameter_mm * diameter_mm


def conductor_area_mm2(size: ArrayLike, *, rule_set: str = "NEC") -> Numbers:
    """Return the nominal cross-section in mm2.

    Parameters
    ----------
    size : text or array of texts
    rule_set : ``"NEC"`` or ``"IEC"``

    Raises
    ------
    ArgumentError (a ValueError): unknown size or rule set

    References
    ----------
    AWG: ASTM B258 by formula. mm2: the nominal area is the size's name (IEC 60228).

    Examples
    --------
    >>> round(conductor_area_mm2("18 AWG"), 3)
    0.823
    """
    figure = awg_area_mm2 if rule_set == "NEC" else lambda name: float(name.removesuffix(" mm2"))
    return answer(for_each_size(size, figure, rule_set=rule_set))


def _hint(written: str, rule_set: str, known: tuple[str, ...]) -> str:
    other = "IEC" if rule_set == "NEC" else "NEC"
    if written in known_sizes(other):
        return f"a size of the {rule_set} rule set, such as {known[len(known) // 2]}; {written} belongs to {other}"
    near = get_close_matches(written, known, n=1, cutoff=0.5)
    span = f"{known[0]} to {known[-1]}"
    return f"a size of the {rule_set} rule set, {span}{f' (nearest: {near[0]})' if near else ''}"
