"""Runs that are stopped, and go on: no row lost, none doubled, the same to the byte."""

import errno
import os
import signal
import sys
import time
from concurrent.futures import BrokenExecutor, Executor, Future
from pathlib import Path

import numpy as np
import pytest

from ledcalc.errors import FileProblem
from ledcalc.streams import open_source, stream_variants
from ledcalc.streams import source as source_module
from ledcalc.streams import target as target_module
from ledcalc.workbook import read_workbook

sys.path.insert(0, str(Path(__file__).parent))
from running import electrical, outcome, reached, started, wait_for

KILLS = 10
BLOCK, ROWS = 32, 640


@pytest.fixture
def rows(tmp_path):
    return electrical(tmp_path / "rows.csv", 64)


class Stopped(Exception):
    """Stands for whatever ends a process."""


def stop_after(count):
    told = []

    def done(variants_count):
        told.append(variants_count)
        if len(told) > count:
            raise Stopped

    return done


def streamed(book, rows, out, **options):
    return stream_variants(read_workbook(book), open_source(rows), out, **options)


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("ending", ["csv", "parquet"])
@pytest.mark.parametrize("torn", [b"", b"v3", b"v32,1,2\nv33,4,5\n"])
def test_goes_on_where_it_was(book, rows, tmp_path, ending, torn):
    if ending == "parquet":
        pytest.importorskip("pyarrow", reason="needs pyarrow")
    streamed(book, rows, tmp_path / f"whole.{ending}")
    out = tmp_path / f"out.{ending}"
    with pytest.raises(Stopped):
        streamed(book, rows, out, done=stop_after(2))
    part = tmp_path / f"out.{ending}.part"
    with (part / "000002.parquet" if ending == "parquet" else part).open("ab") as stream:
        stream.write(torn)
    found = streamed(book, rows, out)
    assert found.resumed_at_count == 32
    assert found.variants_count == 64
    assert out.read_bytes() == (tmp_path / f"whole.{ending}").read_bytes()
    assert not part.exists()


@pytest.mark.usefixtures("small_blocks")
def test_earlier_results_stay_until_the_new_ones_are_there(book, rows, tmp_path):
    out = tmp_path / "out.csv"
    out.write_text("earlier")
    with pytest.raises(Stopped):
        streamed(book, rows, out, done=stop_after(1))
    assert out.read_text() == "earlier"
    streamed(book, rows, out)
    assert out.read_text().startswith("variant,")


@pytest.mark.usefixtures("small_blocks")
def test_unfinished_results_of_something_else_are_not_mixed_in(book, rows, tmp_path):
    out = tmp_path / "out.csv"
    with pytest.raises(Stopped):
        streamed(book, rows, out, done=stop_after(2))
    before = (tmp_path / "out.csv.part").read_bytes()
    electrical(rows, 65)
    with pytest.raises(FileProblem, match="unfinished results of other inputs"):
        streamed(book, rows, out)
    assert (tmp_path / "out.csv.part").read_bytes() == before
    assert streamed(book, rows, out, anew=True).resumed_at_count == 0


@pytest.mark.usefixtures("small_blocks")
def test_a_name_that_stands_twice_across_the_stop_is_found(book, tmp_path):
    rows = tmp_path / "rows.csv"
    names = [f"v{number}" for number in range(40)] + ["v3"]
    rows.write_text("Variant,fixture.current_setting_a\n" + "".join(f"{name},3\n" for name in names))
    with pytest.raises(Stopped):
        streamed(book, rows, tmp_path / "out.csv", done=stop_after(2))
    assert streamed(book, rows, tmp_path / "out.csv").not_computed_count == 1
    assert "the name 'v3' stands twice" in (tmp_path / "out.csv").read_text().splitlines()[-1]


@pytest.mark.usefixtures("small_blocks")
def test_a_full_disk_loses_nothing(book, rows, tmp_path, monkeypatch):
    streamed(book, rows, tmp_path / "whole.csv")
    real, calls = os.fsync, []

    def full(handle):
        calls.append(handle)
        if len(calls) > 6:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(handle)

    monkeypatch.setattr(target_module.os, "fsync", full)
    with pytest.raises(
        FileProblem, match=r"No space left on device.*32 variants are in out.csv.part: the same command"
    ):
        streamed(book, rows, tmp_path / "out.csv")
    monkeypatch.undo()
    monkeypatch.setattr(source_module, "rows_at_a_time", lambda _: 16)
    assert streamed(book, rows, tmp_path / "out.csv").resumed_at_count == 32
    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


class Breaking(Executor):
    """Loses its workers with the third block."""

    def __init__(self):
        self.count = 0

    def submit(self, function, /, *arguments, **named):
        future, self.count = Future(), self.count + 1
        if self.count > 2:
            future.set_exception(BrokenExecutor("a process was ended"))
        else:
            future.set_result(function(*arguments, **named))
        return future


@pytest.mark.usefixtures("small_blocks")
def test_lost_workers_are_said_and_nothing_is_lost(book, rows, tmp_path):
    streamed(book, rows, tmp_path / "whole.csv")
    with pytest.raises(FileProblem, match=r"workers were lost \(a process was ended\); 32 variants are in"):
        streamed(book, rows, tmp_path / "out.csv", executor=Breaking())
    streamed(book, rows, tmp_path / "out.csv")
    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_killed_at_ten_random_points(book, tmp_path, monkeypatch, ending):
    if ending == "parquet":
        pytest.importorskip("pyarrow", reason="needs pyarrow")
    monkeypatch.setattr(source_module, "rows_at_a_time", lambda _: BLOCK)
    rows, rng, whole = electrical(tmp_path / "rows.csv", ROWS), np.random.default_rng(5), tmp_path / f"whole.{ending}"
    streamed(book, rows, whole)
    for number in range(KILLS):
        out, blocks_count = tmp_path / f"killed-{number}.{ending}", int(rng.integers(0, ROWS // BLOCK - 3))
        process = started(book, "--rows", rows, "--out", out, "--workers", 1, block_size=BLOCK)
        wait_for(lambda out=out, wanted=blocks_count: reached(out) >= wanted, process)
        time.sleep(float(rng.uniform(0.0, 0.03)))
        process.kill()
        assert outcome(process)[0] == -signal.SIGKILL
        assert not out.exists()
        assert streamed(book, rows, out).resumed_at_count >= BLOCK * blocks_count
        assert out.read_bytes() == whole.read_bytes()


@pytest.mark.slow
def test_the_keyboard_stops_it_in_a_line(book, tmp_path):
    rows, out = electrical(tmp_path / "rows.csv", ROWS), tmp_path / "out.csv"
    process = started(book, "--rows", rows, "--out", out, "--workers", 2, block_size=BLOCK, start_new_session=True)
    wait_for(lambda: reached(out) >= 1, process)
    os.killpg(process.pid, signal.SIGINT)
    status, _, complained = outcome(process)
    assert status == 2
    assert "stopped by the keyboard" in complained
    assert "Traceback" not in complained


@pytest.mark.slow
def test_a_file_size_limit_stops_as_a_full_disk_does(book, tmp_path):
    resource = pytest.importorskip("resource", reason="limits of Unix")
    rows, out = electrical(tmp_path / "rows.csv", ROWS), tmp_path / "out.csv"
    given = (book, "--rows", rows, "--out", out, "--workers", 1)
    limited = started(
        *given, block_size=BLOCK, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
    )
    status, _, complained = outcome(limited)
    assert status == 2
    assert "the same command goes on from there" in complained
    assert outcome(started(*given, block_size=BLOCK))[0] == 0
    whole = (book, "--rows", rows, "--out", tmp_path / "whole.csv", "--workers", 1)
    assert outcome(started(*whole, block_size=BLOCK))[0] == 0
    assert out.read_bytes() == (tmp_path / "whole.csv").read_bytes()


@pytest.mark.slow
def test_a_bar_tells_rate_and_time_left(book, tmp_path):
    pty, termios = (pytest.importorskip(name, reason="terminals of Unix") for name in ("pty", "termios"))
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 100))
    rows = electrical(tmp_path / "rows.csv", ROWS)
    process = started(
        book, "--rows", rows, "--out", tmp_path / "out.csv", "--workers", 1, block_size=BLOCK, stderr=theirs
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            shown += os.read(ours, 4096)
        except OSError:  # the other end is closed
            break
    os.close(ours)
    assert outcome(process)[0] == 0
    assert b"variant/s" in shown
    assert b"/640 [" in shown
    assert b"<" in shown
