"""The workbooks of the repository are what the code makes of the example now: cell by cell."""

import importlib.util
from pathlib import Path

import openpyxl
import pytest

HERE = Path(__file__).parent
# The warm-up is followed in steps whose length hangs on the last bits of the libraries below; it promises 0.01 K.
WARM_UP_TOLERANCE = 1e-5
spec = importlib.util.spec_from_file_location("regenerate", HERE / "regenerate.py")
regenerate = importlib.util.module_from_spec(spec)
spec.loader.exec_module(regenerate)


@pytest.fixture(scope="module")
def anew(tmp_path_factory):
    folder = tmp_path_factory.mktemp("workbooks")
    regenerate.regenerate(folder)
    return folder


def cells(path):
    book = openpyxl.load_workbook(path)
    return {
        f"{sheet.title}!{cell.coordinate}": cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


NAMES = (
    "blank.xlsx",
    "seedling-bench.xlsx",
    "seedling-bench-results.xlsx",
    "seedling-bench-measured.xlsx",
    "seedling-bench-measured-results.xlsx",
)


@pytest.mark.parametrize("name", NAMES)
def test_workbook_is_up_to_date(name, anew):
    """If this fails after a change that is meant to change results: python tests/golden/regenerate.py; look at them."""
    kept, made = cells(regenerate.WORKBOOKS / name), cells(anew / name)
    assert list(kept) == list(made)
    for place, value in made.items():
        if isinstance(value, int | float) and not isinstance(
            value, bool
        ):  # one library's 5 is another's 5.0000000000001
            relative = WARM_UP_TOLERANCE if place.startswith("Warm-up!") else 1e-9
            assert kept[place] == pytest.approx(value, rel=relative, abs=1e-12), place
        elif not str(value).startswith("SHA-256"):
            assert kept[place] == value, place


def test_csv_folder_is_up_to_date(anew):
    kept, made = regenerate.WORKBOOKS / "seedling-bench", anew / "seedling-bench"
    assert {path.name for path in kept.iterdir()} == {path.name for path in made.iterdir()}
    for path in made.iterdir():
        assert (kept / path.name).read_text() == path.read_text()
