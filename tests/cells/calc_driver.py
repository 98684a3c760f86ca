"""Runs in LibreOffice's Python: puts formulas of the add-in into a hidden sheet and prints what the cells show.

Standard input: {"profile": URL, "cases": [[name, arguments], ...]}; output: a JSON list, rows of cells a case.
"""

import contextlib
import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from calc_office import office


def written(value):
    if isinstance(value, list):
        return "{" + "|".join(".".join(written(cell) for cell in row) for row in value) + "}"
    return '"' + value + '"' if isinstance(value, str) else repr(value)


def formula(sheet, row, name, arguments):
    """Write ranges into cells of their own, far to the right, and return the formula that refers to them."""
    column, parts = 20, []
    for value in arguments:
        if isinstance(value, list):
            area = sheet.getCellRangeByPosition(column, row, column + len(value[0]) - 1, row + len(value) - 1)
            area.setDataArray(tuple(tuple(cell) for cell in value))
            parts.append(
                area.AbsoluteName.split(".")[-1].replace("$", "") if "." in area.AbsoluteName else area.AbsoluteName
            )
            column += len(value[0]) + 1
        else:
            parts.append("" if value is None else written(value))
    return f"={name}({';'.join(parts)})"


def main():
    import uno  # noqa: F401 (it is what makes the next line work)
    from com.sun.star.beans import PropertyValue

    asked = json.load(sys.stdin)
    process, context = office(asked["profile"])
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    hidden = PropertyValue()
    hidden.Name, hidden.Value = "Hidden", True
    book = desktop.loadComponentFromURL("private:factory/scalc", "_blank", 0, (hidden,))
    sheet, shown = book.Sheets[0], []
    for number, (name, arguments) in enumerate(asked["cases"]):
        row = number * 12
        area = sheet.getCellRangeByPosition(0, row, 3, row + 9)
        area.setArrayFormula(formula(sheet, row, name, arguments))
        shown.append([list(cells) for cells in area.getDataArray()])
    print(json.dumps(shown))
    book.close(True)
    with contextlib.suppress(Exception):  # the office closes the line before it answers
        desktop.terminate()
    process.wait(60)


if __name__ == "__main__":
    main()
