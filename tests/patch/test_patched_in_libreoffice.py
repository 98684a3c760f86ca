"""Workbooks with results put into them, opened and saved anew by LibreOffice; and a workbook that LibreOffice made."""

import shutil
import subprocess

import books
import openpyxl
import pytest

from ledcalc.workbook.package import RESULT_MARK

pytestmark = [
    pytest.mark.slow,
    pytest.mark.libreoffice,
    pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed"),
]


def saved_anew(paths, folder):
    """Open every workbook in LibreOffice and save it as .xlsx into a folder."""
    command = ["soffice", f"-env:UserInstallation=file://{folder / 'profile'}", "--headless"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", folder, *paths]
    subprocess.run([str(word) for word in command], check=True, capture_output=True, timeout=900)
    return [folder / f"{path.stem}.xlsx" for path in paths]


def values_of(path):
    book = openpyxl.load_workbook(path, data_only=True, read_only=True)
    titles = [title for title in book.sheetnames if title.endswith(RESULT_MARK)]
    return {title: [[cell.value for cell in row] for row in book[title].iter_rows(max_col=8)] for title in titles}


def plain(table):
    """Return the filled cells of a table: LibreOffice drops empty rows and columns at its end."""
    return {
        (row, column): round(value, 9) if isinstance(value, float) else value
        for row, cells in enumerate(table)
        for column, value in enumerate(cells)
        if value not in (None, "")
    }


def test_results_show_in_every_file(tmp_path, patch_few_into):
    paths = []
    for origin in books.ORIGINS:
        path = tmp_path / f"{origin.__name__}.{books.ending(origin)}"
        books.make(path, origin)
        patch_few_into(path)
        paths.append(path)
    (tmp_path / "again").mkdir()
    for path, again in zip(paths, saved_anew(paths, tmp_path / "again"), strict=True):
        ours, theirs = values_of(path), values_of(again)
        assert list(theirs) == list(ours)
        assert len(ours) == 3
        for title, table in ours.items():
            assert plain(theirs[title]) == plain(table), (path.name, title)


def test_a_file_that_libreoffice_saved(tmp_path, patch_into):
    (tmp_path / "saved").mkdir()
    (path,) = saved_anew([books.EXAMPLE], tmp_path / "saved")
    before = openpyxl.load_workbook(path, read_only=True).sheetnames
    patch_into(path)
    (tmp_path / "again").mkdir()
    (again,) = saved_anew([path], tmp_path / "again")
    assert openpyxl.load_workbook(again, read_only=True).sheetnames[: len(before)] == before
    assert values_of(again).keys() == values_of(path).keys()
