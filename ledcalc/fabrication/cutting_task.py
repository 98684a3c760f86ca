"""A cutting task in whole units: pieces grouped by length, kerf counted into pieces and stock alike."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

__all__ = ["Bar", "Pattern", "Task", "bars_cost"]

# Stock and the pieces cut from it, longest first; stock and how many of each size are cut from it.
Bar: TypeAlias = tuple[int, tuple[int, ...]]
Pattern: TypeAlias = tuple[int, tuple[int, ...]]

UNIT_M = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Sizes falling, with the pieces of each; k pieces with k - 1 kerfs fit where k (piece + kerf) <= stock + kerf."""

    sizes: tuple[int, ...]
    members: tuple[tuple[int, ...], ...]
    room: tuple[int, ...]
    prices: tuple[float, ...]
    limits: tuple[int, ...]

    @classmethod
    def of(
        cls,
        pieces: Sequence[float],
        kerf: float,
        lengths: Sequence[float],
        prices: Sequence[float],
        limits: Sequence[int],
    ) -> Task:
        """Return the task in units of a tenth of a micrometre, or of their greatest common divisor."""
        loss = round(kerf / UNIT_M)
        whole = [round(piece / UNIT_M) + loss for piece in pieces]
        room = [round(length / UNIT_M) + loss for length in lengths]
        common = max(1, math.gcd(*whole, *room))
        sizes = sorted(set(whole), reverse=True)
        return cls(
            sizes=tuple(size // common for size in sizes),
            members=tuple(tuple(n for n, one in enumerate(whole) if one == size) for size in sizes),
            room=tuple(one // common for one in room),
            prices=tuple(prices),
            limits=tuple(limits),
        )

    @property
    def demand(self) -> tuple[int, ...]:
        """How many pieces of each size there are."""
        return tuple(len(members) for members in self.members)

    @property
    def price_step(self) -> float:
        """A step that every sum of prices is a whole number of, 0 where none of a ten-thousandth is."""
        if len(self.prices) == 1:
            return self.prices[0]
        whole = [round(price * 1e4) for price in self.prices]
        exact = all(abs(price * 1e4 - one) < 1e-6 for price, one in zip(self.prices, whole, strict=True))
        return math.gcd(*whole) / 1e4 if exact else 0.0

    def bars(self, patterns: Sequence[Pattern]) -> list[Bar]:
        """Hand out the pieces to patterns that cover them; what a pattern holds too many of is left out."""
        left = [list(members) for members in self.members]
        bars = []
        for stock, counts in patterns:
            held: list[int] = []
            for size, count in enumerate(counts):
                held += left[size][:count]
                del left[size][:count]
            if held:
                bars.append((stock, tuple(held)))
        return bars

    def patterns(self, bars: Sequence[Bar]) -> list[Pattern]:
        """The patterns that bars are cut by."""
        size_of = {piece: size for size, members in enumerate(self.members) for piece in members}
        found = []
        for stock, held in bars:
            counts = [0] * len(self.sizes)
            for piece in held:
                counts[size_of[piece]] += 1
            found.append((stock, tuple(counts)))
        return found


def bars_cost(task: Task, bars: Sequence[Bar]) -> float:
    """Return what the stock of the bars costs."""
    return math.fsum(task.prices[stock] for stock, _ in bars)
