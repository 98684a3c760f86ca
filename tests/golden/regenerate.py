"""Makes the workbooks of the repository anew: the blank template, the filled example, the same measured, their results.

python tests/golden/regenerate.py [FOLDER]
"""

import importlib.util
import sys
from pathlib import Path
from typing import Any

from ledcalc.demo import DEMO_FOLDER
from ledcalc.workbook import recalculate
from ledcalc.workbook.template import copy_inputs, write_blank, write_inputs

ROOT = Path(__file__).parents[2]
WORKBOOKS = ROOT / "workbooks"


def measured_bench() -> Any:
    """Return the example after a day on the bench, as ``examples/bench_round.py`` draws its readings."""
    spec = importlib.util.spec_from_file_location("bench_round", ROOT / "examples" / "bench_round.py")
    assert spec is not None
    assert spec.loader is not None
    sys.modules[spec.name] = bench_round = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(bench_round)
    design = bench_round.designed()
    return bench_round.measured(
        design, bench_round.as_it_is(design), bench_round.SETTING_A, ("first map", "second map")
    )


def regenerate(folder: Path) -> None:
    write_blank(folder / "blank.xlsx", overwrite=True)
    copy_inputs(DEMO_FOLDER, folder / "seedling-bench.xlsx", overwrite=True)
    copy_inputs(DEMO_FOLDER, folder / "seedling-bench", overwrite=True)
    recalculate(folder / "seedling-bench.xlsx")
    write_inputs(measured_bench(), folder / "seedling-bench-measured.xlsx", overwrite=True)
    recalculate(folder / "seedling-bench-measured.xlsx")


if __name__ == "__main__":
    regenerate(Path(sys.argv[1]) if len(sys.argv) > 1 else WORKBOOKS)
