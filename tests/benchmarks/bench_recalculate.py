"""How long a whole recalculation of the example takes, beside a bare Python that imports the same libraries.

    python tests/benchmarks/bench_recalculate.py

Both run in turn within this one run; the medians and their ratio are printed, and the peak memory of the recalculation.
"""

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLE = Path(__file__).parents[2] / "workbooks" / "seedling-bench.xlsx"
ROUNDS = 9
BARE = (
    "import shutil, sys, numpy, scipy.interpolate, scipy.optimize, openpyxl, xlsxwriter, defusedxml; "
    "shutil.copy(sys.argv[1], sys.argv[2])"
)
IMPORT_NUMPY, IMPORT_LEDCALC = "import numpy", "import numpy, ledcalc"


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        bare = [sys.executable, "-c", BARE, str(EXAMPLE), f"{folder}/copy.xlsx"]
        ours = [sys.executable, "-m", "ledcalc", "recalculate", str(EXAMPLE), "--out", f"{folder}/results.xlsx"]
        numpy_only, with_ledcalc = ([sys.executable, "-c", code] for code in (IMPORT_NUMPY, IMPORT_LEDCALC))
        rows = [[seconds(command) for command in (bare, ours, numpy_only, with_ledcalc)] for _ in range(ROUNDS)]
        medians = [statistics.median(column) for column in zip(*rows, strict=True)]
        peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"recalculate the example        {medians[1]:.2f} s")
    print(f"bare Python, same libraries    {medians[0]:.2f} s")
    print(f"ratio                          {medians[1] / medians[0]:.2f}")
    print(f"peak memory                    {peak_mb:.0f} MB")
    print(f"import ledcalc beyond numpy    {medians[3] - medians[2]:.3f} s")


if __name__ == "__main__":
    main()
