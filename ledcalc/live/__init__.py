"""Recalculation of the workbook that is open in a spreadsheet: LibreOffice Calc through its own bridge, Excel through
xlwings."""

from ledcalc.live.exchange import Answer, FoundBook, FoundSheet, OpenBook, answer_for, recalculate_open

__all__ = ["Answer", "FoundBook", "FoundSheet", "OpenBook", "answer_for", "recalculate_open"]
