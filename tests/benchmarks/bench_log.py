"""How long a log of 100,000 readings takes to read in and to judge.

python tests/benchmarks/bench_log.py
"""

import time

import numpy as np

from ledcalc.bench import CurrentLog, MeterNoise, judge_log

READINGS, BOARDS, HOURS = 100_000, 12, 72.0
CLAMP = MeterNoise(accuracy_fraction=0.02, counts=2, resolution=0.01)


def seconds(call):
    """Return the least time of three rounds."""
    rounds = []
    for _ in range(3):
        start = time.perf_counter()
        call()
        rounds.append(time.perf_counter() - start)
    return min(rounds)


rng = np.random.default_rng(0)
count = READINGS // BOARDS
hours = np.repeat(np.linspace(0.0, HOURS, count), BOARDS)
tags = [f"B{n % BOARDS + 1}" for n in range(count * BOARDS)]
level = np.tile(2.0 + 0.1 * rng.standard_normal(BOARDS), count)
current = level * (1.0 + 0.03 * np.exp(-hours / 0.8)) + rng.uniform(-0.02, 0.02, hours.size)
columns = {
    "temperature_c": 25.0 + 30.0 * (1.0 - np.exp(-hours / 0.8)) + rng.normal(0.0, 0.3, hours.size),
    "air_temperature_c": 25.0 + rng.normal(0.0, 0.2, hours.size),
}
log = CurrentLog.from_long(hours, tags, current, **columns)
read_in = seconds(lambda: CurrentLog.from_long(hours, tags, current, **columns))
judged = seconds(lambda: judge_log(log, noise=CLAMP, rating_a=2.4))
print(f"read in {hours.size} readings of {BOARDS} boards   {read_in:.2f} s")
print(f"judge them                              {judged:.2f} s")
