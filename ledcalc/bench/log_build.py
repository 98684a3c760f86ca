"""From the columns of a table to the parts of a ``CurrentLog``: gaps, rows left out, order, supplies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray
from ledcalc.bench.log_checks import check_values, left_out_boards
from ledcalc.bench.log_columns import Column, Columns, IntArray, codes_of, column, names_of
from ledcalc.bench.log_remark import LogRemark
from ledcalc.bench.log_times import checked_times
from ledcalc.bench.supply_readings import check_supply, supply_readings
from ledcalc.errors import ArgumentError

__all__ = ["Given", "GivenByTag", "log_parts", "long_table", "wide_table"]

Given = Mapping[str, tuple[ArrayLike | None, str]]
GivenByTag = Mapping[str, tuple[Mapping[str, ArrayLike] | None, str]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Table:
    """Columns of readings and of supplies, the supply and meter of each reading."""

    readings: Columns
    of_supply: Columns
    supply: IntArray
    meter: IntArray
    meters: tuple[str, ...]


def long_table(
    elapsed_h: ArrayLike,
    board: Sequence[str],
    supply: Sequence[str] | str,
    meter: Sequence[str] | str,
    *,
    readings: Given,
    of_supply: Given,
    time_unit: str,
) -> Table:
    """Return the columns of a table with a row a reading."""
    size = len(board)
    remarks: list[LogRemark] = []
    boards, code = codes_of(names_of("board", board, size))
    supplies, supply_code = codes_of(names_of("supply", supply, size))
    meters, meter_code = codes_of(names_of("meter", meter, size))
    time = column("elapsed_h", elapsed_h, size, time_unit, remarks)
    hours = checked_times(time, code, remarks)

    def columns(given: Given) -> dict[str, Column]:
        return {name: column(name, values, size, unit, remarks) for name, (values, unit) in given.items()}

    shared: dict[str, Any] = {"row": np.arange(1, size + 1), "elapsed_h": hours, "remarks": remarks}
    return Table(
        readings=Columns(board=code, boards=boards, columns=columns(readings), **shared),
        of_supply=Columns(board=supply_code, boards=supplies, columns=columns(of_supply), **shared),
        supply=supply_code,
        meter=meter_code,
        meters=meters,
    )


def wide_table(
    elapsed_h: ArrayLike,
    *,
    by_board: GivenByTag,
    air: tuple[ArrayLike | None, str],
    of_supply: GivenByTag,
    supply_of: Mapping[str, str],
    meter_of: Mapping[str, str],
    time_unit: str,
) -> Table:
    """Return the columns of a table with a row a time and a column a board, as one with a row a reading."""
    remarks: list[LogRemark] = []
    boards = tuple(by_board["current_a"][0] or ())
    if not boards:
        raise ArgumentError("current_a", [], "a column for each board, at least one")
    rows = np.asarray(elapsed_h, dtype=object).size
    time = column("elapsed_h", elapsed_h, rows, time_unit, remarks)
    hours = checked_times(time, np.zeros(rows, dtype=np.int64), remarks)
    supplies, supply = codes_of([supply_of.get(board, "") for board in boards])
    meters, meter = codes_of([meter_of.get(board, "") for board in boards])
    readings = {name: _stacked(name, *given, boards, rows, remarks) for name, given in by_board.items()}
    one = column("air_temperature_c", air[0], rows, air[1], remarks)
    readings["air_temperature_c"] = Column(values=np.repeat(one.values, len(boards)), unit=one.unit)
    whole = {name: _stacked(name, *given, supplies, rows, remarks) for name, given in of_supply.items()}
    return Table(
        readings=_spread(hours, boards, readings, remarks),
        of_supply=_spread(hours, supplies, whole, remarks),
        supply=np.tile(supply, rows),
        meter=np.tile(meter, rows),
        meters=meters,
    )


def _stacked(
    name: str,
    given: Mapping[str, ArrayLike] | None,
    unit: str,
    tags: Sequence[str],
    rows: int,
    remarks: list[LogRemark],
) -> Column:
    """Return columns, one a tag, as one column that goes through the tags of each row in turn."""
    columns = given or {}
    for tag in columns:
        if tag not in tags:
            raise ArgumentError(name, tag, f"one of {', '.join(map(repr, tags))}")
    each = [column(f"{name} of {tag}" if tag else name, columns.get(tag), rows, unit, remarks) for tag in tags]
    return Column(values=np.stack([one.values for one in each], axis=1).ravel(), unit=each[0].unit)


def _spread(
    hours: FloatArray,
    tags: tuple[str, ...],
    columns: dict[str, Column],
    remarks: list[LogRemark],
) -> Columns:
    return Columns(
        row=np.repeat(np.arange(1, hours.size + 1), len(tags)),
        elapsed_h=np.repeat(hours, len(tags)),
        board=np.tile(np.arange(len(tags)), hours.size),
        boards=tags,
        columns=columns,
        wide=True,
        remarks=remarks,
    )


def log_parts(table: Table, known_boards: Sequence[str] | None) -> dict[str, Any]:
    """Return what a ``CurrentLog`` is made of: checked, without what no judgement can use, in order of time."""
    data, remarks = table.readings, table.readings.remarks
    known = np.isin(data.board, _known(data, known_boards))
    for each in data.columns.values():
        each.values[~known] = np.nan
    check_values(data)
    check_supply(table.of_supply, data, table.supply)
    values = {name: each.values for name, each in data.columns.items()}
    some = ~np.isnan(data.elapsed_h) & ~np.all([np.isnan(each) for each in values.values()], axis=0)
    order = np.flatnonzero(some)[np.argsort(data.elapsed_h[some], kind="stable")]
    used, board = np.unique(data.board[order], return_inverse=True)
    return {
        "row": data.row[order],
        "elapsed_h": data.elapsed_h[order],
        "board": board,
        "supply": table.supply[order],
        "meter": table.meter[order],
        **{name: each[order] for name, each in values.items()},
        "boards": tuple(data.boards[index] for index in used),
        "supplies": table.of_supply.boards,
        "meters": table.meters,
        "supply_readings": supply_readings(table.of_supply),
        "remarks": tuple(remarks),
    }


def _known(data: Columns, known_boards: Sequence[str] | None) -> list[int]:
    """Return the places of boards that the fixture has, with remarks on the others."""
    if known_boards is None:
        return list(range(len(data.boards)))
    rows = {
        tag: [0] if data.wide else [int(row) for row in data.row[data.board == index]]
        for index, tag in enumerate(data.boards)
        if tag not in known_boards
    }
    data.remarks += left_out_boards(known_boards, rows)
    return [index for index, tag in enumerate(data.boards) if tag in known_boards]
