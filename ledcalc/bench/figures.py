"""Figures printed to the digits that mean something, and no more."""

from __future__ import annotations

import math

from ledcalc.arguments import numbers, whole_numbers

__all__ = ["figure_text", "last_digit"]


def last_digit(uncertainty: float, *, digits: int = 2) -> int:
    """Return the decimal place of the last digit worth printing: 2 for hundredths, 0 for units, -1 for tens.

    Parameters
    ----------
    uncertainty : above 0
    digits : at least 1: significant digits of the uncertainty that are kept

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    JCGM 100:2008 (GUM), 7.2.6: at most two significant digits of an uncertainty, and the estimate to match.

    Examples
    --------
    >>> last_digit(0.027), last_digit(46.0), last_digit(0.0996)
    (3, 0, 2)
    """
    size = float(numbers("uncertainty", uncertainty, above=0))
    kept = int(whole_numbers("digits", digits, at_least=1))
    # Rounding first: 0.0996 to two digits is 0.10, which has a digit less behind the point.
    rounded = float(f"{size:.{kept - 1}e}")
    return kept - 1 - math.floor(math.log10(rounded) + 1e-12)


def figure_text(value: float, uncertainty: float, unit: str = "") -> str:
    """Return a figure with its uncertainty, both cut to the digits that the uncertainty leaves.

    Parameters
    ----------
    value : finite, or NaN where nothing could be worked out
    uncertainty : at least 0, in the value's unit; NaN where it is not known, 0 for an exact figure
    unit : as it is to stand behind

    Returns
    -------
    such as "851 +- 46 umol m-2 s-1"

    Raises
    ------
    ArgumentError (a ValueError): an uncertainty below 0 or infinite

    References
    ----------
    JCGM 100:2008 (GUM), 7.2.6: 10.057 62 ohm known to 27 mohm is written 10.058 ohm.

    Examples
    --------
    >>> figure_text(10.05762, 0.027, "ohm")
    '10.058 +- 0.027 ohm'
    >>> figure_text(851.3, 46.2), figure_text(12345.0, 678.0)
    ('851 +- 46', '12340 +- 680')
    """
    behind = f" {unit}" if unit else ""
    if math.isnan(value):
        return "not known"
    if math.isnan(uncertainty):
        return f"{value:.4g}{behind} (uncertainty not known)"
    size = float(numbers("uncertainty", uncertainty, at_least=0))
    if size == 0:
        return f"{value:g}{behind}"
    place = last_digit(size)
    return f"{_cut(value, place)} +- {_cut(size, place)}{behind}"


def _cut(value: float, place: int) -> str:
    text = f"{round(value, place):.{max(place, 0)}f}"
    return text.removeprefix("-") if float(text) == 0 else text
