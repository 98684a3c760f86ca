"""Variants: a row a variant, a column an input, headed by its sheet and field; lists and ranges multiply out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from typing import TypeAlias

from ledcalc.errors import ArgumentError, CellProblem
from ledcalc.schema import Field, Refusal, Value, sheet, sheets
from ledcalc.variants import Variant
from ledcalc.workbook.cells import parse_cell
from ledcalc.workbook.grid import Cell, Grid, sheet_place
from ledcalc.workbook.layout import FoundRow, data_rows, find_header, plain
from ledcalc.workbook.multiplied import Choices, choices_of, combination, combinations_count

__all__ = [
    "Targets",
    "multiplied",
    "name_of",
    "targets_of",
    "twice",
    "variant_of",
    "variants_in",
    "with_choices",
]

_HEADER = re.compile(r"^(.+?)(\[\d+\])?\.(.+)$")
# A sheet's variants are held in memory; more of them come from a file of rows, block by block.
MOST_OF_A_SHEET = 100_000
# Column header -> field path and field, or why there is none.
Targets: TypeAlias = dict[str, tuple[str, Field] | str]


def variants_in(grid: Grid) -> list[Variant]:
    """Return every filled row of a Variants sheet, multiplied out; a row in trouble carries the reason."""
    part, problems = sheet("variants"), list[CellProblem]()
    header = find_header(grid, part, problems, extra=True)
    if header is None:
        return [Variant(name="(sheet)", problem=str(problem)) for problem in problems]
    targets = targets_of(header.columns.values())
    found, seen = [Variant(name="(sheet)", problem=str(problem)) for problem in problems], set[str]()
    for row in data_rows(grid, header):
        name, choices = multiplied(row, targets)
        count = combinations_count(choices)
        if count > MOST_OF_A_SHEET:
            more = f"multiplies out to {count:,} variants; put rows of more than {MOST_OF_A_SHEET:,} into a CSV file"
            found.append(Variant(name=name, problem=f"{more} and name it with --rows"))
            continue
        for number in range(count):
            own = name_of(name, number, count)
            variant = variant_of(grid.title, own, with_choices(row, choices, number), targets)
            if variant.name in seen:
                variant = Variant(name=variant.name, problem=twice(variant.name))
            seen.add(variant.name)
            found.append(variant)
    return found


def twice(name: str) -> str:
    """Return what is said of a second variant of one name."""
    return f"the name {name!r} stands twice"


def name_of(name: str, number: int, count: int) -> str:
    """Return the name of one of a row's variants, the first being number 0."""
    return name if count == 1 or not name else f"{name} #{number + 1}"


def multiplied(row: FoundRow, targets: Targets) -> tuple[str, dict[str, Choices]]:
    """Return a row's name and what each of its cells stands for; a range that cannot be counted stays as it is."""
    named = row.cells.get("variant")
    choices: dict[str, Choices] = {}
    for text, target in targets.items():
        cell = row.cells.get(text)
        if cell is None or isinstance(target, str) or cell.trouble:
            continue
        try:
            choices[text] = choices_of(target[1], cell.value)
        except ArgumentError:
            choices[text] = (cell.value,)
    return str(named.value).strip() if named else "", choices


def with_choices(row: FoundRow, choices: Mapping[str, Choices], number: int) -> FoundRow:
    """Return a row with one combination of its cells' values."""
    own = {
        text: replace(cell, value=value)
        for text, value in combination(choices, number).items()
        if (cell := row.cells[text]) is not None
    }
    return replace(row, cells={**row.cells, **own})


def variant_of(title: str, name: str, row: FoundRow, targets: Targets) -> Variant:
    """Return the variant of a row whose cells hold one value each."""
    if not name:
        return Variant(
            name="(no name)", problem=f"{sheet_place(title, row.places['variant'])}: the variant has no name"
        )
    changes: dict[str, Value | None] = {}
    reasons = []
    for text, target in targets.items():
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
            reasons.append(f"{place}: {parsed.problem}, got {cell.value!r}, allowed: {_allowed(field, cell, parsed)}")
        else:
            changes[path] = parsed
    return Variant(name=name, changes=changes, problem="; ".join(reasons))


def _allowed(field: Field, cell: Cell, refusal: Refusal) -> str:
    """Return what may stand in a cell: for a range that cannot be counted, how one is written."""
    try:
        choices_of(field, cell.value)
    except ArgumentError as problem:
        return problem.allowed
    return refusal.allowed


def targets_of(headers: Iterable[str]) -> Targets:
    """Return what each column but the name's is headed by; of two that head one input, the first counts."""
    found: Targets = {}
    known: dict[str, str] = {}
    for text in headers:
        if text != "variant":
            found[text] = target = _path(text)
            if not isinstance(target, str) and known.setdefault(target[0], text) != text:
                found[text] = f"column {text!r} heads the same input as {known[target[0]]!r}"
    return found


@cache
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
