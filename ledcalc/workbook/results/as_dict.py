"""An evaluation as plain data for JSON."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ledcalc.results import Evaluation

__all__ = ["evaluation_as_dict"]


def evaluation_as_dict(results: Evaluation) -> dict[str, Any]:
    """Return an evaluation as dicts, lists, numbers and texts; NaN becomes None, units stand in the names.

    The fixture is left out but for its name: it is the input.
    """
    parts = {
        entry.name: _plain(getattr(results, entry.name))
        for entry in dataclasses.fields(results)
        if entry.name != "fixture"
    }
    return {"name": results.fixture.name, "summary": _plain(results.summary()), **parts}


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {entry.name: _plain(getattr(value, entry.name)) for entry in dataclasses.fields(value)}
    if isinstance(value, np.ndarray):
        return _plain(value.tolist())
    if isinstance(value, Mapping):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value
