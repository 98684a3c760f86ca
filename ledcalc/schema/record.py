"""Records: the plain form that a workbook, a CSV folder and a ``Fixture`` all turn into.

Sheet -> list of rows, each row field -> value in its canonical unit or None.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from ledcalc.schema.values import Value

__all__ = ["TAGS_ON_THE_FIXTURE", "Record", "RecordProblem", "Records", "board_tags", "form_of"]

Record: TypeAlias = Mapping[str, Value | None]
Records: TypeAlias = Mapping[str, Sequence[Record]]

# What decides which board tags there are.
TAGS_ON_THE_FIXTURE = ("positions.tag", "fixture.rows_count", "fixture.columns_count")


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordProblem:
    """A problem that shows only across cells: which row and field it is said at, and what to do.

    ``rests_on`` names the fields (``boards.tag``) that the verdict rests on: where one of their cells is bad, this is
    a mere follow-up of that. ``lacking`` names the sheet that holds nothing where that alone is the problem.
    """

    sheet: str
    row: int
    field: str
    problem: str
    allowed: str
    remedy: str = ""
    rests_on: tuple[str, ...] = ()
    lacking: str = ""


def board_tags(records: Records) -> list[str]:
    """Return the tags of the boards on the fixture: those of the positions, else B1, B2, ... row by row.

    Examples
    --------
    >>> board_tags({"fixture": [{"rows_count": 1, "columns_count": 3}]})
    ['B1', 'B2', 'B3']
    """
    positions = records.get("positions") or ()
    if positions:
        return [str(row["tag"]) for row in positions if row.get("tag") is not None]
    form = form_of(records, "fixture")
    rows, columns = form.get("rows_count") or 1, form.get("columns_count") or 1
    return [f"B{number}" for number in range(1, int(rows) * int(columns) + 1)]


def form_of(records: Records, key: str) -> Record:
    """Return the one row of a form, empty where it is missing."""
    rows = records.get(key) or ({},)
    return rows[0]
