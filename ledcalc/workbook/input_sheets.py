"""Draws the input sheets of a workbook: forms, tables, and the sheet that says how to fill them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledcalc.schema import Field, Sheet, Value, sheet, sheets
from ledcalc.units import convert
from ledcalc.workbook.grid import coordinate
from ledcalc.workbook.looks import Formats, set_up_page

__all__ = ["Column", "add_about", "add_form", "add_table", "columns_of", "limits_formula", "shown"]

TITLE_ROW, HELP_ROW, HEAD_ROW, UNIT_ROW = 0, 1, 3, 4
LEAST_ROWS = 25
WIDEST = 46
LONGEST_MESSAGE, LONGEST_MESSAGE_TITLE = 255, 32
FOOTER = "ledcalc inputs"
ABOUT = (
    (
        "What this is",
        "Inputs for a multi-board LED plant light. Fill the sheets in, save, and recalculate with ledcalc; "
        "results go to a workbook of their own.",
    ),
    (
        "How to fill it",
        "Sheet by sheet, left to right. Cream cells are yours; a star marks what must be filled. A blank cell "
        "takes its usual value, and the results list it.",
    ),
    (
        "Units",
        "Each number has a unit beside or above it; choose another from its list, or type one with the number: 18 in.",
    ),
    ("Rows", "Leave rows out or add more below: headers are found by name, in any order."),
    (
        "Cautions",
        "Mains and DC above touch limits can kill, heat sinks burn, bright light harms eyes. ledcalc advises: "
        "it replaces neither your local electrical code nor a licensed electrician. Its figures are predictions "
        "until measured.",
    ),
)


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


def add_about(book: Any, formats: Formats) -> None:
    """Add the first sheet: what the workbook is, how to fill it, the legend, the cautions."""
    page = book.add_worksheet("About")
    page.set_column(0, 0, 20)
    page.set_column(1, 1, 100)
    page.write_string(TITLE_ROW, 0, "LED plant light: inputs", formats.title)
    row = 2
    for word, text in ABOUT:
        page.write_string(row, 0, word, formats.get(bold=True))
        page.write_string(row, 1, text, formats.line)
        page.set_row(row, 15 * (1 + len(text) // 125))
        row += 1
    row += 1
    for word, look, text in (
        ("Legend", formats.input, "a cell to fill in"),
        ("", formats.head, "a field's name; * must be filled"),
        ("", formats.unit, "a unit, to be chosen from its list"),
    ):
        page.write_string(row, 0, word, formats.get(bold=True))
        page.write_string(row, 1, text, look)
        row += 1
    row += 1
    for part in sheets():
        page.write_url(row, 0, f"internal:'{part.title}'!A1", formats.get(underline=1), part.title)
        page.write_string(row, 1, part.help, formats.line)
        page.set_row(row, 15 * (1 + len(part.help) // 125))
        row += 1
    set_up_page(page, footer=FOOTER)


def add_form(book: Any, formats: Formats, part: Sheet, record: Mapping[str, Value | None]) -> None:
    """Add a sheet with a field a row."""
    page = _titled(book, formats, part)
    widths = (27, 26, 16, 34, 66)
    for column, (label, width) in enumerate(
        zip(("Field", "Value", "Unit", "Allowed", "What it means"), widths, strict=True)
    ):
        page.write_string(HEAD_ROW, column, label, formats.head)
        page.set_column(column, column, width)
    for row, field in enumerate(part.fields, start=HEAD_ROW + 1):
        page.write_string(row, 0, _label(field), formats.text)
        _write_value(page, row, 1, shown(field, record.get(field.name)), formats.long_input)
        page.write_string(row, 2, field.units[0] if field.units else "", formats.unit)
        blank = f"; blank: {field.blank_means}" if field.blank_means else ""
        page.write_string(row, 3, field.allowed + blank, formats.text)
        page.write_string(row, 4, field.help, formats.text)
        page.set_row(
            row,
            15
            * max(
                1 + len(field.help) // 72,
                1 + len(field.allowed + blank) // 36,
                1 + len(str(record.get(field.name) or "")) // 26,
            ),
        )
        if len(field.units) > 1:
            page.data_validation(row, 2, row, 2, {"validate": "list", "source": list(field.units)})
        unit_cell = f"$C${row + 1}"
        _validate(page, field, (row, 1, row, 1), coordinate(row + 1, 2), unit_cell)
    page.freeze_panes(HEAD_ROW + 1, 1)
    set_up_page(page, footer=FOOTER, repeat_to_row=HEAD_ROW)


def add_table(
    book: Any, formats: Formats, part: Sheet, columns: Sequence[Column], rows: Sequence[Sequence[Value | None]]
) -> None:
    """Add a sheet with a field a column."""
    page = _titled(book, formats, part)
    count = max(LEAST_ROWS, len(rows) + 10)
    for number, column in enumerate(columns):
        values = [row[number] for row in rows]
        label = _label(column.field) if column.field else column.label
        page.write_string(HEAD_ROW, number, label, formats.head)
        page.write_string(UNIT_ROW, number, column.units[0] if column.units else "", formats.unit)
        page.set_column(number, number, _width(label, column.units, values))
        for offset in range(count):
            value = values[offset] if offset < len(values) else None
            look = formats.input_text if isinstance(value, str) else formats.input
            _write_value(page, UNIT_ROW + 1 + offset, number, value, look)
        if len(column.units) > 1:
            page.data_validation(UNIT_ROW, number, UNIT_ROW, number, {"validate": "list", "source": list(column.units)})
        if column.field:
            area = (UNIT_ROW + 1, number, UNIT_ROW + count, number)
            _validate(
                page, column.field, area, coordinate(UNIT_ROW + 2, number + 1), f"{_letters(number)}${UNIT_ROW + 1}"
            )
    page.set_row(HEAD_ROW, 32)
    page.freeze_panes(UNIT_ROW + 1, 1)
    set_up_page(page, footer=FOOTER, repeat_to_row=UNIT_ROW)


def _titled(book: Any, formats: Formats, part: Sheet) -> Any:
    page = book.add_worksheet(part.title)
    page.write_string(TITLE_ROW, 0, part.title, formats.title)
    page.write_string(HELP_ROW, 0, part.help, formats.hint)
    return page


def _label(field: Field) -> str:
    return f"{field.label}\N{NO-BREAK SPACE}*" if field.required else field.label


def _write_value(page: Any, row: int, column: int, value: Value | None, look: Any) -> None:
    if value is None:
        page.write_blank(row, column, None, look)
    elif isinstance(value, str):
        page.write_string(row, column, value, look)
    else:
        page.write_number(row, column, value, look)


def _width(label: str, units: Sequence[str], values: Sequence[Value | None]) -> float:
    # A header may break at its spaces, over two lines.
    words = max((len(word) for word in label.split()), default=0)
    head = max(words, (len(label) + 1) // 2 + 1)
    texts = [f"{value:.10g}" if isinstance(value, float) else str(value) for value in values if value is not None]
    longest = max([head, *(len(unit) for unit in units), *(len(text) for text in texts), 8])
    return min(longest + 3, WIDEST)


def _validate(page: Any, field: Field, area: tuple[int, int, int, int], first: str, unit_cell: str) -> None:
    """Add the field's drop-down or limits, and its help as the message beside the cell."""
    blank = f" Blank: {field.blank_means}." if field.blank_means else ""
    message = f"{field.help} Allowed: {field.allowed}.{blank}"[:LONGEST_MESSAGE]
    rule: dict[str, Any] = {
        "validate": "any",
        "input_title": field.label[:LONGEST_MESSAGE_TITLE],
        "input_message": message,
    }
    if field.choices:
        rule |= {"validate": "list", "source": list(field.choices)}
        rule |= {"error_title": "Choose from the list", "error_message": field.allowed[:LONGEST_MESSAGE]}
    elif field.refers_to and "." in field.refers_to:
        # A warning only: the tag may be typed before its row is filled in.
        rule |= {"validate": "list", "source": _reference_range(field.refers_to), "error_type": "information"}
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
