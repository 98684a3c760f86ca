"""What a rule gives in a block: for each severity, how many findings each variant has of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from numpy.typing import NDArray

from ledcalc.variants.blocks.worked import Worked

__all__ = ["Check", "Counts"]

# Severity -> numbers, or yes and no; a severity left out has none.
Counts: TypeAlias = Mapping[str, NDArray[Any]]
Check: TypeAlias = Callable[[Worked], Counts]
