"""Reads cells into values, keeping every problem, address, assumption and note on the way."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, field

from ledcalc.errors import CellProblem
from ledcalc.schema import Field, Refusal, Sheet, Value, parse
from ledcalc.workbook.grid import Cell, echo, sheet_place
from ledcalc.workbook.layout import FoundRow

__all__ = ["CellReader", "parse_cell"]


@dataclass(slots=True)
class CellReader:
    """Collects what one pass over the sheets finds.

    ``cells``: field path -> ``Sheet!A1``. ``assumed``: paths left blank whose default holds. ``bad_paths``,
    ``bad_fields``: what was already reported, so that mere follow-ups can be left out.
    """

    problems: list[CellProblem] = field(default_factory=list)
    cells: dict[str, str] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    bad_paths: set[str] = field(default_factory=set)
    bad_fields: set[str] = field(default_factory=set)

    def record(
        self,
        title: str,
        part: Sheet,
        path: str,
        row: FoundRow,
        absent: Set[str] = frozenset(),
    ) -> dict[str, Value | None]:
        """Return one record; ``absent`` names required columns whose lack is already reported."""
        return {entry.name: self._value(title, entry, f"{path}.{entry.name}", row, absent) for entry in part.fields}

    def _value(self, title: str, entry: Field, path: str, row: FoundRow, absent: Set[str]) -> Value | None:
        place = row.places.get(entry.name, "")
        if place:
            self.cells[path] = sheet_place(title, place)
        cell = row.cells.get(entry.name)
        if cell is None:
            self._blank(title, entry, path, place, already=entry.name in absent)
            return None
        parsed = parse_cell(entry, cell, row.units.get(entry.name, ""))
        if isinstance(parsed, Refusal):
            self._refuse(title, entry, path, place, echo(cell.value), parsed)
            return None
        if cell.from_formula:
            caution = f"; mind that {cell.caution}" if cell.caution else ""
            where = sheet_place(title, place)
            self.notes.append(f"{where} holds a formula; the value {cell.basis}, {echo(cell.value)}, was used{caution}")
        return parsed

    def _blank(self, title: str, entry: Field, path: str, place: str, *, already: bool) -> None:
        if entry.required:
            self.bad_paths.add(path)
            self.bad_fields.add(entry.path)
            if not already:
                self._refuse(
                    title, entry, path, place, "", Refusal(problem="blank, but required", allowed=entry.allowed)
                )
        elif entry.default is not None:
            self.assumed.append(path)

    def _refuse(self, title: str, entry: Field, path: str, place: str, value: str, refusal: Refusal) -> None:
        self.bad_paths.add(path)
        self.bad_fields.add(entry.path)
        self.problems.append(
            CellProblem(
                sheet=title,
                cell=place,
                field=entry.label,
                path=entry.path,
                value=value,
                problem=refusal.problem,
                allowed=refusal.allowed,
                remedy=refusal.remedy,
            )
        )


def parse_cell(entry: Field, cell: Cell, unit_text: str) -> Value | Refusal:
    """Return a cell's value in its field's canonical unit, or why it has none.

    A number formatted as a percentage is stored as a share, whatever the unit beside it says.
    """
    if cell.trouble:
        return Refusal(problem=cell.trouble, allowed=entry.allowed, remedy=cell.remedy)
    if cell.is_percent:
        if entry.units and "1" not in entry.units:
            return Refusal(problem="a percentage where none belongs", allowed=entry.allowed)
        return parse(entry, cell.value, "1" if entry.units else "")
    return parse(entry, cell.value, unit_text if entry.units else "")
