"""Cells of variants that hold lists and ranges: ``3; 4; 5 A``, ``3 to 5 by 0.5 A``; those of a row multiply out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from ledcalc.errors import ArgumentError
from ledcalc.schema import CellValue, Field
from ledcalc.units import split_number_and_unit

__all__ = ["Choices", "Steps", "choices_of", "combination", "combinations_count"]

# Text that a person writes freely may hold a semicolon.
FREE_TEXT = ("note", "name", "serves")
ALLOWED = "LOW to HIGH by STEP, counting upwards, such as 3 to 5 by 0.5 A"
MOST_STEPS = 1_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A range's values as text, in decimal, so that no dust of binary fractions gets in; none is kept."""

    low: Decimal
    step: Decimal
    count: int
    unit: str

    def __len__(self) -> int:
        return self.count

    def __getitem__(self, number: int) -> str:
        if not 0 <= number < self.count:  # which is also what ends a loop over all
            raise IndexError(number)
        return f"{self.low + number * self.step:f} {self.unit}".strip()


Choices = Steps | Sequence[CellValue]


def choices_of(field: Field, value: CellValue) -> Choices:
    """Return every value that a cell stands for; most stand for one.

    Parameters
    ----------
    field : what the cell is for
    value : what stands in it

    Raises
    ------
    ArgumentError (a ValueError): a range that does not count upwards, or of unlike units

    Examples
    --------
    >>> from ledcalc.schema import sheet
    >>> amps = sheet("fixture").field("current_setting_a")
    >>> choices_of(amps, "3; 4; 5 A")
    ['3 A', '4 A', '5 A']
    >>> [found for found in choices_of(amps, "0.3 to 0.5 by 0.1")]
    ['0.3', '0.4', '0.5']
    """
    if not isinstance(value, str) or (field.kind == "text" and field.name in FREE_TEXT):
        return (value,)
    if ";" in value:
        items = [item.strip() for item in value.split(";") if item.strip()]
        if not items:
            return (value,)
        return _with_one_unit(items) if field.kind in {"number", "whole"} else items
    parts = _range_parts(value) if field.kind in {"number", "whole"} else []
    return _steps(value, parts) if parts else (value,)


def combinations_count(choices: Mapping[str, Choices]) -> int:
    """Return how many variants a row multiplies out to."""
    return math.prod(len(values) for values in choices.values())


def combination(choices: Mapping[str, Choices], number: int) -> dict[str, CellValue]:
    """Return one of the combinations of a row's values, from 0; the last column changes from one to the next.

    Examples
    --------
    >>> [combination({"a": (1, 2), "b": ("x", "y")}, number) for number in (0, 1, 2)]
    [{'a': 1, 'b': 'x'}, {'a': 1, 'b': 'y'}, {'a': 2, 'b': 'x'}]
    """
    found: dict[str, CellValue] = {}
    for name in reversed(list(choices)):
        number, place = divmod(number, len(choices[name]))
        found[name] = choices[name][place]
    return dict(reversed(found.items()))


def _with_one_unit(items: list[str]) -> list[CellValue]:
    """Return a list's items; the unit behind the last holds for those that name none."""
    try:
        unit = split_number_and_unit(items[-1])[1]
        units = [split_number_and_unit(item)[1] for item in items]
    except (ArgumentError, IndexError):
        return list(items)
    return [item if own or not unit else f"{item} {unit}" for item, own in zip(items, units, strict=True)]


def _range_parts(text: str) -> list[str]:
    """Return the three quantities of ``LOW to HIGH by STEP``, none where a text is no range."""
    words = text.split()
    lower = [word.lower() for word in words]
    try:
        to = lower.index("to", 1)
        by = lower.index("by", to + 2)
    except ValueError:
        return []
    ends = (-1, to, by, len(words))
    return [" ".join(words[start + 1 : end]) for start, end in pairwise(ends)] if by + 1 < len(words) else []


def _steps(text: str, parts: Sequence[str]) -> Steps:
    quantities = [split_number_and_unit(part) for part in parts]
    if not all(math.isfinite(number) for number, _ in quantities):
        raise ArgumentError("range", text, f"finite numbers in {ALLOWED}")
    low, high, step = (Decimal(repr(number)) for number, _ in quantities)
    units = {unit for _, unit in quantities if unit}
    if len(units) > 1 or step <= 0 or high < low:
        raise ArgumentError("range", text, ALLOWED if len(units) <= 1 else f"one unit in {ALLOWED}")
    if (high - low) / step >= MOST_STEPS:
        raise ArgumentError("range", text, f"fewer than {MOST_STEPS:,} steps in {ALLOWED}")
    return Steps(low=low, step=step, count=int((high - low) // step) + 1, unit="".join(units))
