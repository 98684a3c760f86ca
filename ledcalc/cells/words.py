"""What a cell says when a function refuses: its own names of arguments, blank for None, units in words."""

from __future__ import annotations

import re
from typing import Any

from ledcalc.cells.registry import CellArgument, CellFunction
from ledcalc.errors import CELL_ERROR, ArgumentError

__all__ = ["asked_for", "failed_before", "no_number", "refusal"]

UNIT_WORDS = {
    "m": "metres",
    "A": "amperes",
    "V": "volts",
    "W": "watts",
    "ohm": "ohms",
    "degC": "degrees Celsius",
    "h": "hours",
    "nm": "nanometres",
}
LONGEST_VALUE = 60
# How names within the library end; what is no argument of the function itself is told without it.
UNIT_ENDINGS = re.compile(r"_(k_per_w|v_per_k|umol_s|m3_per_h|w_per_k|fraction|count|ohm|kwh|nm|a|v|m|w|c|h)$")


def refusal(function: CellFunction, problem: Exception) -> str:
    """Return why a function refused, in a line: ``current_a is -1.0`` as ``current is -1``."""
    if not isinstance(problem, ArgumentError):
        return " ".join(str(problem).split())
    own = {argument.keyword: argument for argument in function.arguments}
    about = own.get(problem.argument)
    if about and problem.value is None:
        return asked_for(about)
    name = about.name if about else UNIT_ENDINGS.sub("", problem.argument).replace("_", " ")
    allowed = re.sub(r"\bNone\b", "a blank", problem.allowed)
    # Words such as ``size`` and ``values`` are no Python's alone: they stay.
    spelled = {keyword: argument.name for keyword, argument in own.items() if "_" in keyword}
    allowed = re.sub(r"\b\w+\b", lambda word: spelled.get(word.group(), word.group()), allowed)
    hint = " (in Calc a blank cell arrives as 0)" if about and about.is_optional and problem.value in ("0", 0) else ""
    return " ".join(f"{name} is {_value(problem.value)}{hint}; allowed: {allowed}".split())


def asked_for(argument: CellArgument) -> str:
    """Return the words that ask for an argument that is blank and may not be."""
    facts = f"{argument.help}{', ' + argument.unit if argument.unit else ''}"
    return f"give {argument.name} ({facts}{'; one of ' + ', '.join(argument.choices) if argument.choices else ''})"


def failed_before(argument: CellArgument, value: object) -> str:
    """Return why an argument fails that comes from a cell whose own function failed; empty where it does not."""
    if not isinstance(value, str) or not value.startswith(CELL_ERROR):
        return ""
    return f"{argument.name} comes from a cell that failed: {value.removeprefix(CELL_ERROR)}"


def no_number(argument: CellArgument, value: object) -> str:
    """Return why a cell is no number, and what to type in its place."""
    said = f"{argument.name} is {_value(value)}, which is no number"
    if isinstance(value, bool) or str(value).startswith("#"):
        return said
    unit = UNIT_WORDS.get(argument.unit, argument.unit)
    return f"{said}; write a plain number{' in ' + unit if unit else ''}"


def _value(value: Any) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return format(value, ".12g")
    text = repr(value)
    return text if len(text) <= LONGEST_VALUE else f"{text[: LONGEST_VALUE - 4]} ..."
