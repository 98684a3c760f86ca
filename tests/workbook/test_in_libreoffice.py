"""Input and result workbooks opened, recalculated and printed by LibreOffice: nothing cut to ###, no error, "
"all labels there."""

import re
import shutil
import subprocess

import pytest

import ledcalc as lc
from ledcalc.schema import sheets
from ledcalc.workbook.template import write_blank

pytestmark = [
    pytest.mark.slow,
    pytest.mark.libreoffice,
    pytest.mark.skipif(
        shutil.which("soffice") is None or shutil.which("pdftotext") is None,
        reason="LibreOffice or poppler-utils is not installed",
    ),
]


def printed(path, folder):
    """Return the text of a workbook as LibreOffice prints it, and its number of pages."""
    profile = folder / "profile"
    command = [
        "soffice",
        f"-env:UserInstallation=file://{profile}",
        "--headless",
        "--convert-to",
        "pdf",
        "--outdir",
        folder,
        path,
    ]
    subprocess.run([str(word) for word in command], check=True, capture_output=True, timeout=180)
    pdf = folder / f"{path.stem}.pdf"
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    return text, text.count("\f")


def assert_clean(text):
    assert "###" not in text
    assert not re.search(r"Err:\d+|#(NAME|VALUE|REF|DIV/0|NUM|N/A)", text)


def test_blank_template(tmp_path):
    write_blank(tmp_path / "blank.xlsx")
    text, _ = printed(tmp_path / "blank.xlsx", tmp_path)
    assert_clean(text)
    words = " ".join(text.split())
    for part in sheets():
        assert part.title in words


def test_example_and_its_results(example_xlsx, tmp_path):
    results = lc.recalculate(example_xlsx, tmp_path / "results.xlsx")
    text, pages = printed(tmp_path / "results.xlsx", tmp_path)
    assert_clean(text)
    words = " ".join(text.split())
    for label in ("Key figures", "Cable runs", "Boards on their sinks", "Dose and efficacy", "Not checked", "Cautions"):
        assert label in words
    assert f"{results.light.statistics.mean:.0f}" in words
    # One page a sheet, but for the longer lists and the maps.
    assert pages <= 35


def test_limits_are_enforced_by_the_spreadsheet_formula(tmp_path):
    """The validation formula of a width, evaluated by LibreOffice in a cell of its own for values in and out "
    "of range."""
    import xlsxwriter

    from ledcalc.schema import sheet
    from ledcalc.workbook.input_sheets import limits_formula

    field = sheet("boards").field("width_m")
    book = xlsxwriter.Workbook(str(tmp_path / "v.xlsx"))
    page = book.add_worksheet()
    cases = (
        ("mm", 250, True),
        ("mm", 3001, False),
        ("mm", 0, False),
        ("m", 2.9, True),
        ("m", 3.1, False),
        ("in", 10, True),
        ("mm", "18 in", True),
    )
    for row, (unit, value, _) in enumerate(cases):
        page.write(row, 0, unit)
        page.write(row, 1, value)
        # Without a cached value LibreOffice works the formula out on opening.
        page.write_formula(row, 2, limits_formula(field, f"B{row + 1}", f"A{row + 1}"), None, "")
    book.close()
    command = [
        "soffice",
        f"-env:UserInstallation=file://{tmp_path}/p",
        "--headless",
        "--convert-to",
        "csv",
        "--outdir",
        str(tmp_path),
    ]
    subprocess.run([*command, str(tmp_path / "v.xlsx")], check=True, capture_output=True, timeout=180)
    found = [line.rsplit(",", 1)[1] == "TRUE" for line in (tmp_path / "v.csv").read_text().splitlines()]
    assert found == [expected for _, _, expected in cases]
