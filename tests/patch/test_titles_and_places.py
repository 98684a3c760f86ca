"""Results put into a workbook again: under the titles and in the places that the user gave them, read by formulas."""

import re
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.workbook.package import CALCULATION_NAME
from ledcalc.workbook.patch.book import book_of
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.recalculate import recalculate_into
from ledcalc.workbook.xlsx_read import saved_values

sys.path.insert(0, str(Path(__file__).parent))
import books

BOOK = "xl/workbook.xml"


def changed(path, *changes):
    """Change parts of a workbook: ``change(name, text) -> text``."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    with zipfile.ZipFile(path, "w") as package:
        for name, text in parts.items():
            for change in changes:
                text = change(name, text)
            package.writestr(name, text)


def in_book(old, new):
    return lambda name, text: re.sub(old, new, text) if name == BOOK else text


def part(path, name=BOOK):
    with zipfile.ZipFile(path) as package:
        return package.read(name)


def without_flag(name, text):
    return text.replace(b' fullCalcOnLoad="1"', b"") if name == BOOK else text


@pytest.fixture
def filled(tmp_path):
    """The example with results in it."""
    path = tmp_path / "bench.xlsx"
    books.rewritten(path, without_flag)
    recalculate_into(path)
    return path


def test_a_renamed_sheet_keeps_its_title_and_what_reads_it(filled):
    title = "Bob's amps & volts"
    changed(filled, in_book(rb'name="Currents \(result\)"', b'name="Bob\'s amps &amp; volts"'))
    recalculate_into(filled)
    recalculate_into(filled)
    book = openpyxl.load_workbook(filled)
    assert title in book.sheetnames
    assert "Currents (result)" not in book.sheetnames
    assert "'Bob''s amps & volts'!" in str(book[title]._charts[0].series[0].val.numRef.f)
    assert book[title]["A1"].value == title


def test_a_sheet_of_an_older_version_is_known_by_its_title(filled):
    before = openpyxl.load_workbook(filled, read_only=True).sheetnames
    changed(filled, in_book(rb'(name="ledcalc_result_sheet"[^>]*>)[^<]*<', rb"\1TRUE<"))
    pages = [sheet.page for sheet in book_of(part(filled)).sheets if sheet.is_result]
    assert "Currents" in pages
    recalculate_into(filled)
    assert openpyxl.load_workbook(filled, read_only=True).sheetnames == before


def test_a_sheet_comes_back_where_it_stood_and_a_new_one_behind_its_neighbour(filled):
    before = openpyxl.load_workbook(filled, read_only=True).sheetnames
    book = book_of(part(filled))
    results = [sheet for sheet in book.sheets if sheet.is_result]
    # The user has moved one to the front; another was not there at the last run.
    front, gone = results[2], results[5]

    def moved(name, text):
        if name != BOOK:
            return text
        listed = re.findall(rb"<sheet [^>]*/>", text)
        titles = [sheet.title for sheet in book.sheets]
        order = [titles.index(front.title), *(n for n, t in enumerate(titles) if t not in {front.title, gone.title})]
        text = re.sub(rb"<sheets>.*</sheets>", b"<sheets>" + b"".join(listed[n] for n in order) + b"</sheets>", text)
        names = re.findall(rb"<definedName .*?</definedName>", text)
        for entry in names:
            old = int(re.search(rb'localSheetId="(\d+)"', entry).group(1))
            new = b"" if old not in order else re.sub(rb'Id="\d+"', b'Id="%d"' % order.index(old), entry)
            text = text.replace(entry, new, 1) if new == b"" else text.replace(entry, new + b"<!-- -->", 1)
        return text.replace(b"<!-- -->", b"")

    changed(filled, moved)
    recalculate_into(filled)
    after = openpyxl.load_workbook(filled, read_only=True).sheetnames
    assert after == [front.title, *(title for title in before if title != front.title)]


def formula(text, saved=b"0.28"):
    """Put a formula with a saved value where the example has its height."""
    sheet, cell = read_inputs(books.EXAMPLE).origin.cells["fixture.height_m"].split("!")
    path = next(
        worksheet._worksheet_path
        for worksheet in openpyxl.load_workbook(books.EXAMPLE, read_only=True)
        if worksheet.title == sheet
    )

    def change(name, part):
        if name != path.lstrip("/"):
            return part
        start = part.index(f'<c r="{cell}"'.encode())
        end = part.index(b"</c>", start)
        value = re.sub(rb"(<f>.*?</f>)?<v>.*", b"<f>" + text + b"</f><v>" + saved + b"</v>", part[start:end])
        return part[:start] + value + part[end:]

    return change


def reading(name, text):
    """Have the About sheet read a result."""
    cell = b"<c r=\"Z1\"><f>'Verdict (result)'!B5</f><v>0</v></c></row>"
    return text.replace(b"</row>", cell, 1) if name == "xl/worksheets/sheet1.xml" else text


def test_after_a_run_saved_values_count_as_before_it(tmp_path):
    path = tmp_path / "bench.xlsx"
    books.rewritten(path, without_flag)
    changed(path, formula(b"0.14*2"), reading)
    assert recalculate_into(path).is_calculated_on_load
    assert b'fullCalcOnLoad="1"' in part(path)
    inputs = read_inputs(path)
    assert not inputs.problems
    assert any("holds a formula" in note for note in inputs.origin.notes)
    recalculate_into(path)
    assert part(path).count(CALCULATION_NAME.encode()) == 1
    changed(path, formula(b"'Verdict (result)'!B20/1000"))
    [problem] = read_inputs(path).problems
    assert problem.problem == "a formula not yet calculated"


def test_what_a_writer_left_uncalculated_stays_so(tmp_path):
    """The flag was there before results were: nobody has calculated the file since."""
    path = tmp_path / "bench.xlsx"
    books.rewritten(path, reading)
    assert b'fullCalcOnLoad="1"' in part(path)
    recalculate_into(path)
    changed(path, formula(b"0.14*2", b"0"))
    [problem] = read_inputs(path).problems
    assert problem.problem == "a formula not yet calculated"


def test_users_are_told_how_to_calculate_again(tmp_path, capsys):
    path = tmp_path / "bench.xlsx"
    books.rewritten(path, reading)
    assert main(["recalculate", str(path), "--into"]) == 0
    assert "in LibreOffice press Ctrl+Shift+F9 once" in capsys.readouterr().out


def test_a_read_only_file_is_refused(tmp_path):
    path = tmp_path / "bench.xlsx"
    books.rewritten(path, without_flag)
    before = path.read_bytes()
    path.chmod(0o444)
    with pytest.raises(FileProblem, match="is read-only; make it writable first"):
        recalculate_into(path)
    assert path.read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name]


def test_parts_that_the_parser_does_not_keep_make_no_noise(tmp_path):
    """Warnings are errors here: sparklines and newer data bars are nobody's concern while cells are read."""
    path = tmp_path / "bench.xlsx"
    books.by_xlsxwriter(path, books.sparkline, books.data_bar)
    assert saved_values(path)["Fixture"].rows
    assert not read_inputs(path).problems
