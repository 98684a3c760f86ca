"""Which inputs of two fixtures differ, row by row and field by field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledcalc.fixture import Fixture
from ledcalc.records import records_from_fixture
from ledcalc.schema import Field, Record, Sheet, Value, sheets
from ledcalc.units import convert

__all__ = ["InputDifference", "input_differences"]

# What was measured, and the variants themselves, are no part of the design.
NOT_DESIGN = frozenset(
    {
        "incoming_boards",
        "meters",
        "current_log",
        "supply_log",
        "dial_log",
        "light_readings",
        "light_grids",
        "light_rings",
        "surveys",
        "build_record",
        "variants",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class InputDifference:
    """One input that differs. ``row``: its row's tag or number, empty on a form; ``one`` and ``other`` in words, with
    unit, "blank" where nothing stands. A row that only one of the two has is a difference of its own, without field.
    """

    sheet: str
    row: str
    field: str
    one: str
    other: str


def input_differences(one: Fixture, other: Fixture) -> tuple[InputDifference, ...]:
    """Return every input that differs between two fixtures, in the order of the sheets; bench readings left out.

    Parameters
    ----------
    one, other : rows of tables are paired by their tag, of tables without tags by their number

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.records import with_values
    >>> [found] = input_differences(seedling_bench(), with_values(seedling_bench(), {"fixture.height_m": 0.38}))
    >>> found.field, found.one, found.other
    ('Height over canopy', '0.28 m', '0.38 m')
    """
    first, second = records_from_fixture(one), records_from_fixture(other)
    found: list[InputDifference] = []
    for part in sheets():
        if part.key not in NOT_DESIGN:
            found += _of_sheet(
                part, _named_rows(part, first.get(part.key, ())), _named_rows(part, second.get(part.key, ()))
            )
    return tuple(found)


def _named_rows(part: Sheet, rows: Sequence[Record]) -> dict[str, Record]:
    """Return the rows by their tags, or by their numbers where they have none; the one row of a form has no name."""
    tag = next((field.name for field in part.fields if field.kind == "tag"), None)
    named: dict[str, Record] = {}
    for number, row in enumerate(rows, start=1):
        named[str(row[tag]) if tag else f"row {number}" if part.shape == "table" else ""] = row
    return named


def _of_sheet(part: Sheet, one: Mapping[str, Record], other: Mapping[str, Record]) -> list[InputDifference]:
    found = []
    for name in dict.fromkeys([*one, *other]):
        if name not in one or name not in other:
            there = ("there", "not there") if name in one else ("not there", "there")
            found.append(InputDifference(sheet=part.title, row=name, field="", one=there[0], other=there[1]))
            continue
        for field in part.fields:
            pair = one[name].get(field.name), other[name].get(field.name)
            if pair[0] != pair[1]:
                texts = [_text(field, value) for value in pair]
                found.append(
                    InputDifference(sheet=part.title, row=name, field=field.label, one=texts[0], other=texts[1])
                )
    return found


def _text(field: Field, value: Value | None) -> str:
    if value is None:
        return "blank"
    if not field.units or isinstance(value, str):
        return f"{value:.6g}" if isinstance(value, float) else str(value)
    # As the sheet shows it, but lengths of a metre's order read better in metres.
    unit = field.unit if field.unit == "m" and abs(float(value)) >= 0.1 else field.units[0]
    return f"{convert(float(value), field.unit, unit):.6g} {unit if unit != '1' else ''}".rstrip()
