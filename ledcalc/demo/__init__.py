"""The filled example: a school's winter seedling bench. Scenario, parts, prices and readings are invented."""

from __future__ import annotations

from importlib.resources import as_file, files

from ledcalc.fixture import Fixture
from ledcalc.workbook import read_workbook

__all__ = ["seedling_bench"]


def seedling_bench() -> Fixture:
    """Return the example fixture: eight invented boards on one driver over a bench of 1.2 m by 0.6 m."""
    with as_file(files("ledcalc.demo").joinpath("seedling_bench")) as folder:
        return read_workbook(folder)
