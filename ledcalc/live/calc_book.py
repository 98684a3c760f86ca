"""A workbook that is open in LibreOffice Calc, read and written in bulk through UNO.

This file runs in LibreOffice's own Python and is packed into the add-in as it stands: it may import nothing of ledcalc.
"""

import datetime

from com.sun.star.beans import PropertyValue

# com.sun.star.sheet.CellFlags.FORMULA, com.sun.star.sheet.FormulaResult.ERROR, com.sun.star.util.NumberFormat.DATE and
# PERCENT.
FORMULAS, ERRORS, DATE, PERCENT = 16, 4, 2, 128
MOST_COLUMNS, MOST_ROWS = 256, 300_000


class CalcBook:
    """An open spreadsheet document; ``own_name`` marks result sheets, ``title_mark`` ends their titles."""

    def __init__(self, document, desktop, own_name, title_mark):
        self.document, self.desktop, self.own_name, self.title_mark = document, desktop, own_name, title_mark

    def read(self):
        """Return the cells of all sheets but earlier result sheets, and what those are called."""
        url = self.document.getURL()
        name = url.rsplit("/", 1)[-1] or self.document.Title
        titles = {}
        for sheet in self._result_sheets():
            page = self._page(sheet)
            # Of a sheet and its copies, the sheet.
            if page and (page not in titles or sheet.Name == page + self.title_mark):
                titles[page] = sheet.Name
        return {"name": name, "titles": titles, "sheets": [self._found(sheet) for sheet in self._own_sheets()]}

    def show(self, answer):
        """Put result sheets in place of earlier ones, outside the list of what can be undone."""
        if not answer["file"]:
            return
        if self.document.isProtected():
            raise RuntimeError("the workbook's structure is protected against new sheets; take the protection off")
        given = self.desktop.loadComponentFromURL(_url(answer["file"]), "_blank", 0, (_property("Hidden", True),))
        undo = self.document.getUndoManager()
        undo.lock()
        self.document.lockControllers()
        self.document.addActionLock()
        try:
            self._swap(given, undo)
        finally:
            self.document.removeActionLock()
            self.document.unlockControllers()
            undo.unlock()
            given.close(True)

    def _swap(self, given, undo):
        sheets = self.document.getSheets()
        readers = [(area, text) for sheet in self._own_sheets() for area, text in self._reading_results(sheet)]
        shown = self._shown_title()
        places = {title: place for place, title in enumerate(sheets.getElementNames())}
        for sheet in self._result_sheets():
            sheets.removeByName(sheet.Name)
            _lock_again(undo)
        for title in given.getSheets().getElementNames():
            place = min(places.get(title, sheets.getCount()), sheets.getCount())
            sheets.importSheet(given, title, place)
            _lock_again(undo)
        for area, text in readers:
            _write_formula(area, text)
        self.document.calculate()
        self._go_to(shown)

    def _shown_title(self):
        controller = self.document.getCurrentController()
        return controller.getActiveSheet().Name if controller is not None else ""

    def _go_to(self, title):
        controller = self.document.getCurrentController()
        if controller is not None and self.document.getSheets().hasByName(title):
            controller.setActiveSheet(self.document.getSheets().getByName(title))

    def _is_result(self, sheet):
        return sheet.NamedRanges.hasByName(self.own_name) or sheet.Name.endswith(self.title_mark)

    def _page(self, sheet):
        """Return the title of the page that a result sheet shows: as package.own_title, whose words it follows."""
        if sheet.NamedRanges.hasByName(self.own_name):
            text = sheet.NamedRanges.getByName(self.own_name).Content.strip().lstrip("=")
            if len(text) > 1 and text[0] == text[-1] == '"':
                return text[1:-1].replace('""', '"')
        return sheet.Name[: -len(self.title_mark)] if sheet.Name.endswith(self.title_mark) else ""

    def _own_sheets(self):
        return [sheet for sheet in self._sheets() if not self._is_result(sheet)]

    def _result_sheets(self):
        return [sheet for sheet in self._sheets() if self._is_result(sheet)]

    def _sheets(self):
        sheets = self.document.getSheets()
        return [sheets.getByIndex(number) for number in range(sheets.getCount())]

    def _found(self, sheet):
        area = _filled(sheet)
        values = [[value if value != "" else None for value in row] for row in area.getDataArray()]
        percentages = []
        for cells, kind in self._formats(area):
            if kind & PERCENT:
                percentages += [_corners(address) for address in cells.getRangeAddresses()]
            elif kind & DATE:
                for address in cells.getRangeAddresses():
                    self._date(values, address)
        errors = [_corners(address) for address in area.queryFormulaCells(ERRORS).getRangeAddresses()]
        for top, left, bottom, right in errors:
            for row in range(top, bottom + 1):
                for column in range(left, right + 1):
                    values[row][column] = area.getCellByPosition(column, row).String
        formulas = [
            (top + row, left + column, text)
            for top, left, texts in _formulas(area)
            for row, line in enumerate(texts)
            for column, text in enumerate(line)
        ]
        return {
            "title": sheet.Name,
            "values": values,
            "formulas": formulas,
            "errors": errors,
            "percentages": percentages,
        }

    def _formats(self, area):
        """Return (cells, kind of number format) for every look that cells of an area have."""
        looks = area.getUniqueCellFormatRanges()
        formats = self.document.NumberFormats
        for number in range(looks.getCount()):
            cells = looks.getByIndex(number)
            yield cells, formats.getByKey(cells.NumberFormat).Type

    def _date(self, values, address):
        """Put dates where the document counts days."""
        first = self.document.NullDate
        origin = datetime.datetime(first.Year, first.Month, first.Day)
        for row in range(address.StartRow, address.EndRow + 1):
            for column in range(address.StartColumn, address.EndColumn + 1):
                days = values[row][column]
                if isinstance(days, float):
                    moment = origin + datetime.timedelta(days=days)
                    values[row][column] = moment.date().isoformat() if days == int(days) else moment.isoformat()

    def _reading_results(self, sheet):
        """Return (cell, formula) for every formula that reads a result sheet."""
        titles = [result.Name.replace("'", "''") for result in self._result_sheets()]
        area = _filled(sheet)
        return [
            (area.getCellByPosition(left + column, top + row), text)
            for top, left, texts in _formulas(area)
            for row, line in enumerate(texts)
            for column, text in enumerate(line)
            if any(title in text for title in titles)
        ]


def _lock_again(undo):
    """Lock the list of what can be undone anew: swapping sheets unlocks it behind its own count."""
    undo.unlock()
    undo.lock()


def _filled(sheet):
    """Return the cells from A1 to the last filled one."""
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    last = cursor.getRangeAddress()
    if last.EndRow >= MOST_ROWS:
        raise RuntimeError(f"sheet {sheet.Name!r} has more than {MOST_ROWS:,} rows; delete those at its end")
    return sheet.getCellRangeByPosition(0, 0, min(last.EndColumn, MOST_COLUMNS - 1), last.EndRow)


def _formulas(area):
    """Return (row, column, rows of texts) for every block of formulas."""
    found = area.queryContentCells(FORMULAS)
    blocks = [found.getByIndex(number) for number in range(found.getCount())]
    return [(block.RangeAddress.StartRow, block.RangeAddress.StartColumn, block.getFormulaArray()) for block in blocks]


def _write_formula(cell, text):
    """Write a formula into a cell again; one over several cells is written over them all."""
    if not text.startswith("{"):
        cell.setFormula(text)
        return
    sheet = cell.getSpreadsheet()
    cursor = sheet.createCursorByRange(cell)
    cursor.collapseToCurrentArray()
    cursor.setArrayFormula(text.strip("{}"))


def _corners(address):
    return (address.StartRow, address.StartColumn, address.EndRow, address.EndColumn)


def _property(name, value):
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def _url(path):
    import uno

    return uno.systemPathToFileUrl(path)
