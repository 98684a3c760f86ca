"""How every formula takes numbers in and gives numbers out: convert, check, broadcast, answer."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import wraps
from inspect import signature
from typing import Any, ParamSpec, TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.errors import ArgumentError, LedcalcError

__all__ = ["FloatArray", "Numbers", "answer", "broadcasting", "choice", "numbers", "shared_shape", "whole_numbers"]

FloatArray: TypeAlias = NDArray[np.float64]
Numbers: TypeAlias = float | FloatArray
P = ParamSpec("P")
R = TypeVar("R")


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
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError, OverflowError):
        allowed = _bounds_text(at_least, above, at_most, below)
        raise ArgumentError(argument, value, f"a number or an array of numbers{allowed}") from None
    # A single number is checked without NumPy, in a fifth of the time.
    if array.ndim == 0 and not infinite and _is_within(array.item(), at_least, above, at_most, below):
        return array
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
        allowed = _bounds_text(at_least, above, at_most, below)
        raise ArgumentError(argument, float(array[bad].flat[0]), f"{kind}{allowed}")
    return array


def whole_numbers(argument: str, value: ArrayLike, *, at_least: int = 0, at_most: int | None = None) -> FloatArray:
    """Turn counts into a float array of whole values, or say which is none."""
    array = numbers(argument, value, at_least=at_least, at_most=at_most)
    if array.ndim == 0 and array.item().is_integer():
        return array
    broken = array != np.floor(array)
    if broken.any():
        raise ArgumentError(argument, float(array[broken].flat[0]), f"a whole number of at least {at_least}")
    return array


def choice(argument: str, value: object, choices: Sequence[str]) -> str:
    """Return the value if it is one of the choices, or say which there are."""
    if isinstance(value, str) and value in choices:
        return value
    raise ArgumentError(argument, value, " or ".join(repr(option) for option in choices))


def shared_shape(shapes: Mapping[str, tuple[int, ...]]) -> tuple[int, ...]:
    """Return the shape that arguments broadcast to, or say which do not go together.

    Examples
    --------
    >>> shared_shape({"current_a": (3,), "length_m": (2, 1), "size": ()})
    (2, 3)
    """
    try:
        return np.broadcast_shapes(*shapes.values())
    except ValueError:
        arrays = {name: shape for name, shape in shapes.items() if np.prod(shape) != 1}
        told = f"the shape of {', '.join(arrays)}"
        raise ArgumentError(told, list(arrays.values()), "single numbers, and arrays of one shape") from None


def broadcasting(function: Callable[P, R]) -> Callable[P, R]:
    """Have a function whose arguments broadcast name those that do not, instead of NumPy's bare words."""

    @wraps(function)
    def told(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return function(*args, **kwargs)
        except ValueError as problem:
            if isinstance(problem, LedcalcError):
                raise
            shared_shape(
                {name: _shape(value) for name, value in signature(function).bind(*args, **kwargs).arguments.items()}
            )
            raise

    return told


def _shape(value: Any) -> tuple[int, ...]:
    """Return an argument's shape; what is no number or array has none."""
    try:
        return np.shape(value)
    except ValueError:
        return ()


def answer(array: ArrayLike) -> Numbers:
    """Give a float for a scalar result, the array otherwise."""
    result = np.asarray(array, dtype=float)
    return float(result) if result.ndim == 0 else result


def _is_within(
    value: float, at_least: float | None, above: float | None, at_most: float | None, below: float | None
) -> bool:
    return (
        math.isfinite(value)
        and (at_least is None or value >= at_least)
        and (above is None or value > above)
        and (at_most is None or value <= at_most)
        and (below is None or value < below)
    )


def _bounds_text(at_least: float | None, above: float | None, at_most: float | None, below: float | None) -> str:
    words = [
        f"{word} {limit:g}"
        for word, limit in (("at least", at_least), ("above", above), ("at most", at_most), ("below", below))
        if limit is not None
    ]
    return f", {' and '.join(words)}" if words else ""
