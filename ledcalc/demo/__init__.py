"""The filled example: a school's winter seedling bench. Scenario, parts, prices and readings are invented."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import as_file, files
from pathlib import Path

from ledcalc.fixture import Fixture
from ledcalc.workbook import read_workbook

__all__ = ["demo_folder", "seedling_bench"]


@contextmanager
def demo_folder() -> Iterator[Path]:
    """Give the example's CSV folder for as long as the block runs."""
    with as_file(files("ledcalc.demo").joinpath("seedling_bench")) as folder:
        yield folder


def seedling_bench() -> Fixture:
    """Return the example fixture: eight invented boards on one driver over a bench of 1.2 m by 0.6 m."""
    with demo_folder() as folder:
        return read_workbook(folder)
