"""Makes the workbooks of the repository anew: the blank template, the filled example, its results.

python tests/golden/regenerate.py [FOLDER]
"""

import sys
from pathlib import Path

from ledcalc.demo import DEMO_FOLDER
from ledcalc.workbook import recalculate
from ledcalc.workbook.template import copy_inputs, write_blank

WORKBOOKS = Path(__file__).parents[2] / "workbooks"


def regenerate(folder: Path) -> None:
    write_blank(folder / "blank.xlsx", overwrite=True)
    copy_inputs(DEMO_FOLDER, folder / "seedling-bench.xlsx", overwrite=True)
    copy_inputs(DEMO_FOLDER, folder / "seedling-bench", overwrite=True)
    recalculate(folder / "seedling-bench.xlsx")


if __name__ == "__main__":
    regenerate(Path(sys.argv[1]) if len(sys.argv) > 1 else WORKBOOKS)
