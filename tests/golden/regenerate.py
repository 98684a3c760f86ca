"""Makes the workbooks of the repository anew: the blank template, the filled example, the same measured, their results.

python tests/golden/regenerate.py [FOLDER]
"""

import dataclasses
import importlib.util
import sys
from pathlib import Path
from typing import Any

import ledcalc as lc
from ledcalc.demo import DEMO_FOLDER
from ledcalc.workbook import recalculate
from ledcalc.workbook.template import copy_inputs, write_blank, write_inputs

ROOT = Path(__file__).parents[2]
WORKBOOKS = ROOT / "workbooks"
# Temperature in degC -> shares of the initial photon flux after each thousand hours.
SHARES = {
    55.0: (1.0, 1.003, 0.999, 0.996, 0.994, 0.992, 0.989, 0.988, 0.985, 0.983, 0.981),
    85.0: (1.0, 1.001, 0.995, 0.991, 0.987, 0.983, 0.979, 0.976, 0.972, 0.968, 0.964),
}
MAINTENANCE = tuple(
    lc.MaintenancePoint(
        tag="invented LED test", temperature_c=warmth, elapsed_h=1000.0 * hour, flux_fraction=share, units_count=20
    )
    for warmth, shares in SHARES.items()
    for hour, share in enumerate(shares)
)
LIGHT_PLAN = (
    lc.PlanStep(from_week=1, target_dli_mol_m2_d=6.0),
    lc.PlanStep(from_week=3, target_dli_mol_m2_d=8.0, until_next="straight ramp"),
    lc.PlanStep(from_week=6, target_dli_mol_m2_d=10.0),
)


def measured_bench() -> Any:
    """Return the example after a day on the bench, as ``examples/bench_round.py`` draws its readings.

    Besides, its LEDs have a photon maintenance test, and its crop a plan of weeks: invented, as all the rest.
    """
    spec = importlib.util.spec_from_file_location("bench_round", ROOT / "examples" / "bench_round.py")
    assert spec is not None
    assert spec.loader is not None
    sys.modules[spec.name] = bench_round = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(bench_round)
    design = bench_round.designed()
    taken = bench_round.measured(
        design, bench_round.as_it_is(design), bench_round.SETTING_A, ("first map", "second map")
    )
    return dataclasses.replace(
        taken,
        maintenance=MAINTENANCE,
        boards=tuple(dataclasses.replace(board, maintenance=MAINTENANCE[0].tag) for board in taken.boards),
        light_plan=LIGHT_PLAN,
        site=dataclasses.replace(taken.site, wanted_life_h=20_000.0),
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
