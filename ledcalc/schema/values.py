"""From what a user typed in one cell to the value in its canonical unit, or the reason why not."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import TypeAlias

from ledcalc.errors import CELL_ERROR, ArgumentError
from ledcalc.schema.hints import TABLE_ENDS, bare_number_hint, side_of_range, unit_hint
from ledcalc.schema.model import Field
from ledcalc.units import convert, split_number_and_unit, unit

__all__ = ["UNWRITABLE", "CellValue", "Refusal", "Value", "default_value", "parse", "range_refusal", "text_refusal"]

Value: TypeAlias = float | int | str
_CLOCK = re.compile(r"^\s*(\d{1,2}):([0-5]\d)\s*$")
CellValue: TypeAlias = float | int | str | bool | datetime.datetime | datetime.date | datetime.time | datetime.timedelta


# Of a text that is no unit, so much is repeated.
LONGEST_UNIT = 40
# Of why a cell function failed: its longest reasons, and no novel.
LONGEST_REASON = 500
# What no spreadsheet's file may hold, so that results could not be written: control characters, halves of pairs.
UNWRITABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why a value cannot stand in its field."""

    problem: str
    allowed: str
    remedy: str = ""


def parse(field: Field, typed: CellValue, column_unit: str = "") -> Value | Refusal:
    """Turn what stands in a cell into the field's value, in its canonical unit.

    Parameters
    ----------
    field : what the cell is for
    typed : what stands in it, not blank
    column_unit : unit chosen in the units row or column; empty: the first unit of the field

    Returns
    -------
    the value (float, int or str; dates as ``2026-01-31``), or a Refusal

    Examples
    --------
    >>> from ledcalc.schema.model import sheet
    >>> parse(sheet("fixture").field("height_m"), "18 in")
    0.4572
    """
    if isinstance(typed, str) and typed.startswith(CELL_ERROR) and not UNWRITABLE.search(typed):
        return Refusal(
            problem=f"the cell's function failed: {typed.removeprefix(CELL_ERROR)[:LONGEST_REASON]}",
            allowed=field.allowed,
            remedy="mend what its formula is given",
        )
    if field.kind in {"number", "whole"}:
        return _number(field, typed, column_unit)
    if field.kind == "date":
        return _date(field, typed)
    text = _text(typed)
    if field.choices:
        return _choice(field, text)
    return text_refusal(field, text) or text


def default_value(field: Field) -> Value | None:
    """Return the value that a blank cell stands for, None where blank stays blank."""
    if field.default is None:
        return None
    if field.kind == "number":
        return float(field.default)
    return int(field.default) if field.kind == "whole" else field.default


def range_refusal(field: Field, value: float) -> Refusal | None:
    """Return why a number in the canonical unit is out of the field's range, None where it is inside."""
    side = side_of_range(field, value)
    if not side:
        return None
    remedy = TABLE_ENDS.get(field.path, "") if side == "too large" else ""
    return Refusal(problem=side, allowed=field.allowed, remedy=remedy)


def _clock_hours(typed: CellValue) -> float | None:
    """Return the hours of a time of day or a span of time, typed as 7:30 or formatted so; None for anything else."""
    if isinstance(typed, datetime.time):
        return typed.hour + typed.minute / 60.0 + typed.second / 3600.0
    if isinstance(typed, datetime.timedelta):
        return typed.total_seconds() / 3600.0
    match = _CLOCK.match(typed) if isinstance(typed, str) else None
    return int(match.group(1)) + int(match.group(2)) / 60.0 if match else None


def text_refusal(field: Field, text: str) -> Refusal | None:
    """Return why a text cannot stand in a field, None where it can."""
    found = UNWRITABLE.search(text)
    if found is None:
        return None
    problem = f"a control character, U+{ord(found.group()):04X}, in the text"
    return Refusal(problem=problem, allowed=field.allowed or "printable text", remedy="type it anew")


def _number(field: Field, typed: CellValue, column_unit: str) -> Value | Refusal:
    hours = _clock_hours(typed) if field.unit == "h" else None
    if hours is not None:
        typed, column_unit = hours, "h"
    if isinstance(typed, bool) or not isinstance(typed, int | float | str):
        kind = "a yes/no value" if isinstance(typed, bool) else "a date or time"
        return Refusal(
            problem=f"{kind} where a number belongs", allowed=field.allowed, remedy="format the cell as a number"
        )
    number, own_unit = float("nan"), ""
    if isinstance(typed, str):
        try:
            number, own_unit = split_number_and_unit(typed)
        except ArgumentError:
            remedy = "write the number with a decimal point and without thousands marks" if "," in typed else ""
            return Refusal(problem="text where a number belongs", allowed=field.allowed, remedy=remedy)
    else:
        number = _as_float(typed)
    if not math.isfinite(number):
        return Refusal(problem="not a finite number", allowed=field.allowed)
    converted = _in_canonical_unit(field, number, own_unit or column_unit)
    if isinstance(converted, Refusal):
        return converted
    outside = range_refusal(field, converted)
    if outside:
        return replace(outside, remedy=outside.remedy or unit_hint(field, number, own_unit or column_unit))
    if field.kind == "whole":
        whole = converted == int(converted)
        return int(converted) if whole else Refusal(problem="not a whole number", allowed=field.allowed)
    return converted


def _as_float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:  # a whole number of hundreds of digits
        return math.inf


def _in_canonical_unit(field: Field, number: float, unit_text: str) -> float | Refusal:
    if not field.units:
        if unit_text:
            return Refusal(
                problem=f"unit {unit_text[:LONGEST_UNIT]!r} on a field without unit",
                allowed=field.allowed,
                remedy=bare_number_hint(field, number, unit_text),
            )
        return number
    allowed = ", ".join(field.units)
    try:
        symbol = unit(unit_text or field.units[0]).symbol
    except ArgumentError:
        near = get_close_matches(unit_text, list(field.units), n=1, cutoff=0.3)
        remedy = f"nearest unit: {near[0]}" if near else ""
        return Refusal(problem=f"unknown unit {unit_text[:LONGEST_UNIT]!r}", allowed=f"unit {allowed}", remedy=remedy)
    if symbol not in field.units:
        return Refusal(problem=f"unit {unit_text[:LONGEST_UNIT]!r} does not fit", allowed=f"unit {allowed}")
    # Twelve significant digits: what a user typed, without the dust of the conversion (18 in -> 0.4572 m).
    return float(f"{convert(number, symbol, field.unit):.12g}") if symbol != field.unit else number


def _date(field: Field, typed: CellValue) -> Value | Refusal:
    if isinstance(typed, datetime.datetime | datetime.date):
        return typed.isoformat()[:10]
    try:
        return datetime.date.fromisoformat(str(typed).strip()).isoformat()
    except ValueError:
        return Refusal(problem="not a date", allowed=field.allowed)


def _choice(field: Field, text: str) -> Value | Refusal:
    matches = [option for option in field.choices if option.casefold() == text.casefold()]
    if matches:
        return matches[0]
    near = get_close_matches(text, field.choices, n=1, cutoff=0.4)
    return Refusal(
        problem="not one of the choices", allowed=field.allowed, remedy=f"nearest: {near[0]}" if near else ""
    )


def _text(typed: CellValue) -> str:
    if isinstance(typed, float) and typed.is_integer():
        return str(int(typed))
    return " ".join(str(typed).split())
