"""Round numbers: the ends of a colour scale, and the levels of isolines."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["Scale", "scale_of"]

STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
STEPS_COUNT = 11
# A field that is nearly even is not to look uneven.
LEAST_SPAN_FRACTION = 0.3
ROUNDING_FRACTION = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Ends of a colour scale in umol m-2 s-1, and the step between its levels."""

    low: float
    high: float
    step: float

    def levels(self, low: float, high: float) -> list[float]:
        """Return the levels strictly between two values."""
        first, last = math.floor(low / self.step), math.ceil(high / self.step)
        return [n * self.step for n in range(first, last + 1) if low < n * self.step < high]

    def shown(self, level: float) -> str:
        """Return a level with as many digits as its step asks for."""
        digits = max(0, -math.floor(math.log10(self.step) + ROUNDING_FRACTION))
        half = abs(self.step / 10.0 ** math.floor(math.log10(self.step)) - 2.5) < ROUNDING_FRACTION
        return f"{level:.{digits + 1 if half and self.step < 10 else digits}f}"


def scale_of(low: float, high: float) -> Scale:
    """Return a scale of round numbers about two values, ``high`` above 0."""
    span = max(high - low, LEAST_SPAN_FRACTION * high)
    raw = span / STEPS_COUNT
    unit = 10.0 ** math.floor(math.log10(raw))
    step = unit * next(step for step in STEPS if step * unit >= raw * (1.0 - ROUNDING_FRACTION))
    start = max(0.0, math.floor(min(low, high - span) / step + ROUNDING_FRACTION) * step)
    return Scale(low=start, high=math.ceil(high / step - ROUNDING_FRACTION) * step, step=step)
