"""Runs in LibreOffice's Python: puts formulas of the add-in into a hidden sheet and prints what the cells show.

Standard input: {"profile": URL, "cases": [[name, arguments], ...]}; output: a JSON list, rows of cells a case.
"""

import contextlib
import json
import os
import subprocess
import sys
import time
import uuid


def office(profile):
    import uno
    from com.sun.star.connection import NoConnectException

    pipe = "lc" + uuid.uuid4().hex
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    words = ["soffice", "--headless", "--norestore", f"--accept=pipe,name={pipe};urp"]
    process = subprocess.Popen([*words, f"-env:UserInstallation={profile}"], env=clean, stderr=subprocess.DEVNULL)
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return process, context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        except NoConnectException:
            time.sleep(0.25)
    raise SystemExit("LibreOffice did not answer")


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
    process, desktop = office(asked["profile"])
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
