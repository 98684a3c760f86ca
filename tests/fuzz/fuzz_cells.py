"""Mutations of what stands in cells: values, types, units, headers, formulas, rows and columns.

Each takes a random generator and the sheets, and changes these. Those in ``NEUTRAL`` say the same thing in another
form: what is read must stay the same.
"""

from xml.sax.saxutils import escape

from fuzz_books import DATE, PERCENT, Cell

from ledcalc.schema import sheets
from ledcalc.units import UNITS
from ledcalc.workbook.grid import coordinate

LONG = 40_000
TEXTS = [
    " ", "NaN", "nan", "inf", "-inf", "1e999", "1e-999", "1e308", "-0", "0", "1", "-1", "1,5", "1.234,5", "1 000",
    "12 V", "18 in", "18in", "100 %", "5e", "0x10", "١٢", "½", "²", "1" * 5000, "9" * 400, "1e" + "9" * 50,
    "1 " + " " * LONG + "x", "(" * LONG, " [" * LONG, "x" * 32_767, "x" * 32_768, "x y " * LONG, "Size (" + " " * LONG,
    "_x0001_", "\x7f\x85\x9f", "\ufffe", "\uffff", "\U0001fffe", "\u202eabc", "\u200b", "\ud7ff", "e\u0301" * 900,
    "=1+1", "=HYPERLINK(\"http://example.invalid\")", "+1+1", "-cmd", "@SUM(A1)", "\t=1", "\r=1", "'=1", "{=1}",
    "<b>&\"'", "]]>", "&#0;", "%s %d {0} {x}", "2026-02-30", "2026-01-31", "0000-01-01", "9999-12-31", "yes", "no",
    "TRUE", "B1", "B1;B2", "B1; B1", "B1-B8", "B999999999", "driver +", "driver -", "1 to 5 by 0", "1 to 2 by -1",
    "0 to 1e300 by 1e-300", "1 to 1e18 by 1", "0 to 1 by 1e-9", "nan to nan by nan", "1 to 3 by 1 stone", "1; 2; 3",
    ";", "; ;", "to by", " to " * LONG, "a to b by " * 4000, "1 to " * LONG, "C:\\x", "..\\..",
    "http://example.invalid",
    "a\nb", "#DIV/0!", "#N/A", "n/a", "18 AWG", "0 AWG", "99999 AWG", "1.5 mm2", "-1.5 mm2", "1e9 mm2", "4/0 AWG", "🌱",
]  # fmt: skip
NUMBERS = ["0", "-0", "-1", "1", "0.5", "1e308", "-1e308", "1e-308", "5e-324", "1E+999", "-1E+999", "NaN", "INF",
           "1e15", "9" * 30, "9" * 400, "9" * 5000, "1_000", "0x1F", "", " ", "1.5.5", "2147483648",
           "1e5", "12", "3.7"]  # fmt: skip
FACTORS = [0.5, 0.9, 0.99, 1.01, 1.1, 2.0, 10.0, 100.0, 1e3, 1e6, 1e-3, 1e-6, 0.0, -1.0]
KINDS = ["n", "s", "str", "inlineStr", "b", "e", "d", "z", ""]


def literal(text):
    """A text that a CSV file has as it is, and a workbook as a cell of text."""
    return Cell(f'<is><t xml:space="preserve">{escape(text)}</t></is>', kind="inlineStr", text=text)


def _sheet(rng, book):
    return rng.choice(list(book.rows))


def _place(rng, book):
    """A place within a sheet's rows, the header mostly spared."""
    key = _sheet(rng, book)
    rows = book.rows[key]
    number = rng.randrange(len(rows)) if rng.random() < 0.15 else rng.randrange(min(1, len(rows) - 1), len(rows))
    row = rows[number]
    row.extend([None] * (len(rows[0]) - len(row)))
    return key, number, rng.randrange(max(1, len(row)))


def _put(rng, book, value):
    key, number, column = _place(rng, book)
    row = book.rows[key][number]
    row.extend([None] * (column + 1 - len(row)))
    row[column] = value


def odd_text(rng, book):
    _put(rng, book, literal(rng.choice(TEXTS)))


def odd_number(rng, book):
    text = rng.choice(NUMBERS)
    _put(rng, book, Cell(f"<v>{text}</v>", text=text, style=rng.choice([0, 0, PERCENT, DATE, 77, -1])))


def odd_kind(rng, book):
    inside = rng.choice(["<v>1</v>", "<v>999999</v>", "<v></v>", "<v/>", "", "<is/>", "<v>x</v>", "<v>-1</v>"])
    _put(rng, book, Cell(inside, kind=rng.choice(KINDS), text="1"))


def error_cell(rng, book):
    text = rng.choice(["#DIV/0!", "#N/A", "#REF!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!", "#SPILL!"])
    _put(rng, book, Cell(f"<v>{text}</v>", kind="e", text=text))


def formula(rng, book):
    text = rng.choice(["1+1", "NOW()", "[1]Sheet!A1", "A1", "#REF!+1", "RAND()", "x" * 9000, "_xlfn.SINGLE(A1)", ""])
    saved = rng.choice(["<v>12</v>", "<v></v>", "", "<v>#DIV/0!</v>", "<v>0.5</v>"])
    own = rng.choice(
        ["", ' t="shared" si="0"', ' t="shared" ref="A1:A9" si="0"', ' t="array" ref="A1"', ' t="dataTable"']
    )
    _put(rng, book, Cell(f"<f{own}>{text}</f>{saved}", kind=rng.choice(["n", "str", "e", "b"]), text=f"={text}"))


def date_cell(rng, book):
    serial = rng.choice(["46000", "0", "-1", "60", "2958466", "1e300", "46000.5", "0.5", "NaN"])
    _put(rng, book, Cell(f"<v>{serial}</v>", style=DATE, text=serial))


def blanked(rng, book):
    _put(rng, book, None)


def scaled(rng, book):
    """A number made larger, smaller or negative: often legal, and then to be worked out."""
    for _ in range(20):
        key, number, column = _place(rng, book)
        value = book.rows[key][number][column] if column < len(book.rows[key][number]) else None
        if isinstance(value, float):
            book.rows[key][number][column] = value * rng.choice(FACTORS)
            return


def moved_text(rng, book):
    """A text that stands elsewhere."""
    texts = [value for rows in book.rows.values() for row in rows for value in row if isinstance(value, str)]
    _put(rng, book, rng.choice(texts))


def legal_value(rng, book):
    """An input of the schema, with a choice, a default, an end of its range, or something between."""
    part = rng.choice([part for part in sheets() if part.key in book.rows and part.key != "variants"])
    field = rng.choice(part.fields)
    value = _legal(rng, field)
    unit = field.units[0] if field.units else None
    rows = book.rows[part.key]
    if part.shape == "form":
        rows[:] = [row for row in rows if not row or row[0] != field.label]
        rows.append([field.label, value, field.unit if isinstance(value, float) else unit])
        return
    label = f"{field.label} ({field.unit})" if field.units and isinstance(value, float) else field.label
    number = rng.randrange(len(rows))
    for row in rows:
        if len(row) and row[0] is not None:
            row.extend([None] * (len(rows[0]) - len(row)))
    old = [column for column, head in enumerate(rows[0]) if head == field.label]
    column = old[0] if old else len(rows[0])
    for at, row in enumerate(rows):
        row.extend([None] * (column + 1 - len(row)))
        row[column] = label if at == 0 else value if at == max(2, number) else row[column]
    if old and len(rows) > 1:
        rows[1][column] = unit


def _legal(rng, field):
    if field.choices:
        return rng.choice(field.choices)
    if field.kind == "text" or field.kind == "date":
        return rng.choice(["B1", "B2", "W1", "none", "2026-01-31", "1", "A"])
    low = field.minimum.value if field.minimum else 0.0
    high = field.maximum.value if field.maximum else 1e6
    near = float(field.default) if field.default not in (None, "required") else (low + high) / 2
    value = rng.choice([low, high, near, low + (high - low) * rng.random(), low + (high - low) * rng.random() ** 8])
    return float(round(value)) if field.kind == "whole" else value


def unit_changed(rng, book):
    units = [(key, n, c) for key, rows in book.rows.items() for n, row in enumerate(rows) for c, value in enumerate(row)
             if isinstance(value, str) and value in UNITS]  # fmt: skip
    key, number, column = rng.choice(units)
    book.rows[key][number][column] = rng.choice([*UNITS, "stone", "µ", "", "1/", "mm mm", "°", "Ω", "V" * 500])


def header_changed(rng, book):
    key = _sheet(rng, book)
    row = book.rows[key][0]
    column = rng.randrange(len(row))
    text = str(row[column])
    row[column] = rng.choice([text[:-1], text.upper(), f" {text} ", f"{text} (m)", f"{text}[V]", "", text * 20, 5.0,
                              "x", str(row[rng.randrange(len(row))]), f"{text}\n", f"site.{text}"])  # fmt: skip


def row_doubled(rng, book):
    rows = book.rows[_sheet(rng, book)]
    number = rng.randrange(len(rows))
    rows[number:number] = [list(rows[number]) for _ in range(rng.choice([1, 1, 2, 50, 400]))]


def row_dropped(rng, book):
    rows = book.rows[_sheet(rng, book)]
    if len(rows) > 1:
        del rows[rng.randrange(len(rows))]


def rows_swapped(rng, book):
    rows = book.rows[_sheet(rng, book)]
    one, two = rng.randrange(len(rows)), rng.randrange(len(rows))
    rows[one], rows[two] = rows[two], rows[one]


def column_dropped(rng, book):
    rows = book.rows[_sheet(rng, book)]
    column = rng.randrange(max(len(row) for row in rows))
    for row in rows:
        del row[column : column + 1]


def many_columns(rng, book):
    rows = book.rows[_sheet(rng, book)]
    rows[0].extend(f"odd {number}" for number in range(rng.choice([10, 300, 3000])))


def many_rows(rng, book):
    rows = book.rows[_sheet(rng, book)]
    rows.extend(list(rows[-1]) for _ in range(rng.choice([100, 1000, 5000])))


def many_bad_rows(rng, book):
    rows = book.rows[_sheet(rng, book)]
    rows.extend(["x"] * len(rows[0]) for _ in range(rng.choice([100, 1000, 5000])))


def sheet_dropped(rng, book):
    del book.rows[_sheet(rng, book)]


def sheet_renamed(rng, book):
    key = _sheet(rng, book)
    title = book.titles[key]
    book.titles[key] = rng.choice([title.lower(), title[:-1], title + "s", "x", title + " (result)", "Verdict",
                                   "\uffff", rng.choice(list(book.titles.values()))])  # fmt: skip
    new = rng.choice(["x", key[:-1], key.upper(), rng.choice(list(book.rows))])
    if rng.random() < 0.3 and new not in book.rows:
        book.rows[new], book.titles[new] = book.rows.pop(key), book.titles[key]


def styled_rows(rng, book):
    """Rows that are formatted and empty, in one go."""
    count = rng.choice([10, 1000, 100_000])
    cell = rng.choice(["", '<c s="1"/>', '<c s="0"/><c s="2"/>'])
    _after(rng, book, f"<row>{cell}</row>" * count)


def far_cell(rng, book):
    place = rng.choice(
        ["A1048576", "XFD5", "ZZZ9", "A9999999", "AAAA1", "A0", "1A", "A99999999999999999999", "a5", "$A$5"]
    )
    digits = "".join(filter(str.isdigit, place)) or "1"
    _after(rng, book, f'<row r="{digits}"><c r="{place}"><v>1</v></c></row>')


def odd_rows(rng, book):
    _after(rng, book, rng.choice(['<row r="1"><c r="A1"><v>7</v></c></row>', '<row r="-5"/>', '<row r="x"/>', "<row/>",
                                  '<row r="1048577"/>', '<row r="4000000000"/>', '<row r="99999"/>' * 99,
                                  '<row><c r="C3"><v>1</v></c><c r="A1"><v>1</v></c></row>']))  # fmt: skip


def _after(rng, book, text):
    key = _sheet(rng, book)
    if key not in book.after:
        book.after[key] = f"{text}</sheetData>"


def hidden_and_merged(rng, book):
    """Hidden rows and columns, merged cells, a filter: nothing of that changes what stands in cells."""
    key = _sheet(rng, book)
    book.before[key] = '<cols><col min="1" max="2" hidden="1" width="9"/></cols>'
    book.row_attributes[key] = {rng.randrange(1, 9): ' hidden="1" ht="0" customHeight="1"' for _ in range(3)}
    book.after.setdefault(
        key, '</sheetData><autoFilter ref="A1:C9"/><mergeCells><mergeCell ref="A90:C91"/></mergeCells>'
    )


def wrong_dimension(rng, book):
    book.before[_sheet(rng, book)] = f'<dimension ref="{rng.choice(["A1", "A1:XFD1048576", "x", ""])}"/>'


def stray_rows(rng, book):
    """Formatted empty rows below, and empty columns beside."""
    key = _sheet(rng, book)
    start = len(book.rows[key]) + 1
    lines = "".join(f'<row r="{n}" s="1"><c r="{coordinate(n, 2)}" s="1"/></row>' for n in range(start, start + 500))
    book.after.setdefault(key, f"{lines}</sheetData>")


def another_sheet(rng, book):
    """A sheet of the user's own, which is none of the inputs."""
    name = rng.choice(["Zettel", "Kurven 2026"])
    book.rows[name], book.titles[name] = [["=1", 5.0, "x"] for _ in range(rng.choice([3, 300]))], name


NEUTRAL = [hidden_and_merged, stray_rows, another_sheet]
MUTATIONS = [
    odd_text, odd_text, odd_text, odd_number, odd_number, odd_kind, error_cell, formula, date_cell, blanked, scaled,
    scaled, scaled, moved_text, legal_value, legal_value, legal_value, legal_value, unit_changed, header_changed,
    row_doubled, row_dropped, rows_swapped, column_dropped, many_columns, many_rows, many_bad_rows, sheet_dropped,
    sheet_renamed, styled_rows, far_cell, odd_rows, wrong_dimension,
]  # fmt: skip
