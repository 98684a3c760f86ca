"""The long run: ``python tests/fuzz/run.py --count 5000 --seed 1``; one case: ``--count 1 --seed NUMBER --keep``."""

import argparse
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from fuzz_cases import base_fixture, tried

PROGRESS_EVERY = 100


def main():
    """Run cases from consecutive seeds; print failures as they come, and the counts at the end."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=5000, help="how many cases")
    parser.add_argument("--seed", type=int, default=1, help="seed of the first case; the next ones count on from it")
    parser.add_argument("--keep", action="store_true", help="keep the inputs of cases that fail, and say where")
    options = parser.parse_args()
    work = Path(tempfile.mkdtemp(prefix="ledcalc-fuzz-"))
    base, outcomes, slowest, begun = base_fixture(work), Counter(), (0.0, 0), time.monotonic()
    for seed in range(options.seed, options.seed + options.count):
        folder, started = work / str(seed), time.process_time()
        folder.mkdir()
        case, verdict = tried(seed, folder, base)
        slowest = max(slowest, (time.process_time() - started, seed))
        outcomes["FAILED" if verdict.failure else verdict.outcome] += 1
        if verdict.failure:
            print(f"--- seed {seed}: {', '.join(case.done)}\n{verdict.failure}", flush=True)
        if not (options.keep and verdict.failure):
            shutil.rmtree(folder)
        if seed % PROGRESS_EVERY == 0:
            print(f"seed {seed}: {dict(outcomes)}", flush=True)
    counts = ", ".join(f"{count} {outcome}" for outcome, count in outcomes.most_common())
    print(
        f"{options.count} cases from seed {options.seed} in {time.monotonic() - begun:.0f} s: {counts}; slowest "
        f"{slowest[0]:.1f} s (seed {slowest[1]})"
    )
    if options.keep and outcomes["FAILED"]:
        print(f"inputs of failed cases: {work}")
    else:
        shutil.rmtree(work)
    return 1 if outcomes["FAILED"] else 0


if __name__ == "__main__":
    sys.exit(main())
