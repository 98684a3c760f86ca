"""The filled example as a workbook of this test run, and a way to spoil copies of it."""

import shutil

import openpyxl
import pytest

from ledcalc.demo import DEMO_FOLDER
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.template import copy_inputs


@pytest.fixture(scope="session")
def example_xlsx(tmp_path_factory):
    path = tmp_path_factory.mktemp("example") / "bench.xlsx"
    copy_inputs(DEMO_FOLDER, path)
    return path


@pytest.fixture
def example_csv(tmp_path):
    target = tmp_path / "bench"
    shutil.copytree(DEMO_FOLDER, target)
    return target


@pytest.fixture(scope="session")
def example_cells(example_xlsx):
    return read_inputs(example_xlsx).origin.cells


@pytest.fixture
def spoil(example_xlsx, example_cells, tmp_path):
    """Return a function: {field path or Sheet!A1: value} -> path of a copy with these cells."""

    def spoiled(cells):
        book = openpyxl.load_workbook(example_xlsx)
        for path, value in cells.items():
            title, _, cell = example_cells.get(path, path).rpartition("!")
            book[title][cell] = value
        target = tmp_path / "spoiled.xlsx"
        book.save(target)
        return target

    return spoiled
