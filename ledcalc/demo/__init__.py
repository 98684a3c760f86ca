"""The filled example: a school's winter seedling bench. Scenario, parts, prices and readings are invented."""

from __future__ import annotations

from pathlib import Path

from ledcalc.fixture import Fixture
from ledcalc.workbook import read_workbook

__all__ = ["DEMO_FOLDER", "seedling_bench"]

DEMO_FOLDER = Path(__file__).parent / "seedling_bench"


def seedling_bench() -> Fixture:
    """Return the example fixture: eight invented boards on one driver over a bench of 1.2 m by 0.6 m."""
    return read_workbook(DEMO_FOLDER)
