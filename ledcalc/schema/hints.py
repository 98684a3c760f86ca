"""What was probably meant by a number that its field does not take."""

from __future__ import annotations

from ledcalc.errors import ArgumentError
from ledcalc.schema.model import Field
from ledcalc.units import UNITS, convert, unit

__all__ = ["TABLE_ENDS", "bare_number_hint", "side_of_range", "unit_hint"]

# Where a published table ends, a higher figure may be entered as its last.
TABLE_ENDS = {"cables.insulation_c": "for a higher rating use 90: the ampacity tables end there"}


def side_of_range(field: Field, value: float) -> str:
    """Return on which side of its field's range a value in the canonical unit lies, empty where it is inside."""
    low, high = field.minimum, field.maximum
    if low is not None and (value < low.value or (low.is_open and value == low.value)):
        return "too small"
    if high is not None and (value > high.value or (high.is_open and value == high.value)):
        return "too large"
    return ""


def unit_hint(field: Field, number: float, unit_text: str) -> str:
    """Return in which other unit of its field a number would be allowed, empty where in none.

    Parameters
    ----------
    field : which refuses the number
    number, unit_text : as typed; no unit: the field's first

    Examples
    --------
    >>> from ledcalc.schema.model import sheet
    >>> unit_hint(sheet("drivers").field("efficiency_fraction"), 0.93, "%")
    '0.93 of 1 would be 93 %: write 93 %'
    >>> unit_hint(sheet("fixture").field("current_setting_a"), 700.0, "A")
    '700 mA would be allowed: write 700 mA'
    """
    if not field.units:
        return ""
    typed = unit(unit_text or field.units[0]).symbol
    fitting = [
        symbol
        for symbol in field.units
        if symbol != typed and not side_of_range(field, convert(number, symbol, field.unit))
    ]
    if fitting == ["1"]:
        shown = f"{convert(number, '1', field.units[0]):.10g} {field.units[0]}".removesuffix(" 1")
        return f"{number:.10g} of 1 would be {shown}: write {shown}"
    said = [f"{number:.10g} {symbol}" for symbol in fitting]
    if len(said) == 1:
        return f"{said[0]} would be allowed: write {said[0]}"
    return f"{', '.join(said[:-1])} or {said[-1]} would be allowed: write the unit that is meant" if said else ""


def bare_number_hint(field: Field, number: float, unit_text: str) -> str:
    """Return how to write a number with a unit in a field without one.

    Examples
    --------
    >>> from ledcalc.schema.model import sheet
    >>> resolution = sheet("meters").field("resolution")
    >>> bare_number_hint(resolution, 0.1, "W"), bare_number_hint(resolution, 1.0, "mA")
    ('write 0.1, without the unit', 'write 0.001, in A, without the unit')
    """
    alone = f"write {number:.10g}, without the unit"
    try:
        typed = unit(unit_text)
    except ArgumentError:
        return alone
    if field.kind == "whole" or (typed.factor == 1.0 and not typed.offset):
        return alone
    canonical = next(
        entry.symbol for entry in UNITS.values() if entry.quantity == typed.quantity and entry.factor == 1.0
    )
    if typed.offset:
        # A difference and a reading convert in two ways: which one it is only the user knows.
        return f"write the number in {canonical}, without the unit"
    named = "" if canonical == "1" else f", in {canonical}"
    return f"write {number * typed.factor:.10g}{named}, without the unit"
