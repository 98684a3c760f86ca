"""Processor time of a calibration, in seconds and as a ratio to one warm evaluation of its fixture in the same run.

    OMP_NUM_THREADS=1 python tests/benchmarks/bench_calibrate.py

Twelve boards on one driver in a room, each read twice, two maps of 36 readings at
two heights: fitted, with a fourth of the readings left out in turn and predicted; then the same with the fit alone, and
with a log of 100,000 rows.
"""

import dataclasses
import sys
import time
from pathlib import Path

import numpy as np

import ledcalc as lc
from ledcalc.calibrate import calibrate
from ledcalc.calibrate.light_factors import _at_nodes

sys.path.insert(0, str(Path(__file__).parents[1] / "calibrate"))
from simulated_bench import bench_of, drawn, points, read

ROUNDS = 5
ROWS = 100_000


def timed(call, rounds=ROUNDS, before=lambda: None):
    times = []
    for _ in range(rounds):
        before()
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def main() -> None:
    rng = np.random.default_rng(1)
    fixture = bench_of(12)
    maps = {0.28: points(fixture, 6, 6), 0.5: points(fixture, 6, 6)}
    taken = read(fixture, drawn(fixture, rng), rng, maps=maps)
    lc.evaluate(taken)
    once = timed(lambda: lc.evaluate(taken))
    print(f"one warm evaluation of 12 boards: {once:.3f} s")
    # The room's light at several reflectances is kept from one calibration to the next; the first one works it out.
    first = timed(lambda: calibrate(taken), before=_at_nodes.cache_clear)
    print(
        f"12 boards, two maps of 36, first time, parts left out in turn: {first:.3f} s, {first / once:.1f} evaluations"
    )
    warm = timed(lambda: calibrate(taken))
    print(f"  the same again: {warm:.3f} s, {warm / once:.1f} evaluations")
    alone = timed(lambda: calibrate(taken, leave_out=False))
    print(f"  the fit alone: {alone:.3f} s, {alone / once:.1f} evaluations")
    both = timed(lambda: calibrate(taken, canopy=True, leave_out=False), 2, before=_at_nodes.cache_clear)
    print(f"  the fit alone, first time, canopy looked for too: {both:.3f} s, {both / once:.1f} evaluations")
    log = [
        dataclasses.replace(row, elapsed_h=3.0 + turn / 3600.0)
        for turn in range(ROWS // 12 + 1)
        for row in taken.current_log[:12]
    ]
    long = dataclasses.replace(taken, current_log=tuple(log[:ROWS]))
    many = timed(lambda: calibrate(long, leave_out=False), 1)
    print(f"  the fit alone, log of {ROWS:,} rows: {many:.2f} s")


if __name__ == "__main__":
    main()
