"""What variants come to: one variant's outcome, and a block's results by columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.findings import SEVERITIES

__all__ = ["Outcome", "Results"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One variant's figures and its findings; no figures and no counts where it could not be computed (``reason``)."""

    reason: str
    figures: Mapping[str, float | str]
    counts: Mapping[str, int]
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Results:
    """A block's results, an entry a row. ``figures``: name -> values, NaN or None where a row was not computed."""

    reasons: list[str]
    figures: dict[str, NDArray[Any]]
    counts: dict[str, NDArray[np.intp]]
    codes: list[tuple[str, ...]]

    @classmethod
    def blank(cls, problems: list[str]) -> Results:
        """Return results of rows that nobody has looked at yet; ``problems``: what is known to be wrong with them."""
        count = len(problems)
        return cls(
            reasons=list(problems),
            figures={},
            counts={severity: np.zeros(count, dtype=np.intp) for severity in SEVERITIES},
            codes=[()] * count,
        )

    def put(
        self,
        rows: NDArray[np.intp],
        figures: Mapping[str, Any],
        counts: Mapping[str, Any],
        codes: list[tuple[str, ...]],
    ) -> None:
        """Write down what some rows came to."""
        for name, values in figures.items():
            if name not in self.figures:
                is_text = np.asarray(values).dtype.kind in "UO"
                blank: NDArray[Any] = np.full(len(self.reasons), np.nan)
                self.figures[name] = np.full(len(self.reasons), None, dtype=object) if is_text else blank
            self.figures[name][rows] = values
        for severity, numbers in counts.items():
            self.counts[severity][rows] = numbers
        for row, own in zip(rows.tolist(), codes, strict=True):
            self.codes[row] = own

    def put_one(self, row: int, outcome: Outcome) -> None:
        """Write down one row."""
        self.reasons[row] = outcome.reason
        self.put(np.array([row]), outcome.figures, outcome.counts, [outcome.codes])

    def outcome(self, row: int) -> Outcome:
        """Return one row by itself."""
        reason = self.reasons[row]
        figures = {} if reason else {name: _plain(values[row]) for name, values in self.figures.items()}
        counts = {} if reason else {severity: int(numbers[row]) for severity, numbers in self.counts.items()}
        return Outcome(reason=reason, figures=figures, counts=counts, codes=self.codes[row])


def _plain(value: Any) -> float | str:
    plain: float | str = value.item() if isinstance(value, np.generic) else value
    return plain
