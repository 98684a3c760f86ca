"""Slips of the pen: what a reading that cannot be may have been."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError

__all__ = ["Slip", "likely_slips"]

POWERS = ((10.0, "a digit lost"), (0.1, "a digit too many"), (100.0, "two digits lost"), (0.01, "two digits too many"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """What a reading may have been before it was written down wrong, and how."""

    value: float
    slip: str


def likely_slips(reading: float, low: float, high: float) -> tuple[Slip, ...]:
    """Return what a reading may have been, of what could stand there, the likeliest first.

    Parameters
    ----------
    reading : as written, at least 0, any unit
    low, high : what could stand there, at least 0

    Returns
    -------
    those within ``low`` to ``high`` that are one slip away: the decimal point moved by one or two places, two
    neighbouring digits swapped, a digit written twice; the nearest to the middle first; none where the reading itself
    lies within

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Slips of copying as bench builders know them: common practice, no source.

    Examples
    --------
    >>> likely_slips(85.0, 800.0, 900.0)
    (Slip(value=850.0, slip='a digit lost'),)
    >>> [slip.value for slip in likely_slips(580.0, 800.0, 900.0)]
    [850.0]
    """
    written = float(numbers("reading", reading, at_least=0))
    least, most = float(numbers("low", low, at_least=0)), float(numbers("high", high, at_least=0))
    if most < least:
        raise ArgumentError("high", high, f"at least low, {low:g}")
    if least <= written <= most:
        return ()
    found: dict[float, Slip] = {}
    for slip in _candidates(written):
        if least <= slip.value <= most:
            found.setdefault(slip.value, slip)
    middle = (least + most) / 2.0
    return tuple(sorted(found.values(), key=lambda slip: abs(slip.value - middle)))


def _candidates(written: float) -> Iterator[Slip]:
    for factor, slip in POWERS:
        yield Slip(value=float(f"{written * factor:.12g}"), slip=slip)
    text = f"{written:.10g}"
    if "e" in text:
        return
    for place in range(len(text) - 1):
        first, second = text[place], text[place + 1]
        if first == second:
            yield Slip(value=float(text[:place] + text[place + 1 :]), slip="a digit written twice")
        elif first.isdigit() and second.isdigit():
            yield Slip(value=float(text[:place] + second + first + text[place + 2 :]), slip="two digits swapped")
