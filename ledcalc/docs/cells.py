"""The page of cell functions, from their registry; examples are worked out as the page is made."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO
from itertools import groupby
from pathlib import Path
from typing import Any

from ledcalc.cells import CellArgument, CellFunction, call_cell, cell_functions

__all__ = ["cells_page", "examples", "formula_answer", "formula_arguments"]

HEAD = """# Functions for a spreadsheet's cells

Made from the registry. The same functions as in Python, to the last digit, in LibreOffice Calc and in Excel. What
cannot be worked out is a text that begins with `LC error:` and says why; no figure that is none passes for one.

- **LibreOffice Calc**: `ledcalc cells --into-libreoffice` puts them in, `--out-of-libreoffice` takes them out again.
  The function wizard shows each argument's help. Start LibreOffice from the desktop, or from a terminal in which no
  virtual environment is activated: its own Python trips over another one.
- **Excel**, through xlwings' add-in: name the module `ledcalc.cells.excel` under "UDF Modules" and import its
  functions. **Excel itself was not tried**: this door is tested against xlwings' own code with the Windows parts
  stood in for.

Between arguments stands a comma or a semicolon, as your spreadsheet is set. An argument in square brackets may be left
out; what a blank means stands beside it. Where a range is given for one cell's argument, the answer is a range of the
same size: enter it as an array formula.

> **In Calc a single blank cell arrives as 0**, not as blank: the spreadsheet says no difference. Leave an argument out,
> or refer to cells that are filled, where 0 is not what you mean. A blank cell within a range stays blank.

> **Errors come as text.** `ISERROR` and `IFERROR` do not catch them, and `SUM` skips text: check the column for
> `LC error:` before its sum is used, with `COUNTIF(A1:A20; "LC error*")` or `ISTEXT`.

> **After the functions are taken out**, cells keep their last values until they are recalculated; then they show an
> error of the spreadsheet's.
"""
EXAMPLES = Path(__file__).parent / "cell_examples.csv"
# Where no example is written yet: a cell, or a range, for each argument that must be given.
RANGES = {"numbers": "2:{0}9", "table": "2:{1}9"}


def cells_page() -> str:
    """Return the whole page."""
    lines = [HEAD]
    functions = cell_functions()
    for trade, group in groupby(sorted(functions, key=lambda entry: _trades().index(entry.trade)), _trade):
        lines += [f"## {trade.capitalize()}", ""]
        for function in group:
            lines += [*_entry(function), ""]
    return "\n".join(lines)


def _trade(function: CellFunction) -> str:
    return function.trade


def _trades() -> list[str]:
    return list(dict.fromkeys(function.trade for function in cell_functions()))


def _entry(function: CellFunction) -> Iterator[str]:
    yield from (
        f"### {function.name}",
        "",
        f"{function.description}.",
        "",
        f"`{function.name}({', '.join(argument.bracketed for argument in function.arguments)})`",
        "",
    )
    yield from ("| Argument | Unit | Blank means | What it is |", "|---|---|---|---|")
    for argument in function.arguments:
        yield f"| {argument.name} | {argument.unit} | {argument.blank_means or 'must be given'} | {_what(argument)} |"
    formula = examples().get(function.name)
    yield ""
    yield f"`{formula}` gives {_shown(formula_answer(formula))}" if formula else f"`{_by_cells(function)}`"


def _what(argument: CellArgument) -> str:
    choices = f": {', '.join(argument.choices)}" if argument.choices else ""
    return f"{argument.help}{choices}".replace("|", "/")


def examples() -> dict[str, str]:
    """Return function -> a formula with figures in it, as it is typed with commas."""
    rows = csv.DictReader(StringIO(EXAMPLES.read_text(encoding="utf-8")))
    return {row["function"]: row["formula"] for row in rows}


def _by_cells(function: CellFunction) -> str:
    needed = [argument for argument in function.arguments if not argument.is_optional]
    columns = [chr(ord("A") + 3 * place) for place in range(len(needed))]
    cells = (
        column + RANGES.get(argument.kind, "2").format(column, chr(ord(column) + 2))
        for column, argument in zip(columns, needed, strict=True)
    )
    return f"={function.name}({', '.join(cells)})"


def formula_answer(formula: str) -> Any:
    """Return what a formula of one cell function and plain figures gives."""
    name, _, rest = formula.removeprefix("=").partition("(")
    return call_cell(name, formula_arguments(rest.removesuffix(")")))


def formula_arguments(text: str) -> list[Any]:
    """Return the arguments of a formula: numbers, quoted texts, and braces with rows apart by ; and cells by , in them.

    Examples
    --------
    >>> formula_arguments('2, "18 AWG", {0.1, 0.2; 0.3, 0.4}, , 5')
    [2.0, '18 AWG', [[0.1, 0.2], [0.3, 0.4]], None, 5.0]
    """
    parts, depth, quoted = [""], 0, False
    for letter in text:
        quoted ^= letter == '"'
        depth += 0 if quoted else (letter == "{") - (letter == "}")
        if letter == "," and not quoted and not depth:
            parts.append("")
        else:
            parts[-1] += letter
    return [_argument(part.strip()) for part in parts]


def _argument(text: str) -> Any:
    if text.startswith("{"):
        return [[_argument(cell.strip()) for cell in row.split(",")] for row in text.strip("{}").split(";")]
    if text.startswith('"'):
        return text.strip('"')
    return float(text) if text else None


def _shown(answer: Any) -> str:
    if isinstance(answer, list):
        return "; ".join(", ".join(_shown(cell) for cell in row) for row in answer)
    return answer if isinstance(answer, str) else format(answer, ".5g")
