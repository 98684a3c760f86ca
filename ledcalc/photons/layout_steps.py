"""Which pitches are tried at one height, and which layout is the better."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.photons.layout_fields import LayoutFields

__all__ = ["BY_FIT", "COARSE_TO_FINE", "EVERY_LAYOUT", "Goal", "HeightSearch", "ratio"]

EVERY_LAYOUT, BY_FIT, COARSE_TO_FINE = "every layout", "every layout by a fit", "coarse to fine"
IndexArray: TypeAlias = NDArray[np.intp]
# Coarse to fine: at most so many pitches a side at first, and so many of the best looked about in each round.
FIRST_PITCHES = 8
SEEDS = 5
# Of layouts judged by a fit, so many at a time are worked out exactly; more rounds only where none meets its limit.
CONFIRMED, MOST_ROUNDS = 6, 6
# Rounding must not lose a layout that meets its limit exactly.
SLACK = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """What is looked for: evenness at a least mean, or the highest mean at a least evenness; figures for 1 umol/s."""

    least_mean: float
    least_min_over_mean: float | None

    def score(self, mean: FloatArray, min_over_mean: FloatArray) -> FloatArray:
        """Return what is to be highest: at least 0 where the limit is met, by how much it is missed where not."""
        if self.least_min_over_mean is not None:
            short = min_over_mean - self.least_min_over_mean
            return np.where(short >= -SLACK, mean, np.minimum(short, -SLACK))
        if self.least_mean == 0.0:
            return min_over_mean
        short = mean / self.least_mean - 1.0
        return np.where(short >= -SLACK, min_over_mean, np.minimum(short, -SLACK))


class HeightSearch:
    """The pitches tried at one height."""

    def __init__(
        self, *, fields: LayoutFields, goal: Goal, height_m: float, columns: FloatArray, rows: FloatArray
    ) -> None:
        self.fields, self.goal, self.height_m = fields, goal, height_m
        self.columns, self.rows, self.fitted_count = columns, rows, 0
        self.mean, self.minimum, self.scores = (np.full((columns.size, rows.size), -np.inf) for _ in range(3))

    def best(self, method: str, exact: LayoutFields) -> tuple[int, int]:
        """Return where the best pitches stand, looked for as the method says."""
        if method == EVERY_LAYOUT:
            return self.all()
        return self.confirmed(exact) if method == BY_FIT else self.coarse_to_fine()

    @property
    def count(self) -> int:
        """Return how many layouts were tried, if only by a fit."""
        return self.fitted_count or int(np.isfinite(self.scores).sum())

    def all(self) -> tuple[int, int]:
        """Try every pair of pitches and return where the best stands."""
        self._try(np.arange(self.columns.size), np.arange(self.rows.size))
        return self._best(1)[0]

    def coarse_to_fine(self) -> tuple[int, int]:
        """Try pitches in coarse steps, then in finer and finer ones about the best few, then step by step uphill."""
        stride = 1
        while max(self.columns.size, self.rows.size) > FIRST_PITCHES * stride:
            stride *= 2
        self._try(_coarse(self.columns.size, stride), _coarse(self.rows.size, stride))
        while stride > 1:
            stride //= 2
            for place in self._best(SEEDS):
                self._try_about(place, stride)
        best = self._best(1)[0]
        while True:
            self._try_about(best, 1)
            if (better := self._best(1)[0]) == best:
                return best
            best = better

    def confirmed(self, exact: LayoutFields) -> tuple[int, int]:
        """Try every pair by a fit, work out the best exactly, and return where the best of these stands."""
        self.all()
        self.fitted_count = self.scores.size
        order, fitted = self._best(CONFIRMED * MOST_ROUNDS), self.scores.copy()
        self.scores[:] = -np.inf
        for start in range(0, len(order), CONFIRMED):
            for column, row in order[start : start + CONFIRMED]:
                found = exact.figures(self.height_m, self.columns[[column]], self.rows[[row]])
                self.mean[column, row], self.minimum[column, row] = found.mean[0, 0], found.minimum[0, 0]
                self.scores[column, row] = self.goal.score(found.mean, ratio(found.minimum, found.mean))[0, 0]
            if self.scores.max() >= 0.0 or fitted.max() < 0.0:
                break
        return self._best(1)[0]

    def _try_about(self, place: tuple[int, int], stride: int) -> None:
        near = [np.clip(middle + np.array([-stride, 0, stride]), 0, size - 1) for middle, size in self._sized(place)]
        if not np.isfinite(self.scores[np.ix_(*near)]).all():
            self._try(np.unique(near[0]), np.unique(near[1]))

    def _sized(self, place: tuple[int, int]) -> list[tuple[int, int]]:
        return [(place[0], self.columns.size), (place[1], self.rows.size)]

    def _try(self, columns: IndexArray, rows: IndexArray) -> None:
        found = self.fields.figures(self.height_m, self.columns[columns], self.rows[rows])
        at = np.ix_(columns, rows)
        self.mean[at], self.minimum[at] = found.mean, found.minimum
        self.scores[at] = self.goal.score(found.mean, ratio(found.minimum, found.mean))

    def _best(self, count: int) -> list[tuple[int, int]]:
        order = np.argsort(-self.scores, axis=None, kind="stable")[:count]
        return [(int(number) // self.rows.size, int(number) % self.rows.size) for number in order]


def ratio(minimum: FloatArray, mean: FloatArray) -> FloatArray:
    """Return min/mean, 0 where there is no light."""
    return np.divide(minimum, mean, out=np.zeros_like(mean), where=mean > 0)


def _coarse(size: int, stride: int) -> IndexArray:
    return np.unique(np.append(np.arange(0, size, stride), size - 1))
