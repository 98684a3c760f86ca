"""The input schema as data: what each sheet and field is. Template, reader, checks, help and docs all come from it."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from io import StringIO
from pathlib import Path

from ledcalc.errors import ArgumentError
from ledcalc.units import convert

__all__ = ["SCHEMA_VERSION", "Bound", "Field", "Sheet", "sheet", "sheets"]

SCHEMA_VERSION = "1"
ON_THE_FIXTURE = "boards on the fixture"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """One end of a range; an open end excludes its own value."""

    value: float
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One input: its name, label, type, canonical unit, range, default and help text.

    ``kind`` is number, whole, text, tag, choice, reference or date. ``unit`` is the unit inside ledcalc, ``units``
    those a user may choose, the first being the template's. ``default`` is the text that stands for a blank cell,
    None where blank stays blank; bounds and default are in ``unit``. ``example`` is what an invented light has there,
    in the template's unit; empty where none is given.
    """

    sheet: str
    name: str
    label: str
    kind: str
    unit: str
    units: tuple[str, ...]
    minimum: Bound | None
    maximum: Bound | None
    required: bool
    default: str | None
    choices: tuple[str, ...]
    refers_to: str | None
    help: str
    example: str

    @property
    def referred(self) -> tuple[str, ...]:
        """The fields whose tags may stand here, as ``sheet.field``; none where it is no such reference."""
        return tuple(self.refers_to.split(";")) if self.refers_to and "." in self.refers_to else ()

    @property
    def path(self) -> str:
        """``sheet.field``, as variants and findings write it."""
        return f"{self.sheet}.{self.name}"

    @property
    def allowed(self) -> str:
        """What may stand in the cell, in words; numbers in the unit that the template shows."""
        if self.choices:
            return " or ".join(self.choices)
        if self.refers_to is not None:
            return (
                "the tag of a board on the fixture"
                if self.refers_to == ON_THE_FIXTURE
                else f"a tag of the {' or '.join(_title(one) for one in self.referred)} sheet"
            )
        if self.kind in {"number", "whole"}:
            kind = "a whole number" if self.kind == "whole" else "a number"
            return f"{kind} {self._limits(self.units[0] if self.units else '')}".rstrip()
        return {"date": "a date, year-month-day", "tag": "a short name that stands once in its sheet"}.get(
            self.kind, "text"
        )

    @property
    def allowed_in_python(self) -> str:
        """The same with the limits in the canonical unit, and those of the template behind it where they differ.

        Examples
        --------
        >>> sheet("site").field("wall_reflectance_fraction").allowed_in_python
        'a number from 0 up to 0.98 (on the Site sheet: from 0 up to 98 %)'
        """
        if self.kind not in {"number", "whole"} or not self.units or self.units[0] == self.unit:
            return self.allowed
        kind = "a whole number" if self.kind == "whole" else "a number"
        own, shown = self._limits(self.unit), self._limits(self.units[0])
        return f"{kind} {own}".rstrip() + (f" (on the {sheet(self.sheet).title} sheet: {shown})" if shown else "")

    @property
    def blank_means(self) -> str:
        """What a blank cell stands for, in the unit that the template shows; empty where blank stays blank."""
        if self.default is None:
            return ""
        if self.kind not in {"number", "whole"}:
            return self.default
        unit = self.units[0] if self.units and self.units[0] != "1" else ""
        return f"{self._shown(float(self.default)):g} {unit}".rstrip()

    def _limits(self, unit: str) -> str:
        """Return the ends of the range in a unit, in words."""
        low, high = (
            f"{convert(end.value, self.unit, unit) if unit else end.value:g}" if end else ""
            for end in (self.minimum, self.maximum)
        )
        ends = (
            f"{'above' if self.minimum.is_open else 'from'} {low}" if self.minimum else "",
            f"{'below' if self.maximum.is_open else 'up to'} {high}" if self.maximum else "",
            unit if unit != "1" else "",
        )
        return " ".join(end for end in ends if end)

    def _shown(self, value: float) -> float:
        return convert(value, self.unit, self.units[0]) if self.units else value


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One input sheet: a form (a field a row) or a table (a field a column)."""

    key: str
    title: str
    shape: str
    required: bool
    help: str
    fields: tuple[Field, ...]

    def field(self, name: str) -> Field:
        """Return the field of that name.

        Raises
        ------
        ArgumentError (a ValueError): the sheet has no such field
        """
        for entry in self.fields:
            if entry.name == name:
                return entry
        raise ArgumentError("field", name, f"a field of {self.title}: {', '.join(f.name for f in self.fields)}")


@cache
def sheets() -> tuple[Sheet, ...]:
    """Return every input sheet in the order of the workbook.

    Examples
    --------
    >>> [entry.title for entry in sheets()][:3]
    ['Site', 'Boards', 'Board points']
    """
    examples = {(row["sheet"], row["field"]): row["example"] for row in _rows("examples.csv")}
    fields = [_field(row, examples.get((row["sheet"], row["field"]), "")) for row in _rows("inputs.csv")]
    return tuple(
        Sheet(
            key=row["sheet"],
            title=row["title"],
            shape=row["shape"],
            required=row["required"] == "yes",
            help=row["help"],
            fields=tuple(entry for entry in fields if entry.sheet == row["sheet"]),
        )
        for row in _rows("sheets.csv")
    )


def sheet(key: str) -> Sheet:
    """Return one sheet by its key.

    Raises
    ------
    ArgumentError (a ValueError): no such sheet
    """
    for entry in sheets():
        if entry.key == key:
            return entry
    raise ArgumentError("sheet", key, ", ".join(entry.key for entry in sheets()))


def _title(refers_to: str) -> str:
    key = refers_to.split(".")[0]
    return next(row["title"] for row in _rows("sheets.csv") if row["sheet"] == key)


@cache
def _rows(name: str) -> list[dict[str, str]]:
    text = (Path(__file__).parent / name).read_text(encoding="utf-8")
    return list(csv.DictReader(StringIO(text)))


def _field(row: Mapping[str, str], example: str) -> Field:
    return Field(
        sheet=row["sheet"],
        name=row["field"],
        label=row["label"],
        kind=row["type"],
        unit=row["unit"],
        units=tuple(row["allowed_units"].split(";")) if row["allowed_units"] else (),
        minimum=_bound(row["minimum"], ">"),
        maximum=_bound(row["maximum"], "<"),
        required=row["default"] == "required",
        default=row["default"] if row["default"] not in {"", "required"} else None,
        choices=tuple(row["choices"].split(";")) if row["choices"] else (),
        refers_to=row["refers_to"] or None,
        help=row["help"],
        example=example,
    )


def _bound(text: str, mark: str) -> Bound | None:
    return Bound(value=float(text.lstrip(mark)), is_open=text.startswith(mark)) if text else None
