"""Formulas in input cells worked out by LibreOffice first: on a copy, bounded in time, the user's file untouched."""

import hashlib
import os
import shutil
import socketserver
import stat
import sys
import threading
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.workbook import calc_program, formulas_first
from ledcalc.workbook.reader import read_inputs


def needs_libreoffice(test):
    """Mark a test that runs the real program."""
    missing = pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
    return pytest.mark.slow(pytest.mark.libreoffice(missing(test)))


# Behaves as the converter does: the copy comes last, the folder for what is made after --outdir.
STAND_IN = f"""#!{sys.executable}
import sys, subprocess, time, pathlib
import openpyxl
words = sys.argv[1:]
out = pathlib.Path(words[words.index("--outdir") + 1])
copy = pathlib.Path(words[-1])
settings = pathlib.Path(words[0].partition("file://")[2]) / "user" / "registrymodifications.xcu"
assert "OOXMLRecalcMode" in settings.read_text()
"""
CALCULATES = """
out.mkdir()
book = openpyxl.load_workbook(copy)
for sheet in book:
    for row in sheet.iter_rows():
        for cell in row:
            if cell.data_type == "f":
                cell.value = {"=2*2.2": 4.4, "=0.14*2": 0.28, '=IF(1>2,"x","")': None, "=1/0": "#DIV/0!"}[cell.value]
book.save(out / "copy.xlsx")
"""


@pytest.fixture
def stand_in(tmp_path, monkeypatch):
    """Return a function that puts a program of these lines in LibreOffice's place."""
    if os.name != "posix":
        pytest.skip("the stand-in is a script that a POSIX system runs")
    folder = tmp_path / "programs"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))

    def put(lines):
        program = folder / "soffice"
        program.write_text(STAND_IN + lines)
        program.chmod(program.stat().st_mode | stat.S_IXUSR)

    return put


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_values_come_from_the_copy_all_else_from_the_file(spoil, stand_in, example_cells):
    stand_in(CALCULATES)
    book = spoil({"fixture.current_setting_a": "=2*2.2", "site.altitude_m": '=IF(1>2,"x","")'})
    before = digest(book)
    inputs = read_inputs(book, formulas_first=True)
    assert not inputs.problems
    assert inputs.records["fixture"][0]["current_setting_a"] == pytest.approx(4.4)
    assert inputs.records["site"][0]["altitude_m"] is None
    assert inputs.origin.file == book.name
    assert inputs.origin.sha256 == before == digest(book)
    place = example_cells["fixture.current_setting_a"]
    assert inputs.origin.cells["fixture.current_setting_a"] == place
    [note] = [note for note in inputs.origin.notes if "formula" in note]
    assert note == f"{place} holds a formula; the value worked out by LibreOffice, 4.4, was used"


def test_error_value_stops_and_names_the_cell(spoil, stand_in, example_cells):
    stand_in(CALCULATES)
    [problem] = read_inputs(spoil({"fixture.current_setting_a": "=1/0"}), formulas_first=True).problems
    assert (problem.problem, problem.value) == ("an error value", "'#DIV/0!'")
    assert f"{problem.sheet}!{problem.cell}" == example_cells["fixture.current_setting_a"]


def test_book_without_formulas_needs_no_program(example_xlsx, monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(calc_program, "USUAL_PLACES", ())
    assert lc.read_workbook(example_xlsx, formulas_first=True) == lc.read_workbook(example_xlsx)


def test_missing_program_is_said(spoil, monkeypatch, tmp_path, capsys):
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(calc_program, "USUAL_PLACES", ())
    book = spoil({"fixture.current_setting_a": "=2*2.2"})
    assert main(["recalculate", str(book), "--formulas-first"]) == 2
    assert "LibreOffice is not found" in capsys.readouterr().err
    assert not (tmp_path / "spoiled-results.xlsx").exists()


def test_slow_program_is_stopped_with_all_that_it_started(spoil, stand_in, tmp_path):
    mark = tmp_path / "child"
    stand_in(
        f"child = subprocess.Popen([{sys.executable!r}, '-c', 'import time; time.sleep(60)'])\n"
        f"pathlib.Path({str(mark)!r}).write_text(str(child.pid))\ntime.sleep(60)\n"
    )
    book = spoil({"fixture.current_setting_a": "=2*2.2"})
    with pytest.raises(FileProblem, match="was stopped after 3 s"):
        formulas_first.worked_out(book, longest_wait_s=3.0)
    child = int(mark.read_text())
    for _ in range(50):
        if not is_running(child):
            break
        time.sleep(0.1)
    assert not is_running(child)


def is_running(process):
    """Return whether a process runs; one that has ended and was not yet collected does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in {"Z", "X"}
    except OSError:
        return False


def test_program_that_makes_nothing_is_quoted(spoil, stand_in):
    stand_in("print('Error: source file could not be loaded')\n")
    with pytest.raises(FileProblem, match="source file could not be loaded"):
        read_inputs(spoil({"fixture.current_setting_a": "=2*2.2"}), formulas_first=True)


def test_folder_of_csv_files_has_no_formulas(example_csv):
    with pytest.raises(FileProblem, match="CSV files hold no formulas"):
        read_inputs(example_csv, formulas_first=True)


def test_uncalculated_formula_names_both_ways_out(spoil):
    [problem] = read_inputs(spoil({"fixture.current_setting_a": "=2*2.2"})).problems
    assert "let it calculate, save it" in problem.remedy
    assert "--formulas-first" in problem.remedy


@needs_libreoffice
def test_libreoffice_works_formulas_out(spoil):
    """What is read is what the same values give when they are typed in."""
    formulas = {
        "fixture.current_setting_a": "=ROUND(Drivers!A1048576+2*2.2,3)",
        "fixture.height_m": "=SUM(0.1,0.18)",
        "site.altitude_m": '=IF(1>2,"x","")',
    }
    book = spoil(formulas)
    before = digest(book)
    assert main(["check", str(book), "--formulas-first"]) == 0
    found = lc.read_workbook(book, formulas_first=True)
    assert digest(book) == before
    typed = lc.read_workbook(spoil({"fixture.current_setting_a": 4.4, "fixture.height_m": 0.28}))
    assert (found.current_setting_a, typed.current_setting_a) == (4.4, 4.4)
    assert found.height_m == pytest.approx(typed.height_m, abs=1e-12)
    assert (found.cables, found.boards, found.light_readings) == (typed.cables, typed.boards, typed.light_readings)
    assert found.site.altitude_m == typed.site.altitude_m


@needs_libreoffice
def test_libreoffice_does_not_trust_values_of_yesterday(spoil, tmp_path):
    """A saved value that no longer fits its formula is worked out anew."""
    book = spoil({"fixture.height_m": "=0.14*3"})
    stale = tmp_path / "stale.xlsx"
    with zipfile.ZipFile(book) as old, zipfile.ZipFile(stale, "w") as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename.startswith("xl/worksheets/sheet"):
                data = data.replace(b"<f>0.14*3</f><v></v>", b"<f>0.14*3</f><v>0.28</v>")
                data = data.replace(b"<f>0.14*3</f><v />", b"<f>0.14*3</f><v>0.28</v>")
            if part.filename == "xl/workbook.xml":
                data = data.replace(b'fullCalcOnLoad="1"', b"")
            new.writestr(part, data)
    assert lc.read_workbook(stale).height_m == pytest.approx(0.28)
    assert lc.read_workbook(stale, formulas_first=True).height_m == pytest.approx(0.42)


@needs_libreoffice
def test_libreoffice_fetches_nothing(spoil):
    asked = []

    class Answer(socketserver.BaseRequestHandler):
        def handle(self):
            asked.append(self.client_address)
            self.request.sendall(b"HTTP/1.0 200 OK\r\nContent-Length: 3\r\n\r\n4.4")

    server = socketserver.ThreadingTCPServer(("127.0.0.1", 0), Answer)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        formula = f'=VALUE(_xlfn.WEBSERVICE("http://127.0.0.1:{server.server_address[1]}/a"))'
        inputs = read_inputs(spoil({"fixture.current_setting_a": formula}), formulas_first=True)
    finally:
        server.shutdown()
        server.server_close()
    assert not asked
    assert inputs.problems


def test_into_the_file_itself(spoil, stand_in):
    stand_in(CALCULATES)
    book = spoil({"fixture.current_setting_a": "=2*2.2"})
    assert main(["recalculate", str(book), "--into", "--formulas-first"]) in {0, 1}
    inside = openpyxl.load_workbook(book)
    assert "=2*2.2" in {cell.value for row in inside["Fixture"].iter_rows() for cell in row}
    assert "Verdict (result)" in inside.sheetnames
