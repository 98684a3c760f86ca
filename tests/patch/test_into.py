"""Result sheets in the user's own workbook: all else stays byte for byte, whatever the file holds; or it is refused."""

import os
import re
import signal
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest

from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.workbook.package import RESULT_MARK
from ledcalc.workbook.patch import backup_path, into
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.recalculate import recalculate, recalculate_into

sys.path.insert(0, str(Path(__file__).parent))
import books

# The parts that list the sheets and their styles; every other part of the user's stays as it is.
LISTS = {"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"}


def parts_of(path):
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


@pytest.fixture(params=books.ORIGINS, ids=lambda origin: origin.__name__)
def patched(request, tmp_path, patch_into):
    path = tmp_path / f"bench.{books.ending(request.param)}"
    books.make(path, request.param)
    before = parts_of(path)
    patch_into(path)
    return path, before, lambda: patch_into(path)


def check_other_parts(path, before):
    after = parts_of(path)
    assert {name for name in before if before[name] != after.get(name)} <= LISTS
    new = after.keys() - before.keys()
    assert all("ledcalc-" in name for name in new)
    assert len(new) > 20


def check_sheets(path, before):
    old = [sheet.attrib["name"] for sheet in sheets_of(before)]
    book = openpyxl.load_workbook(path, read_only=True)
    assert book.sheetnames[: len(old)] == old
    added = book.sheetnames[len(old) :]
    assert f"Verdict{RESULT_MARK}" in added
    assert all(title.endswith(RESULT_MARK) for title in added)


def test_all_else_stays_and_a_second_run_takes_the_place_of_the_first(patched):
    path, before, patch = patched
    check_other_parts(path, before)
    check_sheets(path, before)
    check_package(path)
    assert parts_of(backup_path(path)) == before
    first = parts_of(path)
    patch()
    assert parts_of(path) == first
    assert parts_of(backup_path(path)) == first


def test_there_are_files_of_thirty_origins():
    assert len(set(books.ORIGINS)) >= 30


def sheets_of(parts):
    root = ElementTree.fromstring(parts["xl/workbook.xml"])
    return next(element for element in root if element.tag.endswith("}sheets"))


@pytest.mark.parametrize("origin", [books.many_styles, books.by_openpyxl])
def test_result_cells_are_those_of_a_file_of_their_own(origin, tmp_path):
    path = tmp_path / "bench.xlsx"
    books.make(path, origin)
    recalculate_into(path)
    recalculate(path, tmp_path / "own.xlsx")
    own, into = openpyxl.load_workbook(tmp_path / "own.xlsx"), openpyxl.load_workbook(path)
    for sheet in own:
        twin = into[f"{sheet.title}{RESULT_MARK}"]
        for row in sheet.iter_rows():
            for cell in row:
                other = twin[cell.coordinate]
                if cell.coordinate == "A1" or str(cell.value).startswith(("SHA-256", "input:")):
                    continue
                assert other.value == cell.value, (sheet.title, cell.coordinate)
                assert other.number_format == cell.number_format
                assert (other.font.b, other.font.sz, other.font.name) == (cell.font.b, cell.font.sz, cell.font.name)
                assert other.fill.fgColor.rgb == cell.fill.fgColor.rgb
                assert other.border.left.style == cell.border.left.style


def test_the_inputs_read_the_same_with_results_beside_them(tmp_path):
    path = example(tmp_path)
    written = recalculate_into(path)
    again = read_inputs(path)
    assert not again.problems
    assert not any("result" in note for note in again.origin.notes)
    assert again.records == read_inputs(written.backup).records


def check_package(path):
    """Every relation leads to a part, every part has a type, every style number exists, every name its sheet."""
    parts = parts_of(path)
    types = ElementTree.fromstring(parts["[Content_Types].xml"])
    listed = {entry.attrib["PartName"].lstrip("/") for entry in types if "PartName" in entry.attrib}
    endings = {entry.attrib["Extension"].lower() for entry in types if "Extension" in entry.attrib}
    assert all(name in listed or name.rpartition(".")[2].lower() in endings for name in parts if name[0] != "[")
    assert listed <= parts.keys()
    for name in parts:
        if not name.endswith(".rels"):
            continue
        folder = os.path.dirname(os.path.dirname(name))
        for relation in ElementTree.fromstring(parts[name]):
            if relation.attrib.get("TargetMode") != "External" and not relation.attrib["Target"].startswith("#"):
                target = relation.attrib["Target"]
                whole = target.lstrip("/") if target.startswith("/") else os.path.normpath(os.path.join(folder, target))
                assert whole in parts, (name, target)
    styles = ElementTree.fromstring(parts["xl/styles.xml"])
    for group in styles:
        if "count" in group.attrib and not group.tag.endswith("}colors"):
            assert int(group.attrib["count"]) == len(group), group.tag
    count = next(len(group) for group in styles if group.tag.endswith("}cellXfs"))
    for name, text in parts.items():
        if "ledcalc-sheet" in name and name.endswith(".xml"):
            assert all(int(number) < count for number in re.findall(rb' s="(\d+)"', text))
    book = ElementTree.fromstring(parts["xl/workbook.xml"])
    sheets = list(sheets_of(parts))
    ids = [sheet.attrib["sheetId"] for sheet in sheets]
    assert len(set(ids)) == len(ids)
    for element in book.iter():
        if element.tag.endswith("}definedName") and "localSheetId" in element.attrib:
            assert int(element.attrib["localSheetId"]) < len(sheets)


def example(folder, name="bench.xlsx", change=lambda _name, text: text):
    path = folder / name
    books.rewritten(path, change)
    return path


def test_a_result_sheet_that_the_user_moved_and_renamed_is_found_again(tmp_path):
    """The hidden name stays with the sheet: moved to the front and renamed it is replaced there, under that title."""
    path = example(tmp_path)
    recalculate_into(path)
    count = len(openpyxl.load_workbook(path).sheetnames)
    moved = tmp_path / "moved.xlsx"
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(moved, "w") as target:
        for name in source.namelist():
            text = source.read(name)
            if name == "xl/workbook.xml":
                text = moved_to_front(text, f"Verdict{RESULT_MARK}", "what it says")
            target.writestr(name, text)
    recalculate_into(moved)
    titles = openpyxl.load_workbook(moved).sheetnames
    assert f"Verdict{RESULT_MARK}" not in titles
    assert len(titles) == count
    assert titles[:2] == ["what it says", "About"]
    assert (
        openpyxl.load_workbook(moved)["Site"].print_title_rows == openpyxl.load_workbook(path)["Site"].print_title_rows
    )


def moved_to_front(text, title, new):
    sheets = re.findall(rb"<sheet [^>]*/>", text)
    place = next(n for n, sheet in enumerate(sheets) if title.encode() in sheet)
    order = [place, *(n for n in range(len(sheets)) if n != place)]
    listed = b"".join(sheets[n] for n in order).replace(title.encode(), new.encode())
    text = re.sub(rb"<sheets>.*</sheets>", b"<sheets>" + listed.replace(b"\\", b"\\\\") + b"</sheets>", text)
    return re.sub(rb'localSheetId="(\d+)"', lambda found: b'localSheetId="%d"' % order.index(int(found.group(1))), text)


def test_links_of_findings_lead_into_the_same_file(tmp_path):
    path = example(tmp_path)
    recalculate_into(path)
    sheet = next(text for name, text in parts_of(path).items() if "ledcalc-sheet" in name and b"hyperlink " in text)
    assert b'location="' in sheet
    assert b"external" not in sheet


def test_formulas_that_read_results_are_worked_out_at_opening(tmp_path):
    def with_formula(_book, sheet):
        sheet.write_formula("D1", "='Verdict (result)'!B5", None, 0)

    path = tmp_path / "bench.xlsx"
    books.by_xlsxwriter(path, with_formula)
    # A writer sets the flag for all its files; a spreadsheet takes it off when it saves.
    plain = tmp_path / "plain.xlsx"
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(plain, "w") as target:
        for name in source.namelist():
            target.writestr(name, source.read(name).replace(b' fullCalcOnLoad="1"', b""))
    assert recalculate_into(plain).is_calculated_on_load
    assert b'fullCalcOnLoad="1"' in parts_of(plain)["xl/workbook.xml"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            lambda name, text: (
                text.replace(b"<bookViews", b'<workbookProtection lockStructure="1"/><bookViews')
                if name == "xl/workbook.xml"
                else text
            ),
            "protected against new sheets",
        ),
        (
            lambda name, text: text.replace(b'"About"', b'"Verdict (result)"') if name == "xl/workbook.xml" else text,
            "of your own; rename it",
        ),
        (
            lambda name, text: (
                text.replace(b"<sheets>", b'<sheets xmlns:q="http://purl.oclc.org/ooxml/x">').replace(
                    b"<workbook ", b'<workbook xmlns:p="http://purl.oclc.org/ooxml/x" '
                )
                if name == "xl/workbook.xml"
                else text
            ),
            "strict form",
        ),
    ],
)
def test_what_cannot_be_patched_is_refused_and_stays(change, words, tmp_path):
    path = example(tmp_path, change=change)
    before = path.read_bytes()
    with pytest.raises(FileProblem, match=re.escape(words)):
        recalculate_into(path)
    assert path.read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize("part", ["_xmlsignatures/origin.sigs", "xl/revisions/revisionHeaders.xml"])
def test_signed_and_shared_files_are_refused(part, tmp_path):
    path = example(tmp_path)
    with zipfile.ZipFile(path, "a") as package:
        package.writestr(part, b"<x/>")
    with pytest.raises(FileProblem, match=r"signed|shared"):
        recalculate_into(path)


@pytest.mark.parametrize("owner", ["~$bench.xlsx", ".~lock.bench.xlsx#"])
def test_a_file_that_is_open_elsewhere_is_refused(owner, tmp_path):
    path = example(tmp_path)
    (tmp_path / owner).write_text("somebody")
    with pytest.raises(FileProblem, match="is open in a spreadsheet"):
        recalculate_into(path)


def test_a_run_beside_another_is_refused_and_a_dead_ones_lock_is_taken_over(tmp_path):
    path = example(tmp_path)
    lock = tmp_path / ".bench.xlsx.ledcalc"
    lock.write_text(str(os.getpid()))
    with pytest.raises(FileProblem, match="another run"):
        recalculate_into(path)
    dead = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    lock.write_text(dead.stdout.decode().strip())
    recalculate_into(path)
    assert not lock.exists()


def test_a_file_changed_while_results_are_drawn_is_refused(tmp_path, monkeypatch):
    path = example(tmp_path)
    drawn = into.sheets_for_host

    def slow(*words):
        path.write_bytes(path.read_bytes() + b"\0")
        return drawn(*words)

    monkeypatch.setattr(into, "sheets_for_host", slow)
    with pytest.raises(FileProblem, match="was changed while results were written; nothing was replaced"):
        recalculate_into(path)


def test_a_folder_of_csv_files_has_no_place_for_sheets(tmp_path):
    assert main(["blank", str(tmp_path / "bench"), "--example"]) == 0
    with pytest.raises(FileProblem, match="workbook"):
        recalculate_into(tmp_path / "bench")


def test_a_link_is_followed_and_stays_a_link(tmp_path):
    (tmp_path / "real").mkdir()
    path = example(tmp_path / "real")
    link = tmp_path / "bench.xlsx"
    link.symlink_to(path)
    recalculate_into(link)
    assert link.is_symlink()
    assert f"Verdict{RESULT_MARK}" in openpyxl.load_workbook(path).sheetnames


def test_rights_of_the_file_stay(tmp_path):
    path = example(tmp_path)
    path.chmod(0o640)
    recalculate_into(path)
    assert path.stat().st_mode & 0o777 == 0o640


KILLED = """
import os, signal, sys
from ledcalc.workbook.patch import into
from ledcalc.workbook.recalculate import recalculate_into
step, count = int(sys.argv[2]), 0
def dies(call):
    def at(*words, **more):
        global count
        count += 1
        if count == step:
            os.kill(os.getpid(), signal.SIGKILL)
        done = call(*words, **more)
        return done
    return at
for name in ("fsync", "replace", "fdopen"):
    setattr(into.os, name, dies(getattr(os, name)))
into.tempfile.mkstemp = dies(into.tempfile.mkstemp)
into.shutil.copymode = dies(into.shutil.copymode)
recalculate_into(sys.argv[1])
"""


@pytest.mark.slow
def test_killed_at_any_step_of_the_save_the_file_is_whole(tmp_path):
    path = example(tmp_path)
    old, statuses = parts_of(path), []
    for step in range(1, 12):
        done = subprocess.run([sys.executable, "-c", KILLED, str(path), str(step)], capture_output=True, check=False)
        statuses.append(done.returncode)
        now = parts_of(path)
        is_new = any("ledcalc-sheet" in name for name in now)
        assert is_new or now == old
        if is_new:
            assert f"Workings{RESULT_MARK}" in openpyxl.load_workbook(path, read_only=True).sheetnames
            break
    assert statuses.count(-signal.SIGKILL) >= 8
    assert statuses[-1] == 0


def test_command(tmp_path, capsys):
    path = example(tmp_path)
    assert main(["recalculate", str(path), "--into"]) == 0
    said = capsys.readouterr().out
    assert f"wrote {path}" in said
    assert f"as it was before this run: {backup_path(path)}" in said
