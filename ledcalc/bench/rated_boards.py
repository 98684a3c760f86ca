"""Boards against their rating: how sure is it that the highest one is at or below it?"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, choice, numbers
from ledcalc.bench.error_sums import all_below, sum_tables
from ledcalc.bench.meter_noise import LIMITS, PER_STANDARD
from ledcalc.errors import ArgumentError

__all__ = ["RATING_VERDICTS", "RatedBoards", "RatingVerdict"]

OVER, WITHIN, TOO_NEAR = RATING_VERDICTS = (
    "over its rating",
    "at or below its rating",
    "too near its rating for this meter to tell",
)
NODES_COUNT = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatingVerdict:
    """Boards against their rating, an entry a board, and the fixture as a whole.

    ``use_fraction`` is current over rating, ``chance_below_fraction`` the chance of being at or below it;
    ``all_below_fraction`` that of all boards at once. ``highest`` is the place of the board of the highest use,
    ``verdict`` that of the fixture, ``highest_use_limit_fraction`` the use that no board exceeds, at ``confidence``.
    """

    verdict: str
    board_verdict: tuple[str, ...]
    use_fraction: FloatArray
    chance_below_fraction: FloatArray
    all_below_fraction: float
    highest: int
    highest_use_limit_fraction: float
    confidence: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatedBoards:
    """Board currents as read, their ratings, and how far the readings may be off; broadcast to an entry a board.

    Parameters
    ----------
    current_a : A, at least 0: as read, or shares times a total
    rating_a : A, above 0
    own_half_width_a : A, at least 0: rectangular limits of each board's own reading error; several independent ones as
        rows, shape (parts, boards)
    own_standard_uncertainty_a : A, at least 0: normal part of it, as of a mean over many readings
    common_half_width_fraction : from 0 to below 1: the meter's calibration, the same for all boards
    common_limits : "rectangular", or "normal": the half width holds 95 %
    confidence : above 0, below 1: one-sided

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not fit, or a number out of its range

    References
    ----------
    JCGM 101 (GUM Supplement 1): the distribution of the true value about a reading; here by convolution and quadrature.

    Examples
    --------
    >>> boards = RatedBoards(
    ...     current_a=[2.23, 2.10, 1.92], rating_a=2.2, own_half_width_a=0.04, common_half_width_fraction=0.01
    ... )
    >>> boards.verdict().board_verdict[0], round(boards.verdict().all_below_fraction, 2)
    ('too near its rating for this meter to tell', 0.15)
    """

    current_a: ArrayLike
    rating_a: ArrayLike
    own_half_width_a: ArrayLike = 0.0
    own_standard_uncertainty_a: ArrayLike = 0.0
    common_half_width_fraction: float = 0.0
    common_limits: str = "rectangular"
    confidence: float = 0.95
    current: FloatArray = field(init=False)
    rating: FloatArray = field(init=False)
    error_a: FloatArray = field(init=False)
    error_chance: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        current = np.ravel(numbers("current_a", self.current_a, at_least=0))
        if current.size == 0:
            raise ArgumentError("current_a", [], "a current for each board, at least one")
        rating = numbers("rating_a", self.rating_a, above=0)
        own = numbers("own_half_width_a", self.own_half_width_a, at_least=0)
        normal = numbers("own_standard_uncertainty_a", self.own_standard_uncertainty_a, at_least=0)
        numbers("common_half_width_fraction", self.common_half_width_fraction, at_least=0, below=1)
        choice("common_limits", self.common_limits, LIMITS)
        numbers("confidence", self.confidence, above=0, below=1)
        for name, given in (("rating_a", rating), ("own_half_width_a", own), ("own_standard_uncertainty_a", normal)):
            if given.ndim and given.shape[-1] not in {1, current.size}:
                raise ArgumentError(name, given.shape[-1], f"one, or one for each of {current.size} boards")
        parts = np.broadcast_to(np.atleast_2d(own), (np.atleast_2d(own).shape[0], current.size))
        grid, chance = sum_tables(parts.T, np.broadcast_to(np.ravel(normal), current.shape))
        for name, value in (
            ("current", current),
            ("rating", np.broadcast_to(np.ravel(rating), current.shape)),
            ("error_a", grid),
            ("error_chance", chance),
        ):
            object.__setattr__(self, name, value)

    def chance_all_below(self, limit_a: ArrayLike) -> float:
        """Return the chance that no board's true current exceeds its limit (A, one or one a board)."""
        limit = np.broadcast_to(np.asarray(limit_a, dtype=float), self.current.shape)
        places, weights = self._calibration()
        room = limit[:, None] - self.current[:, None] * (1.0 - places)
        return float(weights @ all_below(room, self.error_a, self.error_chance))

    def verdict(self) -> RatingVerdict:
        """Return how the boards stand against their rating."""
        use = self.current / self.rating
        places, weights = self._calibration()
        room = self.rating[:, None] - self.current[:, None] * (1.0 - places)
        each = np.array(
            [
                weights @ all_below(room[i : i + 1], self.error_a[i : i + 1], self.error_chance[i : i + 1])
                for i in range(use.size)
            ]
        )
        whole = self.chance_all_below(self.rating)
        said = tuple(_said(chance, self.confidence) for chance in each)
        return RatingVerdict(
            verdict=OVER if OVER in said else _said(whole, self.confidence),
            board_verdict=said,
            use_fraction=use,
            chance_below_fraction=each,
            all_below_fraction=whole,
            highest=int(use.argmax()),
            highest_use_limit_fraction=self.highest_use_limit(),
            confidence=self.confidence,
        )

    def highest_use_limit(self) -> float:
        """Return the share of their rating that no board's true current exceeds, at the confidence."""
        low, high = 0.0, 2.0 * float((self.current / self.rating).max()) + 1.0
        while self.chance_all_below(high * self.rating) < self.confidence:
            high *= 2.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            if self.chance_all_below(middle * self.rating) >= self.confidence:
                high = middle
            else:
                low = middle
        return high

    def _calibration(self) -> tuple[FloatArray, FloatArray]:
        """Return calibration errors and their weights, a quadrature over its limits."""
        if self.common_half_width_fraction == 0:
            return np.zeros(1), np.ones(1)
        place, weight = _quadrature(self.common_limits)
        return place * self.common_half_width_fraction, weight


@cache
def _quadrature(limits: str) -> tuple[FloatArray, FloatArray]:
    """Return places, in half widths, and weights of a calibration error's mean."""
    if limits == "rectangular":
        place, weight = np.polynomial.legendre.leggauss(NODES_COUNT)
        return place, weight / 2.0
    place, weight = np.polynomial.hermite_e.hermegauss(NODES_COUNT)
    return place / PER_STANDARD["normal"], weight / weight.sum()


def _said(chance: float, confidence: float) -> str:
    if chance >= confidence:
        return WITHIN
    return OVER if chance <= 1.0 - confidence else TOO_NEAR
