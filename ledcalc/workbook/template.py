"""Makes input workbooks and CSV folders from the schema: blank, or filled with records."""

from __future__ import annotations

import csv
import hashlib
import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ledcalc.errors import FileProblem, InputErrors
from ledcalc.fixture import Fixture
from ledcalc.records import given_records
from ledcalc.schema import Records, Sheet, Value, sheet, sheets
from ledcalc.variants import Variant
from ledcalc.workbook.about_sheets import add_about, add_changes
from ledcalc.workbook.atomic import write_file, write_folder
from ledcalc.workbook.csv_text import csv_text
from ledcalc.workbook.input_sheets import Column, add_form, add_table, columns_of, shown
from ledcalc.workbook.looks import Formats, open_book
from ledcalc.workbook.reader import read_inputs

__all__ = ["copy_inputs", "write_blank", "write_inputs"]


def write_blank(
    path: str | os.PathLike[str],
    *,
    records: Records | None = None,
    variants: Sequence[Variant] = (),
    overwrite: bool = False,
) -> None:
    """Write an input workbook (a name ending in .xlsx) or a folder of CSV files (any other name).

    Parameters
    ----------
    path : what to make
    records : values to fill in, canonical units (``ledcalc.records.records_from_fixture``); None: blank
    variants : rows for the Variants sheet
    overwrite : replace what already has that name

    Raises
    ------
    FileProblem: the name is taken, or cannot be written
    """
    target = Path(path)
    if target.exists() and not overwrite:
        raise FileProblem(f"{target}: already there; choose another name, or say that it may be replaced")
    filled = records or {}
    if target.suffix.lower() == ".xlsx":
        write_file(target, lambda temporary: _write_xlsx(temporary, filled, variants))
    else:
        write_folder(target, lambda temporary: _write_csv(temporary, filled, variants))


def write_inputs(
    fixture: Fixture, path: str | os.PathLike[str], *, variants: Sequence[Variant] = (), overwrite: bool = False
) -> None:
    """Write a fixture as a filled input workbook or CSV folder; what its own file left blank stays blank.

    Parameters
    ----------
    fixture : any, read or built in Python
    path, variants, overwrite : as ``write_blank``

    Raises
    ------
    FileProblem: as ``write_blank``
    """
    write_blank(path, records=given_records(fixture), variants=variants, overwrite=overwrite)


def copy_inputs(source: str | os.PathLike[str], path: str | os.PathLike[str], *, overwrite: bool = False) -> None:
    """Write the inputs of a workbook or CSV folder into a new workbook or CSV folder.

    Raises
    ------
    InputErrors (a ValueError), FileProblem: as ``read_workbook`` and ``write_blank``
    """
    inputs = read_inputs(source)
    if inputs.problems:
        raise InputErrors(inputs.origin.file, inputs.problems, has_unread=inputs.has_unread)
    write_blank(path, records=inputs.records, variants=inputs.variants, overwrite=overwrite)


def _write_xlsx(path: Path, records: Records, variants: Sequence[Variant]) -> None:
    def fill(book: Any, formats: Formats) -> None:
        add_about(book, formats, _values_sha256(records, variants))
        for part in sheets():
            if part.shape == "form":
                add_form(book, formats, part, (records.get(part.key) or ({},))[0])
            elif part.key == "variants":
                add_table(book, formats, part, _variant_columns(variants), _variant_rows(variants))
            else:
                add_table(book, formats, part, columns_of(part), _shown_rows(part, records))
        add_changes(book, formats)

    open_book(path, fill, title="ledcalc inputs")


def _write_csv(folder: Path, records: Records, variants: Sequence[Variant]) -> None:
    for part in sheets():
        if part.shape == "form":
            record = (records.get(part.key) or ({},))[0]
            rows: list[list[Value | None]] = [["Field", "Value", "Unit", "Allowed", "What it means"]]
            for field in part.fields:
                unit = field.units[0] if field.units else ""
                rows.append([field.label, shown(field, record.get(field.name)), unit, field.allowed, field.help])
        else:
            own = part.key == "variants"
            columns = _variant_columns(variants) if own else columns_of(part)
            rows = [
                [column.label for column in columns],
                [column.units[0] if column.units else "" for column in columns],
            ]
            rows += _variant_rows(variants) if own else _shown_rows(part, records)
        with (folder / f"{part.key}.csv").open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream, lineterminator="\n").writerows([csv_text(value) for value in row] for row in rows)


def _values_sha256(records: Records, variants: Sequence[Variant]) -> str:
    """Return the hash of the values alone, whatever workbook holds them; empty where there are none."""
    if not records and not variants:
        return ""
    changes = [[variant.name, dict(variant.changes)] for variant in variants]
    return hashlib.sha256(json.dumps([records, changes], sort_keys=True, default=dict).encode()).hexdigest()


def _shown_rows(part: Sheet, records: Records) -> list[list[Value | None]]:
    return [[shown(field, record.get(field.name)) for field in part.fields] for record in records.get(part.key, ())]


def _variant_columns(variants: Sequence[Variant]) -> list[Column]:
    paths = list(dict.fromkeys(path for variant in variants for path in variant.changes))
    own = columns_of(sheet("variants"))
    return own + [Column(label=path, units=_units_of(path), help="What differs from the base.") for path in paths]


def _variant_rows(variants: Sequence[Variant]) -> list[list[Value | None]]:
    paths = list(dict.fromkeys(path for variant in variants for path in variant.changes))
    return [[variant.name, *(variant.changes.get(path) for path in paths)] for variant in variants]


def _units_of(path: str) -> tuple[str, ...]:
    key, name = path.split("[")[0].split(".")[0], path.rpartition(".")[2]
    field = sheet(key).field(name)
    return (field.unit, *(unit for unit in field.units if unit != field.unit)) if field.units else ()
