"""Dataclasses whose arrays all have variants on their last axis: some variants of them, and parts put together again.

Fixtures count among them: any of their numbers may be such an array. A number stands for all variants.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray

__all__ = ["Only", "column", "merged", "rows", "taken"]

BLANKS: dict[str, float | str] = {"f": np.nan, "U": ""}
Only = NDArray[np.intp] | NDArray[np.bool_]
Thing = TypeVar("Thing")


def taken(thing: Thing, only: Only) -> Thing:
    """Return some variants of a dataclass, of all that it holds."""
    part: Thing = _taken(thing, only)
    return part


def _taken(thing: Any, only: Only) -> Any:
    if isinstance(thing, np.ndarray):
        return thing[..., only] if thing.ndim else thing
    if isinstance(thing, tuple):
        parts = tuple(_taken(entry, only) for entry in thing)
        return thing if all(part is entry for part, entry in zip(parts, thing, strict=True)) else parts
    if not is_dataclass(thing) or isinstance(thing, type):
        return thing
    changed = {}
    for entry in fields(thing):
        value = getattr(thing, entry.name)
        if isinstance(value, np.ndarray | tuple) or is_dataclass(value):
            part = _taken(value, only)
            if part is not value:
                changed[entry.name] = part
    return replace(thing, **changed) if changed else thing


def merged(parts: Sequence[tuple[NDArray[np.intp], Thing]], count: int) -> Thing:
    """Return one dataclass of all variants from parts and the numbers of their variants; others are NaN, or empty."""
    whole: Thing = _merged([numbers for numbers, _ in parts], [part for _, part in parts], count)
    return whole


def _merged(numbers: Sequence[NDArray[np.intp]], parts: Sequence[Any], count: int) -> Any:
    first = parts[0]
    if isinstance(first, np.ndarray) and first.ndim:
        kind = np.result_type(*(part.dtype for part in parts))
        whole = np.full((*first.shape[:-1], count), BLANKS.get(kind.kind, 0), dtype=kind)
        for only, part in zip(numbers, parts, strict=True):
            whole[..., only] = part
        return whole
    if isinstance(first, tuple):
        return tuple(_merged(numbers, column, count) for column in zip(*parts, strict=True))
    if not is_dataclass(first) or isinstance(first, type):
        return first
    names = [entry.name for entry in fields(first)]
    return replace(first, **{name: _merged(numbers, [getattr(part, name) for part in parts], count) for name in names})


def column(value: ArrayLike, count: int) -> FloatArray:
    """Return a number, or an array of variants, as an array of so many."""
    return np.broadcast_to(np.asarray(value, dtype=float), (count,))


def rows(values: Sequence[ArrayLike], count: int) -> FloatArray:
    """Return numbers or arrays of variants as a row each."""
    whole = np.empty((len(values), count))
    for row, value in zip(whole, values, strict=True):
        row[:] = value
    return whole
