"""Workers of a Dask cluster: two real processes on loopback, one of them killed while it works."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from running import electrical, outcome, reached, started, wait_for

pytest.importorskip("distributed", reason="needs Dask distributed")

ROWS = 20_480


def process(module, *arguments):
    return subprocess.Popen(
        [sys.executable, "-m", f"distributed.cli.{module}", *map(str, arguments), "--no-dashboard"],
        env={**os.environ, "OMP_NUM_THREADS": "1"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


@pytest.mark.slow
def test_a_worker_killed_at_work_loses_and_doubles_nothing(book, tmp_path):
    rows, where, out = electrical(tmp_path / "rows.csv", ROWS), tmp_path / "scheduler.json", tmp_path / "out.csv"
    scheduler = process("dask_scheduler", "--host", "127.0.0.1", "--port", 0, "--scheduler-file", where)
    alone = ("--nthreads", 1, "--no-nanny", "--scheduler-file", where, "--local-directory", tmp_path)
    workers = [process("dask_worker", *alone) for _ in range(2)]
    try:
        wait_for(where.exists, scheduler)
        address = json.loads(where.read_text())["address"]
        wait_for(lambda: workers_count(address) == 2, scheduler)
        run = started(book, "--rows", rows, "--out", out, "--cluster", address)
        wait_for(lambda: reached(out) >= 2, run)
        workers[0].kill()
        assert workers[0].wait() < 0
        assert reached(out) < ROWS // 2048 - 2, "killed too late to matter"
        status, said, complained = outcome(run)
        assert status == 0, (said, complained)
    finally:
        for one in (*workers, scheduler):
            one.kill()
            one.wait()
    assert outcome(started(book, "--rows", rows, "--out", tmp_path / "alone.csv", "--workers", 1))[0] == 0
    assert out.read_bytes() == (tmp_path / "alone.csv").read_bytes()


def workers_count(address):
    from distributed import Client

    with Client(address, timeout=10, set_as_default=False) as client:
        time.sleep(0.05)
        return len(client.nthreads())
