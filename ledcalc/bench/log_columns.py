"""The columns of a current log on their way into a ``CurrentLog``, and remarks as they come up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.log_remark import LISTED_COUNT, LogRemark
from ledcalc.errors import ArgumentError
from ledcalc.units import UNITS, Unit, unit

__all__ = ["Column", "Columns", "IntArray", "codes_of", "column", "names_of"]

IntArray = NDArray[np.int64]
# Columns that a wide table has once for all boards.
SHARED = frozenset({"air_temperature_c"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Column:
    """Numbers in their canonical unit, NaN where none stands, and the unit that they were given in."""

    values: FloatArray
    unit: Unit

    def as_given(self, value: float) -> float:
        """Return a number in the unit of the column."""
        return (value - self.unit.offset) / self.unit.factor


@dataclass(slots=True, kw_only=True, eq=False)
class Columns:
    """A log's readings, an entry a reading; ``row``: of the user's table; ``wide``: whether boards are columns there.

    Checks put NaN where a value is left out, and their remarks into ``remarks``.
    """

    row: IntArray
    elapsed_h: FloatArray
    board: IntArray
    boards: tuple[str, ...]
    columns: dict[str, Column]
    wide: bool = False
    remarks: list[LogRemark] = field(default_factory=list)

    def leave_out(
        self,
        code: str,
        name: str,
        where: NDArray[np.bool_],
        *,
        what: str,
        remedy: str,
        likely: FloatArray | None = None,
        left_out: bool = True,
    ) -> None:
        """Take values out of the judgement, with a remark each; past twenty of a kind they are counted."""
        found = np.flatnonzero(where)
        given = self.columns[name]
        # A shared column's cell stands for its whole row here, and is told once.
        once = np.unique(self.row[found], return_index=True)[1] if self.wide and name in SHARED else slice(None)
        listed = found[once]
        for index in listed[:LISTED_COUNT]:
            self.remarks.append(
                LogRemark(
                    code=code,
                    row=int(self.row[index]),
                    field=self.label(name, int(index)),
                    what=what,
                    remedy=remedy,
                    value=given.as_given(float(given.values[index])),
                    likely=None if likely is None else given.as_given(float(likely[index])),
                    left_out=left_out,
                )
            )
        if listed.size > LISTED_COUNT:
            more = f"{what}: {listed.size - LISTED_COUNT} further rows"
            self.remarks.append(LogRemark(code=code, row=0, field=name, what=more, remedy=remedy, left_out=left_out))
        if left_out:
            given.values[found] = np.nan

    def label(self, name: str, index: int) -> str:
        """Return what the user's table calls the column of one entry."""
        tag = self.boards[self.board[index]]
        return f"{name} of {tag}" if self.wide and tag and name not in SHARED else name


def column(name: str, values: ArrayLike | None, size: int, unit_text: str, remarks: list[LogRemark]) -> Column:
    """Return a column of numbers in its canonical unit; all NaN where none is given.

    Raises
    ------
    ArgumentError (a ValueError): a length that does not fit, or an unknown unit
    """
    measure = unit(unit_text)
    if values is None:
        return Column(values=np.full(size, np.nan), unit=measure)
    listed = np.asarray(values) if isinstance(values, np.ndarray) else np.asarray(values, dtype=object)
    listed = np.broadcast_to(listed, (size,)) if listed.ndim == 0 else np.ravel(listed)
    if listed.size != size:
        raise ArgumentError(name, listed.size, f"one entry for each of {size} rows")
    try:
        array = np.array(listed, dtype=float)
        wrong = np.flatnonzero(np.isinf(array))
    except (TypeError, ValueError):
        array = np.array([_number(entry) for entry in listed])
        wrong = np.flatnonzero(~np.isfinite(array) & ~np.array([_blank(entry) for entry in listed]))
    remarks += [
        LogRemark(
            code="not-a-number",
            row=int(index) + 1,
            field=name,
            what="no number",
            remedy="enter a number, or leave the cell empty",
            value=str(listed[index]),
            left_out=True,
        )
        for index in wrong
    ]
    canonical = np.where(np.isfinite(array), array, np.nan) * measure.factor + measure.offset
    return Column(values=canonical, unit=UNITS[measure.symbol])


def _number(entry: object) -> float:
    try:
        return float("nan") if entry is None else float(str(entry))
    except ValueError:
        return float("nan")


def _blank(entry: object) -> bool:
    return entry is None or str(entry).strip().casefold() in {"", "nan"}


def names_of(name: str, values: Sequence[str] | str, size: int) -> list[str]:
    """Return one name a row, of a sequence or of one name for all."""
    listed = [values] * size if isinstance(values, str) else [str(value).strip() for value in values]
    if len(listed) != size:
        raise ArgumentError(name, len(listed), f"one entry for each of {size} rows")
    return listed


def codes_of(names: Sequence[str]) -> tuple[tuple[str, ...], IntArray]:
    """Return the different names in the order in which they first come, and each entry's place among them."""
    places: dict[str, int] = {}
    codes = np.fromiter((places.setdefault(name, len(places)) for name in names), dtype=np.int64, count=len(names))
    return tuple(places), codes
