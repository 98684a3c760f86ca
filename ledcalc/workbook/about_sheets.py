"""The sheets about a workbook: how to fill it, and where its builder notes what was changed."""

from __future__ import annotations

from typing import Any

from ledcalc.schema import SCHEMA_VERSION, sheets
from ledcalc.version import __version__
from ledcalc.workbook.grid import CHANGES
from ledcalc.workbook.looks import CHARACTERS_PER_WIDTH, Formats, lock, set_up_page
from ledcalc.workbook.results.columns import wrapped_lines

__all__ = ["FOOTER", "add_about", "add_changes"]

FOOTER = "ledcalc inputs"
ROWS_FOR_CHANGES = 60
ROWS_OF_CHANGES_PRINTED = 25
TEXT_WIDTH, LINE_HEIGHT = 100, 15
LINES = (
    (
        "What this is",
        "Inputs for a multi-board LED plant light. Fill the sheets in, save, and recalculate with ledcalc; "
        "results go to a workbook of their own.",
    ),
    (
        "How to fill it",
        "Sheet by sheet, left to right. Cream cells are yours; a star marks what must be filled. A blank cell "
        "takes its usual value, and the results list it on their Assumptions sheet.",
    ),
    (
        "By keyboard",
        "Tab goes from one cell to fill in to the next; Alt and the down arrow open a cell's list. Labels are locked "
        "without a password: take the protection off where it is in your way.",
    ),
    (
        "Units",
        "Each number has a unit beside or above it; choose another from its list, or type one with the number: 18 in.",
    ),
    ("Rows", "Leave rows out or add more below: headers are found by name, in any order."),
    (
        "Formulas",
        "A cell may hold a formula: its value as last saved is taken, and the results list it.",
    ),
    (
        "Cautions",
        "Mains and DC above touch limits can kill, heat sinks burn, bright light harms eyes. ledcalc advises: "
        "it replaces neither your local electrical code nor a licensed electrician. Its figures are predictions "
        "until measured.",
    ),
)


def add_about(book: Any, formats: Formats, values_sha256: str) -> None:
    """Add the first sheet: what the workbook is, how to fill it, the legend, the cautions, what it was made from.

    ``values_sha256``: of the values written into it; empty: none were
    """
    page = book.add_worksheet("About")
    page.set_column(0, 0, 20)
    page.set_column(1, 1, TEXT_WIDTH)
    page.write_string(0, 0, "LED plant light: inputs", formats.title)
    row = 2
    for word, text in LINES:
        row = _line(page, formats, row, word, text)
    row += 1
    legend = (
        ("Legend", formats.input, "a cell to fill in: framed, cream, not locked"),
        ("", formats.head, "a field's name; * must be filled; its note says what it means"),
        ("", formats.unit, "a unit, to be chosen from its list"),
        ("", formats.example, "e.g. an invented example in a blank workbook, not read: type into the cream cell"),
    )
    for word, look, text in legend:
        page.write_string(row, 0, word, formats.get(bold=True))
        page.write_string(row, 1, text, look)
        row += 1
    row += 1
    for part in sheets():
        row = _link(page, formats, row, part.title, part.help)
    row = 1 + _link(page, formats, row, CHANGES, "Your own log of what was changed and why; not read.")
    values = f"SHA-256 {values_sha256} of the values as ledcalc wrote them" if values_sha256 else "none written: blank"
    row = _line(page, formats, row, "Made by", f"ledcalc {__version__}, input schema {SCHEMA_VERSION}")
    row = _line(
        page, formats, row, "Values", f"{values}. Results name the SHA-256 of the file they were worked out from."
    )
    lock(page)
    set_up_page(page, footer=FOOTER, pages_high=1)


def add_changes(book: Any, formats: Formats) -> None:
    """Add the last sheet: a log of changes, for people only."""
    page = book.add_worksheet(CHANGES)
    page.write_string(0, 0, CHANGES, formats.title)
    page.write_string(
        1,
        0,
        "Your own log, a line a change; ledcalc does not read it, and a workbook that ledcalc makes starts a new one.",
        formats.hint,
    )
    heads = (("Date", 14), ("What was changed", 60), ("Why", 50), ("Results kept as", 30))
    for column, (label, width) in enumerate(heads):
        page.set_column(column, column, width, formats.free)
        page.write_string(3, column, label, formats.head)
        for row in range(4, 4 + ROWS_FOR_CHANGES):
            page.write_blank(row, column, None, formats.input_date if column == 0 else formats.long_input)
    for row in range(4):
        page.set_row(row, None, formats.line)
    page.add_table(
        4,
        0,
        3 + ROWS_FOR_CHANGES,
        len(heads) - 1,
        {
            "name": CHANGES,
            "header_row": False,
            "autofilter": False,
            "style": None,
            "columns": [{"header": label} for label, _ in heads],
        },
    )
    page.freeze_panes(4, 0)
    page.set_selection(4, 0, 4, 0)
    page.print_area(0, 0, 3 + ROWS_OF_CHANGES_PRINTED, len(heads) - 1)
    lock(page)
    set_up_page(page, footer=FOOTER, repeat_to_row=3)


def _line(page: Any, formats: Formats, row: int, word: str, text: str) -> int:
    page.write_string(row, 0, word, formats.get(bold=True))
    page.write_string(row, 1, text, formats.line)
    page.set_row(row, LINE_HEIGHT * wrapped_lines(text, TEXT_WIDTH * CHARACTERS_PER_WIDTH))
    return row + 1


def _link(page: Any, formats: Formats, row: int, title: str, text: str) -> int:
    page.write_url(row, 0, f"internal:'{title}'!A1", formats.get(underline=1), title)
    page.write_string(row, 1, text, formats.line)
    page.set_row(row, LINE_HEIGHT * wrapped_lines(text, TEXT_WIDTH * CHARACTERS_PER_WIDTH))
    return row + 1
