"""Files that try to take memory, time or more: refused in words before anything parses them."""

import os
import struct
import sys
import zipfile

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.errors import FileProblem, InputErrors
from ledcalc.workbook import package as package_module
from ledcalc.workbook import reader as reader_module
from ledcalc.workbook.reader import read_inputs


@pytest.fixture
def repacked(example_xlsx, tmp_path):
    """Return a function: changes to the example's parts (name -> bytes or None) -> path of the changed workbook."""

    def changed(parts, *, method=zipfile.ZIP_DEFLATED, again=()):
        target = tmp_path / "changed.xlsx"
        with zipfile.ZipFile(example_xlsx) as old, zipfile.ZipFile(target, "w", method) as new:
            for entry in old.infolist():
                data = parts.get(entry.filename, old.read(entry))
                if data is not None:
                    new.writestr(entry.filename, data)
            for name, data in again:
                new.writestr(name, data)
        return target

    return changed


def part_of(path, name):
    with zipfile.ZipFile(path) as package:
        return package.read(name)


def sheet_part(path, title):
    return f"xl/worksheets/sheet{openpyxl.load_workbook(path, read_only=True).sheetnames.index(title) + 1}.xml"


@pytest.mark.parametrize("name", ["xl/Workbook.xml", "XL/STYLES.XML"])
def test_doubled_part_names_in_other_letters(name, repacked):
    with pytest.raises(FileProblem, match="doubled or outward part names"):
        lc.read_workbook(repacked({}, again=[(name, "<x/>")]))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_doubled_part_names(repacked):
    with pytest.raises(FileProblem, match="doubled or outward part names"):
        lc.read_workbook(repacked({}, again=[("xl/styles.xml", "<x/>")]))


@pytest.mark.parametrize("name", ["xl/worksheets/sheet2.xml", "xl/drawings/odd.vml", "customXml/item1.dat"])
@pytest.mark.parametrize(
    "head",
    [
        b"<!DOCTYPE a [<!ENTITY b 'c'>]>",
        b"<?xml version='1.0'?>" + b" " * 1_200_000 + b"<!DOCTYPE a SYSTEM 'file:///nothing'>",
        b"<?xml version='1.0'?><!--" + b"x" * 999_967 + b"-->\n<!DOCTYPE a>",
    ],
)
def test_document_types_wherever_they_stand(name, head, repacked):
    """In any part, however deep, across the blocks that it is read in."""
    with pytest.raises(FileProblem, match="declares a document type"):
        lc.read_workbook(repacked({name: head + b"<a/>"}, again=[] if "sheet2" in name else [(name, head + b"<a/>")]))


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be", "utf-32"])
def test_encodings_that_hide_one(encoding, repacked):
    with pytest.raises(FileProblem, match="declares a document type"):
        lc.read_workbook(repacked({"xl/styles.xml": "<!DOCTYPE a><a/>".encode(encoding)}))


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packing_that_no_spreadsheet_uses(method, repacked):
    """Of these, a few bytes unpack to any number at one stroke."""
    with pytest.raises(FileProblem, match="packed as no spreadsheet does"):
        lc.read_workbook(repacked({}, method=method))


def test_more_formats_than_a_spreadsheet_has(example_xlsx, repacked):
    styles = part_of(example_xlsx, "xl/styles.xml").replace(b"</cellXfs>", b"<xf/>" * 260_000 + b"</cellXfs>")
    with pytest.raises(FileProblem, match=r"styles.xml has 26\d,\d\d\d elements"):
        lc.read_workbook(repacked({"xl/styles.xml": styles}))


def test_more_elements_than_can_be_read_in_time(repacked, monkeypatch):
    monkeypatch.setattr(package_module, "MOST_ELEMENTS", 60_000)
    with pytest.raises(FileProblem, match="delete formats and rows that hold no input"):
        lc.read_workbook(repacked({}, again=[("xl/sharedStrings2.xml", b"<a>" + b"<si/>" * 60_000 + b"</a>")]))


def test_a_size_that_the_directory_denies(example_xlsx, tmp_path):
    """A part that unpacks to more than its head says is damaged, not unpacked."""
    data = bytearray(example_xlsx.read_bytes())
    at = data.index(b"PK\x01\x02")
    struct.pack_into("<I", data, at + 24, 5)
    (tmp_path / "x.xlsx").write_bytes(data)
    with pytest.raises(FileProblem, match=r"is damaged|only half of one"):
        lc.read_workbook(tmp_path / "x.xlsx")


@pytest.mark.parametrize("row", ["4000000000", "1048577"])
def test_rows_far_beyond_the_last_are_not_walked_to(row, example_xlsx, repacked):
    name = sheet_part(example_xlsx, "Parts")
    data = part_of(example_xlsx, name).replace(b"</sheetData>", f'<row r="{row}"/></sheetData>'.encode())
    assert lc.read_workbook(repacked({name: data})) == lc.read_workbook(example_xlsx)


def test_wide_rows_without_end(example_xlsx, repacked):
    name = sheet_part(example_xlsx, "Parts")
    lines = "".join(f'<row r="{row}"><c r="ZZZ{row}"/></row>' for row in range(100, 1100))
    data = part_of(example_xlsx, name).replace(b"</sheetData>", f"{lines}</sheetData>".encode())
    with pytest.raises(FileProblem, match="'Parts' goes on at row"):
        lc.read_workbook(repacked({name: data}))


def test_sheets_that_are_no_input_may_be_of_any_size(example_xlsx, tmp_path):
    """Only their titles count: neither their rows nor their errors are read."""
    book = openpyxl.load_workbook(example_xlsx)
    other = book.create_sheet("Notes")
    other["A1"] = "=1/0"
    other["ZZZ9"] = "x" * 40_000
    book.save(tmp_path / "x.xlsx")
    read = lc.read_workbook(tmp_path / "x.xlsx")
    assert read == lc.read_workbook(example_xlsx)
    assert "sheet 'Notes' is none of the input sheets and was not read" in read.origin.notes


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes are of POSIX systems")
@pytest.mark.parametrize("name", ["bench.xlsx", "bench/site.csv"])
def test_pipes_and_devices_are_not_waited_for(name, example_csv, tmp_path):
    path = tmp_path / name
    path.unlink(missing_ok=True)
    os.mkfifo(path)
    with pytest.raises(FileProblem, match="is no file, but a pipe or a device"):
        lc.read_workbook(path if path.suffix == ".xlsx" else example_csv)
    path.unlink()
    path.symlink_to("/dev/zero")
    with pytest.raises(FileProblem, match="is no file, but a pipe or a device"):
        lc.read_workbook(path if path.suffix == ".xlsx" else example_csv)


def test_links_are_followed_and_loops_named(example_xlsx, example_csv, tmp_path):
    (tmp_path / "link.xlsx").symlink_to(example_xlsx)
    assert lc.read_workbook(tmp_path / "link.xlsx") == lc.read_workbook(example_xlsx)
    (tmp_path / "link").symlink_to(example_csv)
    assert lc.read_workbook(tmp_path / "link") == lc.read_workbook(example_csv)
    (tmp_path / "loop.xlsx").symlink_to(tmp_path / "loop.xlsx")
    with pytest.raises(FileProblem, match=r"loop\.xlsx"):
        lc.recalculate(tmp_path / "loop.xlsx")
    (example_csv / "site.csv").unlink()
    (example_csv / "site.csv").symlink_to("nowhere.csv")
    with pytest.raises(FileProblem, match=r"site\.csv: there is no such file"):
        lc.read_workbook(example_csv)


@pytest.mark.parametrize("name", ["x" * 300 + ".xlsx", "/".join(["d" * 200] * 30) + "/x.xlsx", "nul\0.xlsx"])
def test_names_that_no_file_can_have(name, example_xlsx, tmp_path):
    with pytest.raises(FileProblem, match=r"cannot be|no such file"):
        lc.read_workbook(tmp_path / name)
    with pytest.raises(FileProblem, match=r"cannot be written|no folder|no name"):
        lc.recalculate(example_xlsx, tmp_path / name)


def test_deep_folders(example_xlsx, tmp_path):
    deep = tmp_path.joinpath(*["d" * 100] * 30)
    deep.mkdir(parents=True)
    (deep / "bench.xlsx").write_bytes(example_xlsx.read_bytes())
    lc.recalculate(deep / "bench.xlsx")
    assert (deep / "bench-results.xlsx").exists()


def test_a_folder_named_as_a_file(example_csv):
    (example_csv / "site.csv").unlink()
    (example_csv / "site.csv").mkdir()
    with pytest.raises(FileProblem, match=r"site\.csv: "):
        lc.read_workbook(example_csv)


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes are of Linux")
def test_names_of_any_bytes(example_csv):
    (example_csv / os.fsdecode(b"st\xffck.csv")).write_text("a,b\n")
    (example_csv / "site.csv").write_text("")
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(example_csv)
    assert "no header row found" in str(caught.value)


# --- texts and numbers


@pytest.mark.parametrize("text", ["\x07bell", "\x7f", "\x9bescape", "\ufffe", "\uffff", "\ufdd0"])
def test_characters_that_no_file_can_hold_are_named(text, example_csv):
    path = example_csv / "fixture.csv"
    path.write_text(path.read_text().replace("Winter seedling bench (invented example)", f"Winter {text}"))
    with pytest.raises(InputErrors, match=r"a control character, U\+[0-9A-F]{4}, in the text") as caught:
        lc.read_workbook(example_csv)
    assert text not in str(caught.value)


def test_texts_as_long_as_a_cell_and_longer(example_csv):
    path = example_csv / "fixture.csv"
    text, name = path.read_text(), "Winter seedling bench (invented example)"
    path.write_text(text.replace(name, "x" * 32_767))
    assert lc.read_workbook(example_csv).name == "x" * 32_767
    path.write_text(text.replace(name, "x" * 32_768))
    with pytest.raises(InputErrors, match=r"a text of 32,768 characters.*keep it under 32,767") as caught:
        lc.read_workbook(example_csv)
    assert len(str(caught.value)) < 1000


@pytest.mark.parametrize(
    "text",
    ["1 a" + " " * 32_000 + "b", "1" * 32_000, "(" * 32_000, " [" * 16_000, "1" + " to" * 10_000, "x by " * 6_000],
)
@pytest.mark.parametrize("name", ["fixture", "cables", "variants"])
def test_long_texts_take_no_long_time(text, name, example_csv):
    """Each of these took minutes: what is tried at every character must not run to the end of the text each time."""
    path = example_csv / f"{name}.csv"
    lines = path.read_text().splitlines()
    cells = lines[-1].split(",")
    head = lines[0].split(",")
    lines[0] = ",".join([*head, text])
    lines[-1] = ",".join([text if at == 1 else cell for at, cell in enumerate(cells)])
    path.write_text("\n".join(lines))
    found = read_inputs(example_csv)
    assert found.problems or any(variant.problem for variant in found.variants)


def test_whole_numbers_of_hundreds_of_digits(example_xlsx, example_cells, repacked):
    """A spreadsheet writes no such number; a program may."""
    place = example_cells["fixture.height_m"].split("!")[1]
    name = sheet_part(example_xlsx, "Fixture")
    data = part_of(example_xlsx, name)
    at = data.index(f'r="{place}"'.encode())
    start, end = data.rindex(b"<c ", 0, at), data.index(b"</c>", at) + 4
    data = data[:start] + f'<c r="{place}"><v>{"9" * 400}</v></c>'.encode() + data[end:]
    with pytest.raises(InputErrors, match="not a finite number"):
        lc.read_workbook(repacked({name: data}))


def test_the_number_one_is_the_unit_of_shares(example_xlsx, example_cells, tmp_path):
    """A spreadsheet makes a number of what is typed as 1, even where it was chosen from a list of units."""
    book = openpyxl.load_workbook(example_xlsx)
    title, cell = example_cells["site.wall_reflectance_fraction"].split("!")
    book[title][cell], book[title][f"C{cell[1:]}"] = 0.4, 1
    title, cell = example_cells["drivers[0].efficiency_fraction"].split("!")
    book[title][cell] = 0.91
    book[title][f"{cell.rstrip('0123456789')}{int(cell.lstrip('ABCDEFGHIJKLMNOPQRSTUVWXYZ')) - 1}"] = 1.0
    book.save(tmp_path / "x.xlsx")
    fixture = lc.read_workbook(tmp_path / "x.xlsx")
    assert fixture.site.wall_reflectance_fraction == 0.4
    assert fixture.drivers[0].efficiency_fraction == 0.91


@pytest.mark.parametrize(
    "text", ["; ;", "0 to 1e300 by 1e-300", "1 to 1e18 by 1", "1e999 to 1e999 by 1e999", "nan to 1 by 1"]
)
def test_ranges_that_nobody_can_count_carry_a_reason(text, example_csv):
    path = example_csv / "variants.csv"
    path.write_text(path.read_text() + f"odd,{text},,\n")
    odd = [variant for variant in read_inputs(example_csv).variants if variant.name == "odd"]
    assert len(odd) == 1
    assert repr(text)[1:-1] in odd[0].problem


def test_a_sheet_of_bad_cells_ends_somewhere(example_csv):
    path = example_csv / "boards.csv"
    path.write_text(path.read_text() + ",".join(["x"] * 18) + "\n" + "y,x,x,x,x,x,x,x,x,x,x,x,x,x,x,x,x,x\n" * 3000)
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(example_csv)
    text = str(caught.value)
    assert len(text) < 100_000
    assert "more; mend these and run it again" in text
    assert len(caught.value.problems) > 20_000
    assert any("not read after row" in problem.problem for problem in caught.value.problems)


def test_old_line_ends(example_csv):
    """Files of old systems end their lines with a carriage return alone."""
    before = lc.read_workbook(example_csv)
    for path in example_csv.iterdir():
        path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r"))
    assert lc.read_workbook(example_csv) == before


# --- what a workbook may bring along, and is left alone


def test_macros_and_links_are_left_alone(example_xlsx, repacked, monkeypatch):
    """A macro project is bytes to the reader, and a reference to another file is never opened."""
    import socket

    def refuse(*_words, **_more):
        raise AssertionError("a link was followed")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    outside = (
        b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" '
        b'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath" '
        b'Target="http://example.invalid/x.xlsx" TargetMode="External"/></Relationships>'
    )
    macro = b"\xd0\xcf\x11\xe0 stands for macros"
    path = repacked(
        {}, again=[("xl/vbaProject.bin", macro), ("xl/externalLinks/_rels/externalLink1.xml.rels", outside)]
    )
    assert lc.read_workbook(path) == lc.read_workbook(example_xlsx)


def test_a_table_longer_than_any_bench_needs_is_told(example_csv, monkeypatch):
    monkeypatch.setattr(reader_module, "MOST_RECORD_CELLS", 2_000)
    log = example_csv / "current_log.csv"
    log.write_text(log.read_text() + "1,B1,0.5\n" * 2_000)
    with pytest.raises(InputErrors, match=r"Current log: more than \d{3} rows; remedy: keep those"):
        lc.read_workbook(example_csv)
