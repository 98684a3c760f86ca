"""Workbooks of varied origin that hold the example's inputs and something that result sheets must not touch."""

import io
import re
import zipfile
import zlib
from pathlib import Path

import openpyxl
import xlsxwriter

EXAMPLE = Path(__file__).parents[2] / "workbooks" / "seedling-bench.xlsx"


def _png():
    """Return a picture of one grey dot, made by hand."""

    def chunk(kind, data):
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = (1).to_bytes(4, "big") * 2 + bytes([8, 0, 0, 0, 0])
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\x80")) + chunk(b"IEND", b"")


def chart(book, sheet):
    pie = book.add_chart({"type": "pie"})
    pie.add_series({"values": [sheet.get_name(), 0, 0, 4, 0]})
    sheet.insert_chart("D2", pie)


def picture(book, sheet):
    sheet.insert_image("D2", "dot.png", {"image_data": io.BytesIO(_png()), "description": "a dot"})


def comment(book, sheet):
    sheet.write_comment("A1", "mind the meter", {"author": "bench"})


def sparkline(book, sheet):
    sheet.add_sparkline("D2", {"range": f"'{sheet.get_name()}'!A1:A5"})


def data_bar(book, sheet):
    sheet.conditional_format("A1:A5", {"type": "data_bar", "data_bar_2010": True})


def icons(book, sheet):
    sheet.conditional_format("A1:A5", {"type": "icon_set", "icon_style": "3_arrows"})


def coloured_rule(book, sheet):
    look = book.add_format({"bold": True, "bg_color": "#FFDDAA"})
    sheet.conditional_format("A1:A5", {"type": "cell", "criteria": ">", "value": 2, "format": look})


def table(book, sheet):
    sheet.add_table("F1:G4", {"columns": [{"header": "lamp"}, {"header": "hours"}]})


def validation(book, sheet):
    sheet.data_validation("B1", {"validate": "list", "source": ["a", "b"]})


def names(book, sheet):
    book.define_name("tariff", f"='{sheet.get_name()}'!$A$1")
    book.define_name(f"'{sheet.get_name()}'!own", f"='{sheet.get_name()}'!$A$2")


def text_box(book, sheet):
    sheet.insert_textbox("D2", "do not open hot")


def button(book, sheet):
    sheet.insert_button("D2", {"caption": "go", "macro": "go"})


def header_image(book, sheet):
    sheet.set_header("&L&G", {"image_left": "dot.png", "image_data_left": io.BytesIO(_png())})


def protection(book, sheet):
    sheet.protect("")


def chart_sheet(book, sheet):
    pie = book.add_chart({"type": "bar"})
    pie.add_series({"values": [sheet.get_name(), 0, 0, 4, 0]})
    book.add_chartsheet("chart of mine").set_chart(pie)


def hidden(book, sheet):
    book.add_worksheet("kept away").hide()


def very_hidden(book, sheet):
    away = book.add_worksheet("kept well away")
    # Older versions of the writer have no way to hide a sheet from the menu as well.
    getattr(away, "very_hidden", away.hide)()


def properties(book, sheet):
    book.set_custom_property("bench", "north")


def macros(book, sheet):
    book.add_vba_project("vbaProject.bin")


def many_styles(book, sheet):
    for number in range(150):
        look = book.add_format({"num_format": f'0.{"0" * (number % 9)}" x{number}"', "font_size": 6 + number % 20})
        sheet.write_number(number, 8, number, look)


def active_last(book, sheet):
    sheet.activate()


def print_area(book, sheet):
    sheet.print_area("A1:B9")
    sheet.repeat_rows(0)


def rich_text(book, sheet):
    sheet.write_rich_string("D1", "a ", book.add_format({"bold": True}), "bold", " word")


def links(book, sheet):
    sheet.write_url("D1", "internal:'Site'!A1")
    sheet.write_url("D2", "https://example.org/")


def array_formula(book, sheet):
    sheet.write_dynamic_array_formula("D1", "=SORT(A1:A5)")


FEATURES = (
    chart,
    picture,
    comment,
    sparkline,
    data_bar,
    icons,
    coloured_rule,
    table,
    validation,
    names,
    text_box,
    button,
    header_image,
    protection,
    chart_sheet,
    hidden,
    very_hidden,
    properties,
    macros,
    many_styles,
    active_last,
    print_area,
    rich_text,
    links,
    array_formula,
)


def by_xlsxwriter(path, *features):
    """Write the example's inputs anew with a sheet of the user's own that holds the features."""
    source = openpyxl.load_workbook(EXAMPLE, read_only=True)
    if macros in features:
        (path.parent / "vbaProject.bin").write_bytes(b"\xd0\xcf\x11\xe0 stands for macros" * 40)
    book = xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd"})
    own = book.add_worksheet("mine")
    own.write_column(0, 0, [1, 2, 3, 4, 5])
    own.write_formula("B1", "=SUM(A1:A5)", None, 15)
    for sheet in source:
        copy = book.add_worksheet(sheet.title)
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    copy.write(cell.row - 1, cell.column - 1, cell.value)
    here = Path.cwd()
    import os

    os.chdir(path.parent)  # the macro project is found by a bare name
    try:
        for feature in features:
            feature(book, own)
        book.close()
    finally:
        os.chdir(here)


def by_openpyxl(path):
    """Write the example through openpyxl, with a comment and a chart of its own."""
    from openpyxl.chart import LineChart, Reference
    from openpyxl.comments import Comment

    book = openpyxl.load_workbook(EXAMPLE)
    own = book.create_sheet("mine", 0)
    for row in range(1, 6):
        own.cell(row, 1, row)
    own["A1"].comment = Comment("mind the meter", "bench")
    line = LineChart()
    line.add_data(Reference(own, min_col=1, min_row=1, max_row=5))
    own.add_chart(line, "D2")
    book.save(path)


def rewritten(path, change):
    """Write the example with its parts changed: ``change(name, text) -> text``."""
    with zipfile.ZipFile(EXAMPLE) as source, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            target.writestr(name, change(name, source.read(name)))


def prefixed(name, text):
    """Give the workbook part's own namespace a prefix, as some writers do."""
    if name != "xl/workbook.xml":
        return text
    words = re.sub(rb"<(/?)(?!\?)(\w)", rb"<\1x:\2", text)
    return words.replace(b'xmlns="http://schemas.openxml', b'xmlns:x="http://schemas.openxml')


def absolute(name, text):
    """Lead to parts from the package's root, as some writers do."""
    if not name.endswith("workbook.xml.rels"):
        return text
    return re.sub(rb'Target="(worksheets|styles|theme|sharedS)', rb'Target="/xl/\1', text)


def without_views(name, text):
    return re.sub(rb"<bookViews>.*?</bookViews>", b"", text) if name == "xl/workbook.xml" else text


def single_quotes(name, text):
    return re.sub(rb'="([^"<>\']*)"', rb"='\1'", text) if name in {"xl/workbook.xml", "[Content_Types].xml"} else text


def foreign_part(name, text):
    """Add nothing to the parts but a comment that a careless writer would lose."""
    return text.replace(b"<sheets>", b"<!-- kept by hand --><sheets>") if name == "xl/workbook.xml" else text


REWRITES = (prefixed, absolute, without_views, single_quotes, foreign_part)


def make(path, origin):
    """Write the workbook of an origin."""
    if origin in FEATURES:
        by_xlsxwriter(path, origin)
    elif origin in REWRITES:
        rewritten(path, origin)
    else:
        origin(path)


def everything(path):
    by_xlsxwriter(path, *(feature for feature in FEATURES if feature not in {macros, button}))


ORIGINS = (*FEATURES, *REWRITES, by_openpyxl, everything)


def ending(origin):
    """Return the ending that a workbook of an origin has to bear: Excel opens macros under .xlsm alone."""
    return "xlsm" if origin in {macros, button} else "xlsx"
