"""The menu entry in LibreOffice Calc: results in the open workbook, the user's own sheets and formulas as they were."""

import json
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from ledcalc.cells.addin import build_addin, install_addin, remove_addin
from ledcalc.workbook.calc_program import calc_environment
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.recalculate import recalculate, recalculate_into

EXAMPLE = Path(__file__).parents[2] / "workbooks" / "seedling-bench.xlsx"
SESSION = Path(__file__).with_name("calc_session.py")
# LibreOffice's modules belong to the system's Python.
SYSTEM_PYTHON = "/usr/bin/python3"


def _has_uno():
    if shutil.which("soffice") is None or not Path(SYSTEM_PYTHON).exists():
        return False
    return subprocess.run([SYSTEM_PYTHON, "-E", "-c", "import uno"], capture_output=True, check=False).returncode == 0


pytestmark = [
    pytest.mark.slow,
    # The superuser's add-ins are shared by all profiles: tests that put one in come one after another.
    pytest.mark.xdist_group("add-in"),
    pytest.mark.skipif(not _has_uno(), reason="needs libreoffice-calc and python3-uno"),
]


@pytest.fixture(scope="module")
def session(tmp_path_factory):
    """What a user saw who worked in the open example; the file they saved; the example with the same change."""
    folder = tmp_path_factory.mktemp("live")
    profile = (folder / "profile").as_uri()
    build_addin(folder / "ledcalc.oxt")
    install_addin(folder / "ledcalc.oxt", profile=profile)
    shutil.copy(EXAMPLE, folder / "bench.xlsx")
    setting = read_inputs(EXAMPLE).origin.cells["fixture.current_setting_a"]
    asked = {
        "profile": profile,
        "book": str(folder / "bench.xlsx"),
        "saved": str(folder / "saved.xlsx"),
        "setting": setting,
        "value": 3.25,
    }
    done = subprocess.run(
        [SYSTEM_PYTHON, str(SESSION)],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        env=calc_environment(),
    )
    remove_addin(profile=profile)
    assert done.returncode == 0, done.stderr
    changed = folder / "changed.xlsx"
    book = openpyxl.load_workbook(EXAMPLE)
    sheet, cell = setting.split("!")
    book[sheet][cell] = 3.25
    book.save(changed)
    return json.loads(done.stdout), folder / "saved.xlsx", changed


def test_the_users_own_sheets_and_formulas_stay(session):
    seen, _, _ = session
    assert seen["kept at first"]
    assert seen["kept at second"]
    assert seen["titles"][:2] == ["Mine", "Fixture"] or seen["titles"][0] == "Mine"
    assert seen["titles again"] == seen["titles"]
    assert "Verdict (result)" in seen["titles"]


def test_formulas_go_on_reading_results(session):
    count, title = session[0]["reads results"]
    assert count > 20
    assert title == "Verdict (result)"


def test_what_the_user_did_can_be_undone_afterwards(session):
    seen, _, _ = session
    assert len(seen["undo"]) == 2
    assert seen["undone"] == "a note of mine"


def test_figures_are_those_of_the_file(session, tmp_path):
    seen, _, changed = session
    recalculate(changed, tmp_path / "results.xlsx")
    verdict = openpyxl.load_workbook(tmp_path / "results.xlsx")["Verdict"]
    for number, row in enumerate(seen["verdict"][1:], start=2):
        if str(row[0]).startswith(("input:", "SHA-256")):
            continue
        wanted = [verdict.cell(number, column).value for column in range(1, 5)]
        assert row == [
            "" if value is None else value if isinstance(value, str) else pytest.approx(value) for value in wanted
        ]


def test_a_renamed_result_sheet_keeps_its_title_and_place(session):
    seen, _, _ = session
    assert seen["titles renamed"] == [
        "how hot" if title == "Heat (result)" else title for title in seen["titles again"]
    ]
    assert "how hot" in seen["titles renamed"]


def test_charts_come_along(session):
    assert session[0]["charts"] == 1


def test_a_file_saved_after_it_takes_results_in_place_of_those(session):
    _, saved, _ = session
    before = openpyxl.load_workbook(saved, read_only=True).sheetnames
    recalculate_into(saved)
    assert openpyxl.load_workbook(saved, read_only=True).sheetnames == before
