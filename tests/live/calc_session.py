"""Runs in LibreOffice's Python, the add-in installed: works in the open example as its user does, and says what it saw.

Standard input: {"profile": URL, "book": path, "saved": path}; output: a JSON object.
"""

import contextlib
import json
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "cells"))
from calc_office import office


def cell(document, sheet, name):
    return document.Sheets.getByName(sheet).getCellRangeByName(name)


def formulas(document):
    """Return all that stands in the sheets of the user's own."""
    kept = {}
    for sheet in document.Sheets:
        if not sheet.Name.endswith("(result)"):
            cursor = sheet.createCursor()
            cursor.gotoEndOfUsedArea(False)
            last = cursor.getRangeAddress()
            kept[sheet.Name] = sheet.getCellRangeByPosition(0, 0, last.EndColumn, last.EndRow).getFormulaArray()
    return kept


def main():
    import uno
    import unohelper
    from com.sun.star.awt import XCallback
    from com.sun.star.beans import PropertyValue

    def words(**pairs):
        made = []
        for name, value in pairs.items():
            word = PropertyValue()
            word.Name, word.Value = name, value
            made.append(word)
        return tuple(made)

    asked = json.load(sys.stdin)
    process, context = office(asked["profile"])
    make = context.ServiceManager.createInstanceWithContext
    desktop = make("com.sun.star.frame.Desktop", context)
    dispatcher = make("com.sun.star.frame.DispatchHelper", context)
    document = desktop.loadComponentFromURL(uno.systemPathToFileUrl(asked["book"]), "_blank", 0, ())
    seen = {"seconds": []}

    class Clicked(unohelper.Base, XCallback):
        """Makes LibreOffice's own thread call the menu entry, as a click does."""

        def __init__(self):
            self.done = threading.Event()

        def notify(self, _):
            start = time.perf_counter()
            frame = document.getCurrentController().getFrame()
            dispatcher.executeDispatch(frame, "service:ledcalc.live.Recalculate?now", "", 0, ())
            seen["seconds"].append(time.perf_counter() - start)
            self.done.set()

    def recalculate():
        clicked = Clicked()
        make("com.sun.star.awt.AsyncCallback", context).addCallback(clicked, None)
        if not clicked.done.wait(120):
            raise SystemExit("the menu entry did not come back")

    own = document.Sheets
    own.insertNewByName("Mine", 0)
    cell(document, "Mine", "A1").setString("a note of mine")
    before = formulas(document)
    recalculate()
    seen["kept at first"] = formulas(document) == before
    seen["titles"] = list(own.ElementNames)
    seen["undo"] = list(document.UndoManager.getAllUndoActionTitles())

    cell(document, "Mine", "B1").setFormula("=COUNTA($'Verdict (result)'.A1:H60)")
    cell(document, "Mine", "C1:C2").setArrayFormula("=$'Verdict (result)'.A1:A2")
    cell(document, "Mine", "A1").setString("another note")
    before = formulas(document)
    recalculate()
    seen["kept at second"] = formulas(document) == before
    seen["titles again"] = list(own.ElementNames)
    seen["reads results"] = [cell(document, "Mine", "B1").Value, cell(document, "Mine", "C1").String]
    document.UndoManager.undo()
    seen["undone"] = cell(document, "Mine", "A1").String

    place = asked["setting"].split("!")
    cell(document, place[0], place[1]).setValue(asked["value"])
    recalculate()
    seen["verdict"] = [list(row) for row in cell(document, "Verdict (result)", "A1:D40").getDataArray()]
    recalculate()
    charts = cell(document, "Currents (result)", "A1").Spreadsheet.Charts
    seen["charts"] = charts.Count
    cell(document, "Heat (result)", "A1").Spreadsheet.Name = "how hot"
    recalculate()
    seen["titles renamed"] = list(own.ElementNames)
    document.storeToURL(
        uno.systemPathToFileUrl(asked["saved"]), words(FilterName="Calc MS Excel 2007 XML", Overwrite=True)
    )
    print(json.dumps(seen))
    document.close(True)
    with contextlib.suppress(Exception):  # the office closes the line before it answers
        desktop.terminate()
    process.wait(60)


if __name__ == "__main__":
    main()
