"""Calls a cell function with what a spreadsheet hands over: single values, blanks, ranges as rows of cells.

Whatever goes wrong comes back as text that starts with ``LC error:``; no figure that is none passes for one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, TypeAlias

from ledcalc.cells.registry import CellArgument, CellFunction, cell_function
from ledcalc.cells.words import asked_for, failed_before, no_number, refusal
from ledcalc.errors import CELL_ERROR, LedcalcError

__all__ = ["ERROR", "CellAnswer", "call_cell"]

ERROR = CELL_ERROR
Scalar: TypeAlias = float | str
CellAnswer: TypeAlias = Scalar | list[list[Scalar]]
CELL_BY_CELL = ("number", "text")


class _Refused(Exception):
    """An argument that cannot be used; its text says why."""


def call_cell(name: str, arguments: Sequence[Any]) -> CellAnswer:
    """Return what a cell shows for a function: a number, a text, or rows of them.

    Parameters
    ----------
    name : of the registry, such as ``"LC_DLI"``
    arguments : in the registry's order; None, "" or left out at the end: blank; ranges as rows of cells, or arrays

    Returns
    -------
    a number or text, or a list of rows where a range was given or the function returns several values; a text that
    starts with ``LC error:`` where there is no answer

    Examples
    --------
    >>> call_cell("LC_DLI", [200, 16])
    11.52
    >>> call_cell("LC_DLI", [[[100.0], [200.0]], 16])
    [[5.76], [11.52]]
    >>> call_cell("LC_DLI", [200])
    'LC error: give hours (Photoperiod, h)'
    """
    try:
        function = cell_function(name)
    except LedcalcError as problem:
        return f"{ERROR}{problem}"
    try:
        given = _bound(function, arguments)
        ranges = [argument for argument in function.arguments if isinstance(given.get(argument.keyword), list)]
        spread = [argument for argument in ranges if argument.kind in CELL_BY_CELL]
        return _by_cell(function, given, spread) if spread else _once(function.function(), given)
    except (_Refused, LedcalcError, ValueError) as problem:
        return f"{ERROR}{refusal(function, problem)}"


def _bound(function: CellFunction, arguments: Sequence[Any]) -> dict[str, Any]:
    """Return keyword -> value of what was given; blanks take their defaults."""
    if len(arguments) > len(function.arguments):
        raise _Refused(f"{function.name} takes {len(function.arguments)} arguments, not {len(arguments)}")
    given: dict[str, Any] = {}
    for place, argument in enumerate(function.arguments):
        value = arguments[place] if place < len(arguments) else None
        value = _plain(value)
        if value is None or value == "":
            if not argument.is_optional:
                raise _Refused(asked_for(argument))
            if argument.default is not None:
                given[argument.keyword] = argument.default
        else:
            given[argument.keyword] = _converted(argument, value)
    if "size" in given:
        given["size"] = _as_size(given["size"], given.get("rule_set"))
    return given


def _as_size(value: Any, rule_set: Any) -> Any:
    """Return sizes as texts: a plain number is a size of the rule set, 18 AWG or 1.5 mm2; 0 is none of either."""
    if isinstance(value, list):
        return [[_as_size(cell, rule_set) for cell in row] for row in value]
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return value
    return f"{value:g} {'mm2' if rule_set == 'IEC' else 'AWG'}" if value else "0"


def _plain(value: Any) -> Any:
    """Return a cell or a list of rows of cells; a range of one cell is that cell."""
    if value is None or isinstance(value, float | int | str):
        return value
    if hasattr(value, "tolist"):
        value = value.tolist()
    if not isinstance(value, list | tuple):
        return value
    rows = [list(row) if isinstance(row, list | tuple) else [row] for row in value]
    return rows[0][0] if len(rows) == 1 and len(rows[0]) == 1 else rows


def _converted(argument: CellArgument, value: Any) -> Any:
    if argument.kind == "numbers":
        cells = [cell for row in value for cell in row] if isinstance(value, list) else [value]
        return [_number(argument, cell) for cell in cells if not _is_blank(cell)]
    if argument.kind == "table":
        rows = value if isinstance(value, list) else [[value]]
        return [[_number(argument, cell) for cell in row] for row in rows if not all(map(_is_blank, row))]
    if argument.kind in CELL_BY_CELL and isinstance(value, list):
        return value
    if isinstance(value, list):
        raise _Refused(f"{argument.name} takes one cell, not a range")
    return _cell(argument, value)


def _cell(argument: CellArgument, value: Any) -> Scalar:
    if argument.kind in {"number", "single"}:
        return _number(argument, value)
    if failed := failed_before(argument, value):
        raise _Refused(failed)
    if isinstance(value, bool) or not isinstance(value, float | int):
        return str(value)
    return value if argument.keyword == "size" else f"{value:g}"


def _number(argument: CellArgument, value: Any) -> float:
    if _is_blank(value):
        raise _Refused(f"{argument.name} holds a blank cell")
    if isinstance(value, bool) or not isinstance(value, float | int):
        raise _Refused(failed_before(argument, value) or no_number(argument, value))
    if not math.isfinite(value):
        raise _Refused(f"{argument.name} is no finite number")
    return float(value)


def _is_blank(value: Any) -> bool:
    # A spreadsheet's blank comes as nothing, as an empty text, or as NaN where a library made an array of the range.
    return value is None or value == "" or (isinstance(value, float) and math.isnan(value))


def _once(function: Callable[..., Any], given: dict[str, Any]) -> CellAnswer:
    return _shown(function(**given))


def _shown(value: Any) -> CellAnswer:
    if isinstance(value, float):
        return value if math.isfinite(value) else f"{ERROR}no result for these values"
    if isinstance(value, str):
        return value
    if hasattr(value, "tolist"):
        value = value.tolist()
        if not isinstance(value, list):
            return _shown(value)
        return [[_scalar(cell) for cell in (row if isinstance(row, list) else [row])] for row in value]
    return float(value)


def _scalar(value: Any) -> Scalar:
    shown = _shown(value)
    return shown if isinstance(shown, float | str) else f"{ERROR}no single value"


def _by_cell(function: CellFunction, given: dict[str, Any], spread: Sequence[CellArgument]) -> list[list[Scalar]]:
    """Return the answers over a range: at once where every cell can be used, else cell by cell with its own error."""
    import numpy as np

    ranges = [np.array(given[argument.keyword], dtype=object) for argument in spread]
    if any(cells.ndim != 2 for cells in ranges):
        raise _Refused("a range has rows of unequal length")
    try:
        cells = np.broadcast_arrays(*ranges)
    except ValueError:
        raise _Refused(f"ranges of {', '.join(argument.name for argument in spread)} differ in size") from None
    called = function.function()
    try:
        whole = {
            argument.keyword: np.array([[_cell(argument, cell) for cell in row] for row in block])
            for argument, block in zip(spread, cells, strict=True)
        }
        answer = np.asarray(called(**{**given, **whole}))
        if answer.shape == cells[0].shape:
            return [[_scalar(cell) for cell in row] for row in answer.tolist()]
    except (_Refused, LedcalcError, ValueError):
        pass
    return [
        [_single(function, given, dict(zip(spread, own, strict=True))) for own in zip(*rows, strict=True)]
        for rows in zip(*cells, strict=True)
    ]


def _single(function: CellFunction, given: dict[str, Any], cells: dict[CellArgument, Any]) -> Scalar:
    try:
        own = {argument.keyword: _cell(argument, cell) for argument, cell in cells.items()}
        return _scalar(function.function()(**{**given, **own}))
    except (_Refused, LedcalcError, ValueError) as problem:
        return f"{ERROR}{refusal(function, problem)}"
