"""The cell functions for Excel through xlwings: name this module under "UDF Modules" and import its functions.

Made from the registry when the module loads. Not tried in Excel itself: tested against xlwings' own code with the
Windows modules stood in for.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import xlwings

from ledcalc.cells.calling import CellAnswer, call_cell
from ledcalc.cells.registry import CellFunction, cell_functions

__all__ = [function.name for function in cell_functions()]

CATEGORY = "ledcalc"


def _for_excel(function: CellFunction) -> Callable[..., CellAnswer]:
    """Return a function with the name, arguments and help that Excel shows."""

    def called(*arguments: Any) -> CellAnswer:
        return call_cell(function.name, arguments)

    called.__name__ = called.__qualname__ = function.name
    called.__doc__ = function.description
    called.__annotations__ = {}
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    required, left_out = inspect.Parameter.empty, None
    called.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
        [
            inspect.Parameter(argument.name, kind, default=left_out if argument.is_optional else required)
            for argument in function.arguments
        ]
    )
    made: Callable[..., CellAnswer] = xlwings.func(category=CATEGORY)(called)
    for argument in function.arguments:
        # Ranges as rows whatever their shape; an error cell as its text, or it would pass for a blank one.
        made = xlwings.arg(argument.name, ndim=2, err_to_str=True, doc=argument.description)(made)
    return made


globals().update({function.name: _for_excel(function) for function in cell_functions()})
