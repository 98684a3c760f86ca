"""Results that are written while all goes wrong: the file is the old one or the new one, whole; never half of one."""

import csv
import errno
import os
import resource
import signal
import subprocess
import sys
import zipfile
from xml.etree import ElementTree

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.workbook import atomic
from ledcalc.workbook.csv_folder import FORMULA_STARTS
from ledcalc.workbook.results import write_results, write_table

NASTY = [
    "=1+1",
    '=HYPERLINK("http://example.invalid","x")',
    "+1",
    "-1+2",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "{=1}",
    "http://example.invalid",
    "<script>alert(1)</script>",
    "]]>&amp;\"'",
    "\x07\x1b[31m",
    "\uffff\ufffe",
    "x" * 40_000,
]


def is_whole(path):
    if path.is_dir():
        return (path / "Verdict.csv").exists() and (path / "Workings.csv").exists()
    return "Workings" in openpyxl.load_workbook(path, read_only=True).sheetnames


# --- texts


def texts_in(path):
    """Return all texts of a workbook, after making sure that none became a formula and every part can be read."""
    with zipfile.ZipFile(path) as package:
        for name in package.namelist():
            if name.endswith((".xml", ".rels")):
                root = ElementTree.fromstring(package.read(name))
                assert next(root.iter("{*}f"), None) is None or "charts" in name, name
        rels = [package.read(name) for name in package.namelist() if name.endswith(".rels")]
    assert not any(b"http://example.invalid" in rel for rel in rels)
    book = openpyxl.load_workbook(path)
    return [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]


@pytest.mark.parametrize("text", NASTY)
def test_a_table_holds_texts_as_texts(text, tmp_path):
    import pandas as pd

    table = pd.DataFrame({"variant": [text], text[:50]: [1.5]})
    write_table(table, tmp_path / "t.xlsx")
    texts = texts_in(tmp_path / "t.xlsx")
    assert "1.5" in texts
    assert all(len(found) <= 32_767 for found in texts)
    if text.isprintable() and len(text) < 100:
        assert text in texts
    write_table(table, tmp_path / "t.csv")
    with (tmp_path / "t.csv").open(newline="", encoding="utf-8") as stream:
        cells = [cell for row in csv.reader(stream) for cell in row]
    assert not any(cell.startswith(FORMULA_STARTS) for cell in cells)


@pytest.fixture(scope="module")
def nasty_folder(tmp_path_factory):
    """The example with texts in it that a spreadsheet or a browser would run."""
    folder = tmp_path_factory.mktemp("nasty") / "bench"
    assert main(["blank", str(folder), "--example"]) == 0
    texts = {
        "fixture.csv": ("Winter seedling bench (invented example)", '"<script>alert(1)</script>=1+1"'),
        "parts.csv": ("\n", "\n"),
        "variants.csv": ("softer", "'=1+1"),
        "site.csv": ("Crop,", "Crop,'@SUM(A1)<img src=x onerror=alert(1)>\nNo such,"),
    }
    for name, (old, new) in texts.items():
        path = folder / name
        path.write_text(path.read_text().replace(old, new, 1))
    path = folder / "site.csv"
    path.write_text("\n".join(line for line in path.read_text().splitlines() if not line.startswith("No such")))
    return folder


def test_results_hold_texts_as_texts(nasty_folder, tmp_path):
    lc.recalculate(nasty_folder, tmp_path / "r.xlsx")
    texts = texts_in(tmp_path / "r.xlsx")
    assert "=1+1" in texts
    lc.recalculate(nasty_folder, tmp_path / "r")
    for path in (tmp_path / "r").glob("*.csv"):
        with path.open(newline="", encoding="utf-8") as stream:
            for row in csv.reader(stream):
                for cell in row:
                    if cell.startswith(FORMULA_STARTS):
                        float(cell)


def test_a_report_runs_nothing(nasty_folder, tmp_path):
    assert main(["report", str(nasty_folder), "--out", str(tmp_path / "r.html")]) in {0, 1}
    html = (tmp_path / "r.html").read_text()
    assert "&lt;script&gt;alert(1)" in html
    assert "<script" not in html
    assert "<img src=x" not in html
    assert "http" not in html.split("</style>")[1]


# --- places that cannot be written


@pytest.mark.parametrize("name", ["r.xlsx", "r"])
@pytest.mark.parametrize("code", [errno.EACCES, errno.EROFS, errno.ENOSPC])
def test_a_place_that_cannot_be_written(name, code, bench_results, tmp_path, monkeypatch):
    """A read-only folder, a read-only disk, a full one."""

    def refuse(*_words, **_more):
        raise OSError(code, os.strerror(code))

    target = tmp_path / name
    write_results(bench_results, target)
    before = sorted(tmp_path.rglob("*"))
    monkeypatch.setattr(atomic.tempfile, "mkstemp", refuse)
    monkeypatch.setattr(atomic.tempfile, "mkdtemp", refuse)
    with pytest.raises(FileProblem, match=f"cannot be written .{os.strerror(code)}.; nothing was changed"):
        write_results(bench_results, target)
    assert sorted(tmp_path.rglob("*")) == before
    assert is_whole(target)


@pytest.mark.parametrize("name", ["r.xlsx", "r", "r.html"])
def test_a_disk_that_is_full_half_way(name, bench_results, tmp_path):
    """A limit on the size of files stops the writing in the midst of it, as a full disk does."""
    from ledcalc.report import write_report

    write = write_report if name.endswith(".html") else write_results
    target = tmp_path / name
    write(bench_results, target)
    old = {path: path.read_bytes() for path in sorted(tmp_path.rglob("*")) if path.is_file()}
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (1500, limits[1]))
        with pytest.raises(FileProblem, match=r"cannot be written .*; nothing was changed"):
            write(bench_results, target)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
        signal.signal(signal.SIGXFSZ, handler)
    assert {path: path.read_bytes() for path in sorted(tmp_path.rglob("*")) if path.is_file()} == old


def test_a_link_is_followed_and_stays(bench_results, tmp_path):
    (tmp_path / "real").mkdir()
    for name in ("r.xlsx", "r"):
        (tmp_path / name).symlink_to(tmp_path / "real" / name)
        write_results(bench_results, tmp_path / name)
        write_results(bench_results, tmp_path / name)
        assert (tmp_path / name).is_symlink()
        assert is_whole(tmp_path / "real" / name)


# --- runs that are killed, runs beside each other

KILLED = """
import os, signal, sys
from ledcalc.workbook import atomic, recalculate
step, count = int(sys.argv[3]), 0
def dies(call):
    def at(*words, **more):
        global count
        count += 1
        if count == step:
            os.kill(os.getpid(), signal.SIGKILL)
        return call(*words, **more)
    return at
for name in ("replace", "close"):
    setattr(atomic.os, name, dies(getattr(os, name)))
atomic.tempfile.mkstemp = dies(atomic.tempfile.mkstemp)
import ledcalc.workbook.looks as looks
looks.keep_pictures_in_shape = dies(looks.keep_pictures_in_shape)
recalculate(sys.argv[1], sys.argv[2])
"""


@pytest.mark.slow
def test_killed_at_any_step_results_are_old_or_new(example_xlsx, tmp_path):
    target = tmp_path / "r.xlsx"
    lc.recalculate(example_xlsx, target)
    old, statuses = target.read_bytes(), []
    for step in range(1, 12):
        command = [sys.executable, "-c", KILLED, str(example_xlsx), str(target), str(step)]
        statuses.append(subprocess.run(command, check=False).returncode)
        assert target.read_bytes() == old  # the same input gives the same bytes, old or new
        assert is_whole(target)
        if statuses[-1] == 0:
            break
    assert statuses[-1] == 0
    assert statuses.count(-signal.SIGKILL) >= 4


WRITER = """
import sys
from ledcalc.demo import seedling_bench
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.workbook.results import write_results
results = evaluate(seedling_bench())
for _ in range(int(sys.argv[2])):
    write_results(results, sys.argv[1])
"""


@pytest.mark.slow
@pytest.mark.parametrize("name", ["r.xlsx", "r"])
def test_two_runs_at_once_on_one_file(name, bench_results, tmp_path):
    """Each puts its own in place; what is there when both are done is whole, and nothing else is left over."""
    target = tmp_path / name
    write_results(bench_results, target)
    runs = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(target), "6"], stderr=subprocess.PIPE) for _ in range(2)
    ]
    errors = [run.communicate(timeout=300)[1].decode() for run in runs]
    assert all("FileProblem" in error for error in errors if error), errors
    assert is_whole(target)
    assert [path.name for path in tmp_path.iterdir()] == [name]
