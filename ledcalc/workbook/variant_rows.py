"""The Variants sheet: a row a variant, a column an input, headed by its sheet and field."""

from __future__ import annotations

import re
from difflib import get_close_matches

from ledcalc.errors import CellProblem
from ledcalc.schema import Field, Refusal, Value, sheet, sheets
from ledcalc.variants import Variant
from ledcalc.workbook.cells import parse_cell
from ledcalc.workbook.grid import Grid, sheet_place
from ledcalc.workbook.layout import FoundRow, data_rows, find_header, plain

__all__ = ["variants_in"]

_HEADER = re.compile(r"^(.+?)(\[\d+\])?\.(.+)$")


def variants_in(grid: Grid) -> list[Variant]:
    """Return every filled row of a Variants sheet; a row in trouble carries the reason."""
    part, problems = sheet("variants"), list[CellProblem]()
    header = find_header(grid, part, problems, extra=True)
    if header is None:
        return [Variant(name="(sheet)", problem=str(problem)) for problem in problems]
    paths = {text: _path(text) for text in header.columns.values() if text != "variant"}
    found, seen = [], set[str]()
    for row in data_rows(grid, header):
        variant = _variant(grid.title, row, paths)
        if variant.name in seen:
            variant = Variant(name=variant.name, problem=f"the name {variant.name!r} stands twice")
        seen.add(variant.name)
        found.append(variant)
    return found


def _variant(title: str, row: FoundRow, paths: dict[str, tuple[str, Field] | str]) -> Variant:
    named = row.cells.get("variant")
    name = str(named.value).strip() if named else ""
    if not name:
        return Variant(
            name="(no name)", problem=f"{sheet_place(title, row.places['variant'])}: the variant has no name"
        )
    changes: dict[str, Value | None] = {}
    reasons = []
    for text, target in paths.items():
        cell = row.cells.get(text)
        if cell is None:
            continue
        if isinstance(target, str):
            reasons.append(target)
            continue
        path, field = target
        parsed = parse_cell(field, cell, row.units.get(text, "") or field.unit)
        if isinstance(parsed, Refusal):
            place = sheet_place(title, row.places[text])
            reasons.append(f"{place}: {parsed.problem}, got {cell.value!r}, allowed: {parsed.allowed}")
        else:
            changes[path] = parsed
    return Variant(name=name, changes=changes, problem="; ".join(reasons))


def _path(text: str) -> tuple[str, Field] | str:
    """Return the field path and field that a column is headed by, or why there is none."""
    match = _HEADER.match(" ".join(text.split()))
    if match:
        for part in sheets():
            if plain(match.group(1)) not in {part.key, plain(part.title)}:
                continue
            for field in part.fields:
                if plain(match.group(3)) in {field.name, plain(field.label)}:
                    return f"{part.key}{match.group(2) or ''}.{field.name}", field
    known = [field.path for part in sheets() for field in part.fields]
    near = get_close_matches(text, known, n=1, cutoff=0.4)
    return f"unknown column {text!r}{f' (nearest: {near[0]})' if near else ''}"
