"""What is read of a supply as a whole: total current, mains power, power factor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.log_columns import Columns, IntArray
from ledcalc.bench.log_remark import LogRemark, counted

__all__ = ["SupplyReadings", "check_supply", "supply_readings"]

SUPPLY_FIELDS = ("total_current_a", "mains_w", "power_factor")
UNIT_TOLERANCE = 0.5
# Entries of one time that differ by more are two readings, not one written twice.
ALIKE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SupplyReadings:
    """What was read of a supply as a whole, an entry a time and supply, by time; NaN where it was not read."""

    elapsed_h: FloatArray
    supply: IntArray
    total_current_a: FloatArray
    mains_w: FloatArray
    power_factor: FloatArray

    def only(self, kept: NDArray[np.bool_]) -> SupplyReadings:
        """Return some of the readings."""
        return SupplyReadings(**{name: getattr(self, name)[kept] for name in self.__slots__})


def check_supply(data: Columns, readings: Columns, supply: IntArray) -> None:
    """Leave out what cannot be of a supply; ``data`` has supplies for boards, ``supply`` is that of each reading."""
    for name in SUPPLY_FIELDS:
        value = data.columns[name].values
        what = "negative: the clamp sat the other way round" if name == "total_current_a" else "negative"
        remedy = "turn the clamp, or enter it without the sign"
        data.leave_out("negative", name, value < 0, what=what, remedy=remedy, likely=-value)
    factor = data.columns["power_factor"].values
    percent = (factor > 1.0) & (factor <= 100.0)
    remedy = "enter it as a number from 0 to 1"
    data.leave_out(
        "mixed-units", "power_factor", percent, what="above 1: per cent?", remedy=remedy, likely=factor / 100.0
    )
    data.leave_out("out-of-range", "power_factor", factor > 1.0, what="above 1", remedy=remedy)
    _check_total(data, readings, supply)


def _check_total(data: Columns, readings: Columns, supply: IntArray) -> None:
    """A total a thousand times off what the supply's boards usually take together."""
    total, current = data.columns["total_current_a"], readings.columns["current_a"].values
    usual = np.zeros(len(data.boards))
    for board in np.unique(readings.board[~np.isnan(current)]):
        of_board = readings.board == board
        usual[supply[of_board][0]] += np.nanmedian(current[of_board])
    expected = usual[data.board]
    known = (total.values > 0) & (expected > 0)
    away = np.log10(np.where(known, total.values, 1.0) / np.where(known, expected, 1.0))
    off = known & (np.abs(np.abs(away) - 3.0) <= UNIT_TOLERANCE)
    symbol = total.unit.symbol
    data.leave_out(
        "mixed-units",
        "total_current_a",
        off,
        what=f"a thousand times off what the boards take together, in a column in {symbol}: another unit?",
        remedy=f"enter it in {symbol}",
        likely=total.values * np.where(away > 0, 1e-3, 1e3),
    )


def supply_readings(data: Columns) -> SupplyReadings:
    """Return one entry a time and supply; one that was written several times counts once, others are averaged."""
    values = {name: data.columns[name].values for name in SUPPLY_FIELDS}
    some = np.flatnonzero(~np.isnan(data.elapsed_h) & ~np.all([np.isnan(v) for v in values.values()], axis=0))
    hours, supply = data.elapsed_h[some], data.board[some]
    order = np.lexsort((supply, hours))
    moved = (np.diff(hours[order], prepend=-1.0) != 0) | (np.diff(supply[order], prepend=-1) != 0)
    group = np.empty(some.size, dtype=np.int64)
    group[order] = np.cumsum(moved) - 1
    first = order[moved]
    merged = {name: _merged(data, name, some, group, first.size) for name in SUPPLY_FIELDS}
    return SupplyReadings(elapsed_h=hours[first], supply=supply[first], **merged)


def _merged(data: Columns, name: str, some: IntArray, group: IntArray, count: int) -> FloatArray:
    value = data.columns[name].values[some]
    read = ~np.isnan(value)
    number = np.bincount(group[read], minlength=count)
    mean = np.bincount(group[read], value[read], minlength=count) / np.maximum(number, 1)
    mean = np.where(number > 0, mean, np.nan)
    differ = read & (np.abs(value - mean[group]) > ALIKE * np.abs(mean[group]))
    data.remarks += counted(
        [
            LogRemark(
                code="two-readings",
                row=int(data.row[some[index]]),
                field=name,
                what="another value stands in a row of the same time",
                remedy="the mean is used; enter the total once a time",
                value=data.columns[name].as_given(float(value[index])),
            )
            for index in np.flatnonzero(differ)
        ]
    )
    return mean
