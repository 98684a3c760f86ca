"""Many variants: against ``evaluate`` one by one, in one process and in two, from file to file.

    python tests/benchmarks/bench_variants.py            # up to 100,000 variants
    python tests/benchmarks/bench_variants.py 1000000    # so many from file to file

Ratios are of the same run. "flat": what a row costs in the last quarter of a file against the second, by the processor
time of all processes (the first has their start in it). Peak memory is that of the command and its processes together
(Linux only).
"""

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

import ledcalc as lc
from ledcalc.cli import main as command
from ledcalc.demo import seedling_bench
from ledcalc.records import with_values
from ledcalc.streams import open_source, stream_variants
from ledcalc.variants import Variant
from ledcalc.variants.engine import Engine
from ledcalc.variants.executors import processes
from ledcalc.variants.inputs import Base, columns_of

SETTINGS = {"current_setting_a": (2.0, 4.8), "dimming_fraction": (0.2, 1.0), "voltage_setting_v": (23.0, 26.0)}
PITCHES = {"row_pitch_m": (0.1, 0.5), "column_pitch_m": (0.1, 0.45)}
EXAMPLES, SHARED_LAYOUTS = 10, 4096


def in_a_room(fixture):
    site = replace(fixture.site, room_width_m=1.7, room_depth_m=1.3, room_height_m=2.0)
    return replace(fixture, crop_x_m=0.25, crop_y_m=0.35, site=site)


def drawn(ranges, count):
    rng = np.random.default_rng(7)
    return {f"fixture.{name}": rng.uniform(low, high, count) for name, (low, high) in ranges.items()}


def rows_in(path, ranges, count):
    columns = drawn(ranges, count)
    lines = [",".join(("Variant", *columns))]
    rows = enumerate(zip(*columns.values(), strict=True))
    lines += [f"v{number}," + ",".join(f"{value:.6f}" for value in row) for number, row in rows]
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return path


def together_s(base, ranges, count):
    """Processor time a variant, in blocks as files have them."""
    engine, columns, size = Engine(base=Base.of(base)), drawn(ranges, count), 2048 if ranges is SETTINGS else 512
    changes = [dict(zip(columns, map(float, row), strict=True)) for row in zip(*columns.values(), strict=True)]
    variants = [Variant(name=str(number), changes=own) for number, own in enumerate(changes)]
    engine.evaluate(columns_of(engine.base, variants[:8]))
    start = time.process_time()
    for first in range(0, count, size):
        engine.evaluate(columns_of(engine.base, variants[first : first + size]))
    together = (time.process_time() - start) / count
    start = time.process_time()
    for own in changes[:EXAMPLES]:
        lc.evaluate(with_values(base, own))
    return together, (time.process_time() - start) / EXAMPLES


def against_one_by_one(bench):
    for name, base, ranges, count in (
        ("electrical and dimming", bench, SETTINGS, 8192),
        ("layouts on an open bench", bench, PITCHES, 1024),
        ("layouts in one room", in_a_room(bench), PITCHES, 1024),
    ):
        together, alone = together_s(base, ranges, count)
        print(
            f"{name}: {together * 1e3:.3f} ms a variant together, {alone * 1e3:.1f} ms one by one: "
            f"{alone / together:.0f} times as quick"
        )


def workers(bench, folder):
    """Layouts in a room with one process and with two, both started and warm, taken in turn."""
    base, seconds = in_a_room(bench), {1: [], 2: []}
    source = open_source(rows_in(folder / "layouts.csv", PITCHES, SHARED_LAYOUTS))
    few = open_source(rows_in(folder / "few.csv", PITCHES, 1100))
    pools = {count: processes(count) for count in seconds}
    for count, pool in pools.items():
        stream_variants(base, few, folder / "out.csv", executor=pool, ahead=2 * count)
    for _ in range(2):
        for count, pool in pools.items():
            start = time.perf_counter()
            stream_variants(base, source, folder / "out.csv", executor=pool, ahead=2 * count)
            seconds[count].append(time.perf_counter() - start)
    for pool in pools.values():
        pool.shutdown()
    one, two = (min(seconds[count]) for count in (1, 2))
    print(
        f"{SHARED_LAYOUTS:,} layouts in a room: one worker {one:.1f} s, two {two:.1f} s: {one / two:.2f} times as "
        f"quick ({os.cpu_count()} processors, load {os.getloadavg()[0]:.1f})"
    )


def family(pid):
    """A process and all its children."""
    found = [pid]
    try:
        for task in os.listdir(f"/proc/{pid}/task"):
            for child in Path(f"/proc/{pid}/task/{task}/children").read_text().split():
                found += family(int(child))
    except OSError:
        pass
    return found


def resident_mb(pid):
    try:
        return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20
    except (OSError, IndexError):
        return 0.0


def processor_s(pid):
    try:
        entries = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(entries[11]) + int(entries[12])) / os.sysconf("SC_CLK_TCK")
    except (OSError, IndexError):
        return 0.0


def from_file_to_file(book, folder, count):
    """The whole command, watched."""
    rows, out = rows_in(folder / "rows.csv", SETTINGS, count), folder / "table.csv"
    part, peak_mb, seen = folder / "table.csv.part", 0.0, []
    start = time.perf_counter()
    run = subprocess.Popen(
        [sys.executable, "-m", "ledcalc", "variants", str(book), "--rows", str(rows), "--out", str(out)],
        stdout=subprocess.DEVNULL,
    )
    while run.poll() is None:
        processes_now = family(run.pid)
        peak_mb = max(peak_mb, sum(map(resident_mb, processes_now)))
        if part.exists():
            seen.append((part.stat().st_size, sum(map(processor_s, processes_now))))
        time.sleep(0.1)
    seconds, total = time.perf_counter() - start, out.stat().st_size
    used = np.interp(np.linspace(0, total, 5), *np.array(seen or [(0, 0), (total, 0)], dtype=float).T)
    quarters = np.diff(used)
    flat = f", flat: {quarters[-1] / quarters[1]:.2f} (last quarter over second)" if len(seen) > 100 else ""
    print(
        f"{count:,} variants from CSV to CSV: {seconds:.1f} s, processor {used[-1]:.1f} s, peak memory {peak_mb:.0f} MB"
        f"{flat} (load {os.getloadavg()[0]:.1f})"
    )


def main():
    bench = seedling_bench()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        book = folder / "bench.xlsx"
        command(["blank", str(book), "--example"])
        if len(sys.argv) > 1:
            from_file_to_file(book, folder, int(sys.argv[1]))
            return
        against_one_by_one(bench)
        workers(bench, folder)
        for count in (10_000, 100_000):
            from_file_to_file(book, folder, count)


if __name__ == "__main__":
    main()
