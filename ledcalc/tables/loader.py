"""Reads the CSV tables that lie beside this file."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from io import StringIO
from pathlib import Path
from types import MappingProxyType

from ledcalc.errors import ArgumentError

__all__ = ["table", "table_names"]

FOLDER = Path(__file__).parent


def table_names() -> tuple[str, ...]:
    """Return the names of the tables carried by the package, in alphabetical order."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.csv")))


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """Return one table, a read-only mapping of column to text a row; every row carries ``source`` and ``read_from``.

    Raises
    ------
    ArgumentError (a ValueError): no table has that name

    Examples
    --------
    >>> table("nec_chapter9_table8")[0]["size"]
    '18 AWG'
    """
    if name not in table_names():
        raise ArgumentError("table name", name, ", ".join(table_names()))
    return tuple(
        MappingProxyType(row) for row in csv.DictReader(StringIO((FOLDER / f"{name}.csv").read_text(encoding="utf-8")))
    )
