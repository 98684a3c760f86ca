"""What the current log says of the fixture as built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.arguments import FloatArray

__all__ = ["LogSuspect", "LogVerdict"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogSuspect:
    """A cell of a log that looks wrong: its path among the inputs, what it is, what stands there.

    ``changes``: path to what was likely meant, empty where nobody can say.
    """

    path: str
    message: str
    remedy: str
    value: float | None
    changes: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogVerdict:
    """The judgement of the current log, an entry a board that was read; NaN and empty text where it cannot be told.

    ``current_a``: what a board runs at, known to ``half_width_a``, on the ``basis`` named. ``change_a`` over the log
    passes as noise below ``least_change_a``. ``chance_below_fraction``: of being at or below its rating.
    ``growing``: boards whose share rises with their temperature and still grows. ``sum_difference_a``: branches less
    the measured total. ``unjudged_count``: rows of currents that name no current meter. ``next_read_h``: when all that
    is still settling will have settled.
    """

    verdict: str
    sentences: tuple[str, ...]
    confidence_fraction: float
    unjudged_count: int
    last_h: float
    tag: tuple[str, ...]
    current_a: FloatArray
    half_width_a: FloatArray
    basis: tuple[str, ...]
    settling: tuple[str, ...]
    to_go_a: FloatArray
    next_read_h: float
    drift: tuple[str, ...]
    change_a: FloatArray
    least_change_a: FloatArray
    share_fraction: FloatArray
    share_half_width_fraction: FloatArray
    chance_below_fraction: FloatArray
    against_rating: tuple[str, ...]
    rating_verdict: str
    all_below_fraction: float
    hogging: str
    growing: tuple[str, ...]
    sum_verdict: str
    sum_difference_a: float
    sum_half_width_a: float
    sum_remedy: str
    mains_w: float
    mains_half_width_w: float
    power_factor_fraction: float
    suspects: tuple[LogSuspect, ...]

    @property
    def in_short(self) -> str:
        """The verdicts on rating, sharing and sum in a line."""
        highest = f"Highest board: {self.rating_verdict}. " if self.rating_verdict else ""
        return f"{highest}Sharing: {self.hogging}. Sum of the branches: {self.sum_verdict}."
