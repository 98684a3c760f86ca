"""The limits and margins that rules judge by, from their table, and small arithmetic that remedies share."""

from __future__ import annotations

import math
from functools import cache

from ledcalc.fixture import DriverModel, Fixture
from ledcalc.tables import table

__all__ = ["OVER", "dial_down", "driver_of", "limit", "limit_source"]

# A value counts as over its limit when it lies above it by more than the dust of floating-point arithmetic.
OVER = 1.0 + 1e-9


@cache
def limit(name: str) -> float:
    """Return a limit or margin of the table ``check_limits``."""
    return float(_row(name)["value"])


def limit_source(name: str) -> str:
    """Return where a limit comes from."""
    return _row(name)["source"]


def dial_down(current_a: float) -> float:
    """Return the dial position at or below a current, a little inside it."""
    step = limit("dial_step_a")
    inside = current_a * (1.0 - limit("remedy_reserve_fraction"))
    return round(math.floor(inside / step + 1e-9) * step, 6)


def driver_of(fixture: Fixture) -> tuple[int, DriverModel]:
    """Return the fixture's driver model and its row."""
    return next((row, model) for row, model in enumerate(fixture.drivers) if model.tag == fixture.driver)


def _row(name: str) -> dict[str, str]:
    return next(dict(row) for row in table("check_limits") if row["name"] == name)
