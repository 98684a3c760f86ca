"""Beams as a CSV file that stands in for the Beams sheet, or is pasted into it."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.fixture import BeamPoint
from ledcalc.schema import sheet
from ledcalc.workbook.atomic import write_file
from ledcalc.workbook.csv_text import csv_text
from ledcalc.workbook.input_sheets import columns_of

__all__ = ["write_beam_table"]


def write_beam_table(path: Path, rows: Sequence[BeamPoint], *, overwrite: bool = False) -> None:
    """Write rows of the Beams sheet with its headers and units, as the CSV folder has them.

    Raises
    ------
    FileProblem: another ending than .csv, the name is taken, or it cannot be written
    """
    if path.suffix.lower() != ".csv":
        raise FileProblem(f"{path}: give a name ending in .csv")
    if path.exists() and not overwrite:
        raise FileProblem(f"{path}: already there; choose another name, or say that it may be replaced (--replace)")
    columns = columns_of(sheet("beams"))
    names = [field.name for field in sheet("beams").fields]
    lines = [[column.label for column in columns], [column.units[0] if column.units else "" for column in columns]]
    lines += [[csv_text(getattr(row, name)) for name in names] for row in rows]

    def write(temporary: Path) -> None:
        with temporary.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream, lineterminator="\n").writerows(lines)

    write_file(path, write)
