"""What is wrong with one place of a log, told in place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["LISTED_COUNT", "LogRemark", "counted"]

# More rows with one and the same fault are counted, not listed.
LISTED_COUNT = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRemark:
    """One place of a log that looks wrong.

    ``row`` counts the rows of the table as it was given, from 1; 0: the whole column. ``field`` is the name of the
    column, in a wide table with the board behind it. ``value`` is what stands there, ``likely`` what was probably
    meant, both in the unit of the column as it was given (None where nobody can say). ``left_out``: whether the
    judgement does without that value; else it is judged as it stands.
    """

    code: str
    row: int
    field: str
    what: str
    remedy: str
    value: float | str | None = None
    likely: float | str | None = None
    left_out: bool = False

    def __str__(self) -> str:
        place = f"row {self.row}, {self.field}" if self.row else self.field
        value = f" ({_said(self.value)})" if self.value is not None else ""
        likely = f"; likely {_said(self.likely)}" if self.likely is not None else ""
        out = "; left out" if self.left_out else ""
        return f"{place}{value}: {self.what}{likely}{out}; {self.remedy}"


def counted(remarks: Sequence[LogRemark]) -> list[LogRemark]:
    """Return the first twenty remarks of one kind, and one that counts the rest."""
    listed = list(remarks[:LISTED_COUNT])
    if len(remarks) > LISTED_COUNT:
        one = remarks[LISTED_COUNT]
        what = f"{one.what}: {len(remarks) - LISTED_COUNT} further rows"
        listed.append(
            LogRemark(code=one.code, row=0, field=one.field, what=what, remedy=one.remedy, left_out=one.left_out)
        )
    return listed


def _said(value: float | str) -> str:
    return f"{value:.6g}" if isinstance(value, float | int) else value
