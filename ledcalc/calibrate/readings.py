"""Readings as arrays: what was read, of what, with which meter, how well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray

__all__ = ["LightPoints", "Readings", "joined"]

Whole = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightPoints:
    """Where light was read: survey, height over the sensor, place from the crop's corner; an entry a point.

    ``places``: where its PPFD stands among the inputs, in words.
    """

    survey: NDArray[np.str_]
    height_m: FloatArray
    x_m: FloatArray
    y_m: FloatArray
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Readings:
    """An entry a reading.

    ``board``: its number, -1 for light and the driver's output; ``point``: number of the light point, else -1;
    ``meter``: number of the instrument. ``air_c``: the air beside a temperature, NaN where it was not read. ``staying``
    and ``scattering``: standard deviations of what stays when a reading is repeated and of what averages out, in the
    reading's unit. ``row``: in its sheet. ``part``: one of the parts that are left out in turn. ``count``: how many
    rows it is the mean of.
    """

    kind: NDArray[np.str_]
    board: Whole
    point: Whole
    meter: Whole
    value: FloatArray
    air_c: FloatArray
    staying: FloatArray
    scattering: FloatArray
    row: Whole
    part: Whole
    count: Whole

    @property
    def size(self) -> int:
        """How many readings there are."""
        return int(self.value.size)

    @property
    def sigma(self) -> FloatArray:
        """Standard deviation of each reading, what its meter repeats in all of them not counted."""
        return np.asarray(np.hypot(self.staying, self.scattering))

    def only(self, kept: NDArray[np.bool_] | Whole) -> Readings:
        """Return some of the readings."""
        return Readings(**{entry.name: getattr(self, entry.name)[kept] for entry in fields(self)})

    def means(self) -> Readings:
        """Return one reading a quantity, board or point, and meter: the mean of its rows.

        Scatter averages out; what the last digits hide does not. Kinds stay in their order, boards and points go up.
        """
        if not self.size:
            return self
        _, begins, kinds = np.unique(self.kind, return_index=True, return_inverse=True)
        key = kinds
        for part in (self.board, self.point, self.meter):
            key = key * (part.max() + 2) + part + 1
        _, first, group, count = np.unique(key, return_index=True, return_inverse=True, return_counts=True)
        is_air = np.isfinite(self.air_c)
        air_count = np.bincount(group, is_air)
        air = np.bincount(group, np.where(is_air, self.air_c, 0.0)) / np.maximum(air_count, 1)
        return replace(
            self.only(first),
            value=np.bincount(group, self.value) / count,
            air_c=np.where(air_count > 0, air, np.nan),
            staying=np.bincount(group, self.staying) / count,
            scattering=np.bincount(group, self.scattering) / count / np.sqrt(count),
            count=count,
        ).only(np.argsort(begins[kinds[first]], kind="stable"))


def joined(parts: Sequence[Readings]) -> Readings:
    """Return several sets of readings as one."""
    return Readings(
        **{entry.name: np.concatenate([getattr(part, entry.name) for part in parts]) for entry in fields(Readings)}
    )
