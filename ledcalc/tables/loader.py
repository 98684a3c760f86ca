"""Reads the CSV tables that lie beside this file."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from io import StringIO
from types import MappingProxyType

from ledcalc.errors import ArgumentError

__all__ = ["table", "table_names"]


def table_names() -> tuple[str, ...]:
    """Return the names of the tables carried by the package, in alphabetical order."""
    folder = files("ledcalc.tables")
    return tuple(sorted(entry.name[:-4] for entry in folder.iterdir() if entry.name.endswith(".csv")))


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
    entry = files("ledcalc.tables").joinpath(f"{name}.csv")
    if name not in table_names():
        raise ArgumentError("table name", name, ", ".join(table_names()))
    return tuple(MappingProxyType(row) for row in csv.DictReader(StringIO(entry.read_text(encoding="utf-8"))))
