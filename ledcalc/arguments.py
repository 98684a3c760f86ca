"""How every formula takes numbers in and gives numbers out: convert, check, broadcast, answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.errors import ArgumentError

__all__ = ["FloatArray", "Numbers", "answer", "choice", "numbers", "whole_numbers"]

FloatArray: TypeAlias = NDArray[np.float64]
Numbers: TypeAlias = float | FloatArray


def numbers(
    argument: str,
    value: ArrayLike,
    *,
    at_least: float | None = None,
    above: float | None = None,
    at_most: float | None = None,
    below: float | None = None,
    infinite: bool = False,
) -> FloatArray:
    """Turn a number or array-like into a float array, or say which value is out of bounds.

    Parameters
    ----------
    argument : name used in the error text
    value : number or array-like, any shape
    at_least, above, at_most, below : bounds, inclusive and exclusive
    infinite : whether plus or minus infinity may stand in it

    Returns
    -------
    float array of the value's shape

    Raises
    ------
    ArgumentError (a ValueError): text, NaN, infinity, or a value outside the bounds

    Examples
    --------
    >>> numbers("current_a", [1, 2], at_least=0).tolist()
    [1.0, 2.0]
    """
    allowed = _bounds_text(at_least, above, at_most, below)
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise ArgumentError(argument, value, f"a number or an array of numbers{allowed}") from None
    bad = np.isnan(array) if infinite else ~np.isfinite(array)
    for limit, outside in (
        (at_least, np.less),
        (above, np.less_equal),
        (at_most, np.greater),
        (below, np.greater_equal),
    ):
        if limit is not None:
            bad = bad | outside(array, limit)
    if bad.any():
        kind = "a number" if infinite else "a finite number"
        raise ArgumentError(argument, float(array[bad].flat[0]), f"{kind}{allowed}")
    return array


def whole_numbers(argument: str, value: ArrayLike, *, at_least: int = 0, at_most: int | None = None) -> FloatArray:
    """Turn counts into a float array of whole values, or say which is none."""
    array = numbers(argument, value, at_least=at_least, at_most=at_most)
    broken = array != np.floor(array)
    if broken.any():
        raise ArgumentError(argument, float(array[broken].flat[0]), f"a whole number of at least {at_least}")
    return array


def choice(argument: str, value: object, choices: Sequence[str]) -> str:
    """Return the value if it is one of the choices, or say which there are."""
    if isinstance(value, str) and value in choices:
        return value
    raise ArgumentError(argument, value, " or ".join(repr(option) for option in choices))


def answer(array: ArrayLike) -> Numbers:
    """Give a float for a scalar result, the array otherwise."""
    result = np.asarray(array, dtype=float)
    return float(result) if result.ndim == 0 else result


def _bounds_text(at_least: float | None, above: float | None, at_most: float | None, below: float | None) -> str:
    words = [
        f"{word} {limit:g}"
        for word, limit in (("at least", at_least), ("above", above), ("at most", at_most), ("below", below))
        if limit is not None
    ]
    return f", {' and '.join(words)}" if words else ""
