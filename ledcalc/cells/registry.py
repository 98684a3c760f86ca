"""The registry of cell functions: name, what it calls, arguments with unit, default and help; two CSV files."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from io import StringIO
from pathlib import Path
from typing import Any

from ledcalc.errors import ArgumentError

__all__ = ["KINDS", "CellArgument", "CellFunction", "cell_function", "cell_functions"]

FOLDER = Path(__file__).parent
# number, text: one cell, or a range worked out cell by cell; single, word: one cell; numbers: a range as a list;
# table: a range as rows and columns.
KINDS = ("number", "text", "single", "word", "numbers", "table")
# In the default column: the argument may be left out, and then is not handed on.
NOT_HANDED_ON = "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class CellArgument:
    """One argument. ``keyword``: of the Python function; ``default`` None: required, or not handed on if optional."""

    name: str
    keyword: str
    kind: str
    unit: str
    default: float | str | None
    is_optional: bool
    choices: tuple[str, ...]
    help: str

    @property
    def bracketed(self) -> str:
        """Its name, in square brackets if it may be left out."""
        return f"[{self.name}]" if self.is_optional else self.name

    @property
    def blank_means(self) -> str:
        """What a blank stands for; empty: it must be given."""
        if not self.is_optional:
            return ""
        if self.default is None:
            return "not used"
        return self.default if isinstance(self.default, str) else format(self.default, "g")

    @property
    def description(self) -> str:
        """What it is, its unit, its choices, what a blank means, in a line; ``(optional)`` before what may be blank."""
        optional = "(optional) " if self.is_optional else ""
        parts = [optional + self.help + (f", {self.unit}" if self.unit else "")]
        if self.choices:
            parts.append(f"one of {', '.join(self.choices)}")
        if self.is_optional:
            parts.append(f"blank: {self.blank_means}")
        return "; ".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class CellFunction:
    """One function as a spreadsheet sees it."""

    name: str
    trade: str
    calls: str
    unit: str
    help: str
    arguments: tuple[CellArgument, ...]

    @property
    def description(self) -> str:
        """What it returns, and its unit."""
        return self.help + (f", in {self.unit}" if self.unit else "")

    def function(self) -> Callable[..., Any]:
        """Return the Python function behind it; its module loads when it is first asked for."""
        return _loaded(self.calls)


@cache
def _loaded(calls: str) -> Callable[..., Any]:
    module, _, name = calls.partition(":")
    found: Callable[..., Any] = getattr(import_module(module), name)
    return found


@cache
def cell_functions() -> tuple[CellFunction, ...]:
    """Return all cell functions, in the registry's order."""
    arguments: dict[str, list[CellArgument]] = {}
    for row in _rows("arguments.csv"):
        arguments.setdefault(row["function"], []).append(_argument(row))
    return tuple(
        CellFunction(
            name=row["name"],
            trade=row["trade"],
            calls=row["calls"],
            unit=row["unit"],
            help=row["help"],
            arguments=tuple(arguments[row["name"]]),
        )
        for row in _rows("functions.csv")
    )


def cell_function(name: str) -> CellFunction:
    """Return one cell function, whatever the case of its name.

    Raises
    ------
    ArgumentError (a ValueError): there is none of that name

    Examples
    --------
    >>> cell_function("lc_dli").unit
    'mol m-2 d-1'
    """
    found = _by_name().get(name.upper())
    if found is None:
        raise ArgumentError("cell function", name, ", ".join(_by_name()))
    return found


@cache
def _by_name() -> dict[str, CellFunction]:
    return {entry.name: entry for entry in cell_functions()}


def _rows(file: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO((FOLDER / file).read_text(encoding="utf-8"))))


def _argument(row: dict[str, str]) -> CellArgument:
    given = row["default"]
    has_default = given not in {"", NOT_HANDED_ON}
    is_number = row["kind"] in {"number", "single"}
    return CellArgument(
        name=row["argument"],
        keyword=row["keyword"],
        kind=row["kind"],
        unit=row["unit"],
        default=(float(given) if is_number else given) if has_default else None,
        is_optional=given != "",
        choices=tuple(row["choices"].split(";")) if row["choices"] else (),
        help=row["help"],
    )
