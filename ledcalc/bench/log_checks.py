"""Values of a log that look wrong: mixed units, a digit too many or too few, a clamp turned round, copied columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.log_columns import Columns, IntArray
from ledcalc.bench.log_remark import LogRemark, counted

__all__ = ["check_values", "left_out_boards"]

# Powers of ten off what is expected, and by how much a true reading may differ from that: some 25 % for a slip of one
# digit, a factor of three for a unit.
TENFOLD_TOLERANCE = 0.1
UNIT_TOLERANCE = 0.5
FEWEST_FOR_MEDIAN = 3
FEWEST_FOR_CONSTANT = 5
# Fahrenheit among Celsius: so far above what is expected, and so near to it once converted.
FAHRENHEIT_ABOVE_K = 20.0
FAHRENHEIT_WITHIN_K = 10.0


def left_out_boards(known: Sequence[str], rows: Mapping[str, Sequence[int]]) -> list[LogRemark]:
    """Return remarks on boards that the fixture does not have; ``rows``: where each stands, 0 for a column."""
    remarks: list[LogRemark] = []
    for board, places in rows.items():
        near = get_close_matches(board, known, n=1)
        remarks += counted(
            [
                LogRemark(
                    code="unknown-board",
                    row=row,
                    field="board",
                    what="no such board on this fixture",
                    remedy=f"one of {', '.join(known)}",
                    value=board,
                    likely=near[0] if near else None,
                    left_out=True,
                )
                for row in places
            ]
        )
    return remarks


def check_values(data: Columns) -> None:
    """Leave out of a log's columns what looks wrong, with a remark each."""
    _check_sign(data)
    for name in ("current_a", "voltage_v"):
        _check_unit(data, name)
        _check_tenfold(data, name)
    for name in ("temperature_c", "air_temperature_c"):
        _check_fahrenheit(data, name)
    for name in ("current_a", "voltage_v", "temperature_c", "air_temperature_c"):
        _check_constant(data, name)


def _check_sign(data: Columns) -> None:
    for name, cause, remedy in (
        ("current_a", "negative: the clamp sat the other way round", "turn the clamp, or enter it without the sign"),
        ("voltage_v", "negative: leads swapped", "swap the leads, or enter it without the sign"),
    ):
        value = data.columns[name].values
        data.leave_out("negative", name, value < 0, what=cause, remedy=remedy, likely=-value)


def _check_unit(data: Columns, name: str) -> None:
    """A thousand times off most of the column: amperes among milliamperes, or the other way round."""
    value = data.columns[name].values
    size = _logarithm(value)
    known = ~np.isnan(size)
    if known.sum() < FEWEST_FOR_MEDIAN:
        return
    away = size - np.quantile(size[known], 0.5, method="lower")
    factor = np.where(away > 0, 1e-3, 1e3)
    off = np.abs(np.abs(away) - 3.0) <= UNIT_TOLERANCE
    symbol = data.columns[name].unit.symbol
    text = f"a thousand times off the rest of a column in {symbol}: another unit?"
    data.leave_out("mixed-units", name, off, what=text, remedy=f"enter it in {symbol}", likely=value * factor)


def _check_tenfold(data: Columns, name: str) -> None:
    """A power of ten off what the board and its neighbours at that time read."""
    value = data.columns[name].values
    size = _logarithm(value)
    expected = _expected(size, data)
    away = size - expected
    power = np.round(away)
    off = (np.abs(power) >= 1) & (np.abs(power) <= 2) & (np.abs(away - power) <= TENFOLD_TOLERANCE)
    likely = value * 10.0 ** np.where(off, -power, 0.0)
    text = "a power of ten off what this board reads otherwise: a digit or the decimal point?"
    remedy = "correct it; if it is right, judge each setting of the dial by itself"
    data.leave_out("tenfold", name, off, what=text, remedy=remedy, likely=likely)


def _expected(size: FloatArray, data: Columns) -> FloatArray:
    """Return what each reading should be: its board's median, shifted as all boards of the same time are."""
    known = np.flatnonzero(~np.isnan(size))
    expected = np.full(size.size, np.nan)
    if known.size < FEWEST_FOR_MEDIAN:
        return expected
    medians, counts = _medians(size[known], data.board[known], len(data.boards))
    whole = float(np.median(size[known]))
    base = np.where(counts >= FEWEST_FOR_MEDIAN, medians, whole)[data.board[known]]
    _, moment = np.unique(data.elapsed_h[known], return_inverse=True)
    shifts, at_once = _medians(size[known] - base, moment, int(moment.max()) + 1)
    expected[known] = base + np.where(at_once >= FEWEST_FOR_MEDIAN, shifts, 0.0)[moment]
    return expected


def _medians(values: FloatArray, group: IntArray, count: int) -> tuple[FloatArray, IntArray]:
    """Return the lower median of each group, NaN for an empty one, and how many values each has."""
    ordered = values[np.lexsort((values, group))]
    counts = np.bincount(group, minlength=count)
    first = np.cumsum(counts) - counts
    place = np.minimum(first + (np.maximum(counts, 1) - 1) // 2, max(ordered.size - 1, 0))
    return np.where(counts > 0, ordered[place], np.nan), counts


def _check_fahrenheit(data: Columns, name: str) -> None:
    value = data.columns[name].values
    known = ~np.isnan(value)
    if known.sum() < FEWEST_FOR_MEDIAN:
        return
    usual = np.quantile(value[known], 0.5, method="lower")
    converted = (value - 32.0) / 1.8
    off = (value > usual + FAHRENHEIT_ABOVE_K) & (np.abs(converted - usual) <= FAHRENHEIT_WITHIN_K)
    text = "far above the rest, and in line with it if read as degrees Fahrenheit"
    data.leave_out("mixed-units", name, off, what=text, remedy="enter it in the column's unit", likely=converted)


def _check_constant(data: Columns, name: str) -> None:
    """A column that never changes; a board at a time but for the air."""
    value = data.columns[name].values
    group = np.zeros_like(data.board) if name == "air_temperature_c" else data.board
    known = ~np.isnan(value)
    moments = np.unique(data.elapsed_h[known]).size
    if moments < FEWEST_FOR_CONSTANT:
        return
    for index in np.flatnonzero(_never_changes(value[known], group[known])):
        where = "" if name == "air_temperature_c" else f" of {data.boards[index]}"
        data.remarks.append(
            LogRemark(
                code="constant",
                row=0,
                field=f"{name}{where}",
                what="the same in every row",
                remedy="was it copied down, or the meter on hold? Judged as it stands",
                value=data.columns[name].as_given(float(value[known & (group == index)][0])),
            )
        )


def _never_changes(values: FloatArray, group: IntArray) -> NDArray[np.bool_]:
    counts = np.bincount(group)
    lowest, highest = np.full(counts.size, np.inf), np.full(counts.size, -np.inf)
    np.minimum.at(lowest, group, values)
    np.maximum.at(highest, group, values)
    return np.asarray((counts >= FEWEST_FOR_CONSTANT) & (lowest == highest))


def _logarithm(values: FloatArray) -> FloatArray:
    positive = values > 0
    return np.where(positive, np.log10(np.where(positive, values, 1.0)), np.nan)
