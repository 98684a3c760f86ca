"""Draws the input sheets of a workbook: forms and tables."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from textwrap import shorten
from typing import Any

from ledcalc.schema import Field, Sheet, Value, sheet
from ledcalc.units import convert
from ledcalc.workbook.about_sheets import FOOTER
from ledcalc.workbook.grid import coordinate
from ledcalc.workbook.looks import CHARACTERS_PER_WIDTH, Formats, lock, set_up_page
from ledcalc.workbook.results.columns import wrapped_lines
from ledcalc.workbook.texts import written_text

__all__ = ["Column", "add_form", "add_table", "columns_of", "limits_formula", "shown"]

TITLE_ROW, HELP_ROW, EXAMPLE_ROW, HEAD_ROW, UNIT_ROW = 0, 1, 2, 3, 4
LEAST_ROWS = 25
WIDEST = 46
LONGEST_MESSAGE, LONGEST_MESSAGE_TITLE = 255, 32
# Rows printed beyond the filled ones, and at least; columns beside the named ones for what variants change.
SPARE_ROWS_PRINTED, LEAST_ROWS_PRINTED = 5, 12
SPARE_VARIED, VARIED_WIDTH = 4, 26.0
LONGEST_EXAMPLE = 24
FORM_COLUMNS = (("Field", 27), ("Value", 24), ("Unit", 14), ("Allowed", 36), ("What it means", 60))
EXAMPLE_COLUMN, EXAMPLE_WIDTH = len(FORM_COLUMNS), 22
LINE_HEIGHT = 15
# Narrower than this in inches a page is never printed: A4 landscape less its margins; smaller letters tire the eye.
PAGE_WIDTH_IN, LEAST_SCALE = 10.69, 0.75
PIXELS_PER_INCH, PIXELS_PER_CHARACTER = 96.0, 7.0
USUAL_COLUMN_IN = 64 / PIXELS_PER_INCH


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A table's column: its header, the units to choose from, what may stand in it."""

    label: str
    units: tuple[str, ...]
    help: str
    field: Field | None = None


def columns_of(part: Sheet) -> list[Column]:
    """Return a table's columns as the schema has them."""
    return [Column(label=field.label, units=field.units, help=field.help, field=field) for field in part.fields]


def shown(field: Field, value: Value | None) -> Value | None:
    """Return a value in the first unit that the field may have."""
    if not field.units or not isinstance(value, int | float):
        return value
    return float(f"{convert(float(value), field.unit, field.units[0]):.12g}")


def add_form(book: Any, formats: Formats, part: Sheet, record: Mapping[str, Value | None]) -> None:
    """Add a sheet with a field a row; examples stand beside the fields where nothing is filled in at all."""
    page = _titled(book, formats, part)
    page.write_string(HELP_ROW, 0, part.help, formats.hint)
    for column, (label, width) in enumerate(FORM_COLUMNS):
        page.write_string(HEAD_ROW, column, label, formats.head)
        page.set_column(column, column, width)
    shows_examples = not any(value is not None for value in record.values())
    if shows_examples:
        page.write_string(HEAD_ROW, EXAMPLE_COLUMN, "Example", formats.head)
        page.set_column(EXAMPLE_COLUMN, EXAMPLE_COLUMN, EXAMPLE_WIDTH)
    for row, field in enumerate(part.fields, start=HEAD_ROW + 1):
        value = shown(field, record.get(field.name))
        _write_field(page, formats, row, field, value)
        if shows_examples and field.example:
            page.write_string(row, EXAMPLE_COLUMN, f"e.g. {field.example}", formats.example)
    page.freeze_panes(HEAD_ROW + 1, 1)
    page.set_selection(HEAD_ROW + 1, 1, HEAD_ROW + 1, 1)
    lock(page)
    set_up_page(page, footer=FOOTER, repeat_to_row=HEAD_ROW)


def _write_field(page: Any, formats: Formats, row: int, field: Field, value: Value | None) -> None:
    blank = f"; blank: {field.blank_means}" if field.blank_means else ""
    page.write_string(row, 0, _label(field), formats.text)
    _write_value(page, row, 1, value, formats.long_input)
    has_choice = len(field.units) > 1
    look = formats.unit_choice if has_choice else formats.unit
    page.write_string(row, 2, field.units[0] if field.units else "", look)
    page.write_string(row, 3, field.allowed + blank, formats.text)
    page.write_string(row, 4, field.help, formats.text)
    texts = (_label(field), str("" if value is None else value), "", field.allowed + blank, field.help)
    lines = [
        wrapped_lines(text, width * CHARACTERS_PER_WIDTH) for text, (_, width) in zip(texts, FORM_COLUMNS, strict=True)
    ]
    page.set_row(row, LINE_HEIGHT * max(lines))
    if has_choice:
        page.data_validation(row, 2, row, 2, {"validate": "list", "source": list(field.units)})
    _validate(page, field, (row, 1, row, 1), coordinate(row + 1, 2), f"$C${row + 1}")


def add_table(
    book: Any, formats: Formats, part: Sheet, columns: Sequence[Column], rows: Sequence[Sequence[Value | None]]
) -> None:
    """Add a sheet with a field a column; an example stands above the header where no row is filled in."""
    page = _titled(book, formats, part)
    count = max(LEAST_ROWS, len(rows) + 10)
    widths = [
        _width(_label_of(column), column.units, [row[number] for row in rows], _example(column) if not rows else "")
        for number, column in enumerate(columns)
    ]
    for number, column in enumerate(columns):
        page.set_column(number, number, widths[number], formats.free)
        _write_column(page, formats, number, column, [row[number] for row in rows] + [None] * (count - len(rows)))
        if not rows and _example(column):
            page.write_string(EXAMPLE_ROW, number, _example(column), formats.example)
    _name_table(page, part, columns, count)
    if part.key == "variants":
        widths += _prepare_varied(page, formats, len(columns), count)
    for row, height in ((TITLE_ROW, 22), (HELP_ROW, None), (EXAMPLE_ROW, None), (HEAD_ROW, 32)):
        page.set_row(row, height, formats.line)
    page.freeze_panes(UNIT_ROW + 1, 1)
    page.set_selection(UNIT_ROW + 1, 0, UNIT_ROW + 1, 0)
    lock(page)
    _set_up_print(page, formats, part, widths, len(rows))


def _write_column(page: Any, formats: Formats, number: int, column: Column, values: Sequence[Value | None]) -> None:
    page.write_string(HEAD_ROW, number, _label_of(column), formats.head)
    note = _message(column.field) if column.field else column.help
    page.write_comment(HEAD_ROW, number, note, {"author": "ledcalc", "x_scale": 2.2, "y_scale": 1 + len(note) / 220})
    has_choice = len(column.units) > 1
    look = formats.unit_choice if has_choice else formats.unit
    page.write_string(UNIT_ROW, number, column.units[0] if column.units else "", look)
    for row, value in enumerate(values, start=UNIT_ROW + 1):
        _write_value(page, row, number, value, formats.input_text if isinstance(value, str) else formats.input)
    if has_choice:
        page.data_validation(UNIT_ROW, number, UNIT_ROW, number, {"validate": "list", "source": list(column.units)})
    if column.field:
        area = (UNIT_ROW + 1, number, UNIT_ROW + len(values), number)
        unit_cell = f"{_letters(number)}${UNIT_ROW + 1}"
        _validate(page, column.field, area, coordinate(UNIT_ROW + 2, number + 1), unit_cell)


def _name_table(page: Any, part: Sheet, columns: Sequence[Column], count: int) -> None:
    """Name the rows to fill in, so that formulas of the user's read ``Cables[Size]``; units stand above the table."""
    options = {"name": part.title.replace(" ", "_"), "header_row": False, "autofilter": False, "style": None}
    named = [{"header": column.label} for column in columns]
    page.add_table(UNIT_ROW + 1, 0, UNIT_ROW + count, len(columns) - 1, {**options, "columns": named})


def _prepare_varied(page: Any, formats: Formats, first: int, count: int) -> list[float]:
    """Prepare columns whose headers are the user's, what the variants change; return their widths."""
    for number in range(first, first + SPARE_VARIED):
        page.set_column(number, number, VARIED_WIDTH, formats.free)
        for row in range(HEAD_ROW, UNIT_ROW + 1 + count):
            page.write_blank(row, number, None, formats.input)
    return [VARIED_WIDTH] * SPARE_VARIED


def _set_up_print(page: Any, formats: Formats, part: Sheet, widths: Sequence[float], filled: int) -> None:
    """Print the filled rows and a few more, on as many pages side by side as it takes to be read."""
    inches = [(width * PIXELS_PER_CHARACTER + 5) / PIXELS_PER_INCH for width in widths]
    first = inches[0] * LEAST_SCALE
    pages_wide = max(1, math.ceil((sum(inches) * LEAST_SCALE - first) / (PAGE_WIDTH_IN - first)))
    # Beside a column that is repeated on each page, the line of help would come out cut.
    page.write_string(HELP_ROW, 1 if pages_wide > 1 else 0, part.help, formats.hint)
    # It runs on over the columns beside a narrow table.
    help_in = len(part.help) * PIXELS_PER_CHARACTER / CHARACTERS_PER_WIDTH / PIXELS_PER_INCH
    while sum(inches) < help_in:
        inches.append(USUAL_COLUMN_IN)
    last = UNIT_ROW + max(LEAST_ROWS_PRINTED, filled + SPARE_ROWS_PRINTED)
    page.print_area(0, 0, last, len(inches) - 1)
    set_up_page(page, footer=FOOTER, repeat_to_row=UNIT_ROW, pages_wide=pages_wide)


def _titled(book: Any, formats: Formats, part: Sheet) -> Any:
    page = book.add_worksheet(part.title)
    page.write_string(TITLE_ROW, 0, part.title, formats.title)
    return page


def _example(column: Column) -> str:
    text = column.field.example if column.field else ""
    return f"e.g. {shorten(text, LONGEST_EXAMPLE, placeholder='...')}" if text else ""


def _label_of(column: Column) -> str:
    return _label(column.field) if column.field else column.label


def _label(field: Field) -> str:
    return f"{field.label}\N{NO-BREAK SPACE}*" if field.required else field.label


def _write_value(page: Any, row: int, column: int, value: Value | None, look: Any) -> None:
    if value is None:
        page.write_blank(row, column, None, look)
    elif isinstance(value, str):
        page.write_string(row, column, written_text(value), look)
    else:
        page.write_number(row, column, value, look)


def _width(label: str, units: Sequence[str], values: Sequence[Value | None], example: str) -> float:
    # A header may break at its spaces, over two lines.
    words = max((len(word) for word in label.split()), default=0)
    head = max(words, (len(label) + 1) // 2 + 1)
    texts = [f"{value:.10g}" if isinstance(value, float) else str(value) for value in values if value is not None]
    longest = max([head, *(len(unit) for unit in units), *(len(text) for text in texts), len(example), 8])
    return min(longest + 3, WIDEST)


def _validate(page: Any, field: Field, area: tuple[int, int, int, int], first: str, unit_cell: str) -> None:
    """Add the field's drop-down or limits, and its help as the message beside the cell."""
    rule: dict[str, Any] = {
        "validate": "any",
        "input_title": field.label[:LONGEST_MESSAGE_TITLE],
        "input_message": _message(field)[:LONGEST_MESSAGE],
    }
    if field.choices:
        rule |= {"validate": "list", "source": list(field.choices)}
        rule |= {"error_title": "Choose from the list", "error_message": field.allowed[:LONGEST_MESSAGE]}
    elif len(field.referred) == 1:
        # A warning only: the tag may be typed before its row is filled in.
        rule |= {"validate": "list", "source": _reference_range(field.referred[0]), "error_type": "information"}
        rule |= {
            "error_title": "Not there yet",
            "error_message": f"Fill in the row it refers to: {field.label.lower()}.",
        }
    elif field.kind in {"number", "whole"} and field.minimum and field.maximum:
        formula = limits_formula(field, first, unit_cell)
        if len(formula) <= LONGEST_MESSAGE:
            rule |= {"validate": "custom", "value": formula}
            rule |= {"error_title": "Out of range", "error_message": f"Allowed: {field.allowed}"[:LONGEST_MESSAGE]}
    page.data_validation(*area, rule)


def _message(field: Field) -> str:
    blank = f" Blank: {field.blank_means}." if field.blank_means else ""
    return f"{field.help} Allowed: {field.allowed}.{blank}"


def limits_formula(field: Field, first: str, unit_cell: str) -> str:
    """Return the limits in the unit chosen; text passes, for ``18 in`` is understood on reading."""
    low, high = field.minimum, field.maximum
    assert low is not None
    assert high is not None
    lower = _in_chosen_unit(field, low.value, unit_cell)
    upper = _in_chosen_unit(field, high.value, unit_cell)
    above, below = ">" if low.is_open else ">=", "<" if high.is_open else "<="
    return f"=OR(ISTEXT({first}),AND({first}{above}{lower},{first}{below}{upper}))"


def _in_chosen_unit(field: Field, value: float, unit_cell: str) -> str:
    if len(field.units) < 2:
        return f"{convert(value, field.unit, field.units[0]) if field.units else value:.9g}"
    *others, last = field.units
    text = f"{convert(value, field.unit, last):.6g}"
    for name in reversed(others):
        text = f'IF({unit_cell}="{name}",{convert(value, field.unit, name):.6g},{text})'
    return text


def _reference_range(refers_to: str) -> str:
    key, name = refers_to.split(".")
    part = sheet(key)
    letters = _letters([field.name for field in part.fields].index(name))
    return f"='{part.title}'!${letters}${UNIT_ROW + 2}:${letters}${UNIT_ROW + 1 + 200}"


def _letters(column: int) -> str:
    return coordinate(1, column + 1)[:-1]
