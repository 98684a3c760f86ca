"""Rounds that go in a circle: where one board after another runs away, they never come to an end."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray

__all__ = ["Cycle"]

# The same state again, relative to the largest, while rounds still move by more than the other: a swing that dies out
# within the rounds allowed comes nowhere near.
SAME_FRACTION, MOVING_FRACTION = 1e-6, 1e-3


class Cycle:
    """Remembers the state of one earlier round, of round 1, 2, 4, 8 ...: a circle of any length passes it again."""

    def __init__(self) -> None:
        self._kept: FloatArray | None = None

    def has_closed(
        self, round_number: int, now: FloatArray, before: FloatArray, scale: FloatArray
    ) -> NDArray[np.bool_]:
        """Return whether a round came back to an earlier one; (quantities, boards, ...) arrays, an answer a variant.

        ``scale``: what counts as large, as broadcasts to ``now``.

        References
        ----------
        Brent 1980, BIT 20(2):176-184: finding a cycle with one state kept.
        """
        closed: NDArray[np.bool_] = np.zeros(now.shape[2:], dtype=bool)
        if self._kept is not None:
            returned = (np.abs(now - self._kept) <= SAME_FRACTION * scale).all(axis=(0, 1))
            closed = np.asarray(returned & (np.abs(now - before) > MOVING_FRACTION * scale).any(axis=(0, 1)))
        if round_number > 0 and round_number & (round_number - 1) == 0:
            self._kept = now
        return closed

    def only(self, variants: NDArray[np.bool_]) -> Cycle:
        """Return the memory of some variants."""
        part = Cycle()
        part._kept = None if self._kept is None else self._kept[..., variants]
        return part
