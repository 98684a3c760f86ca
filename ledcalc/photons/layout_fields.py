"""Mean and least PPFD of many layouts of rows and columns at once, from the fields of single boards.

A layout's field is the sum of its boards'; boards of many layouts stand in the same places, and in mirror-symmetric
surroundings a quarter of the crop says it all.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons.field import ppfd_per_flux
from ledcalc.photons.layout_grid import CropGrid, FieldOf, field_per_flux, pitch_offsets
from ledcalc.photons.source import LightSource

__all__ = [
    "DirectFields",
    "Figures",
    "GivenFields",
    "LayoutFields",
    "axis_places",
    "figures_of",
    "fold",
    "in_parts",
    "joined",
    "layout_fields",
    "mirror_symmetric",
    "part_weights",
]

# Offsets that differ by less are one place.
PLACE_DECIMALS = 12
SYMMETRY_TOLERANCE = 1e-6
LARGEST_TABLE = 2_000_000
SOURCES_AT_A_TIME = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Mean and least PPFD for one umol/s a board, shape (column pitches, row pitches)."""

    mean: FloatArray
    minimum: FloatArray


class LayoutFields(Protocol):
    """What works out the figures of all pairs of a column pitch and a row pitch at one height."""

    def figures(self, height_m: float, column_pitches_m: FloatArray, row_pitches_m: FloatArray) -> Figures:
        """Return the figures of all pairs."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectFields:
    """Direct light: a board's field depends on the point's offset from it alone, and each offset is worked out once."""

    board: LightSource
    crop: CropGrid
    rows: int
    columns: int
    symmetric: bool

    def figures(self, height_m: float, column_pitches_m: FloatArray, row_pitches_m: FloatArray) -> Figures:
        """Return the figures of all pairs."""
        weights = part_weights(self.crop, self.symmetric)
        parts = [
            figures_of(self.fields(height_m, part, row_pitches_m), weights)
            for part in in_parts(column_pitches_m, row_pitches_m.size * weights.size)
        ]
        return joined(parts)

    def fields(self, height_m: float, column_pitches_m: FloatArray, row_pitches_m: FloatArray) -> FloatArray:
        """Return the fields of all pairs, shape (column pitches, row pitches, points)."""
        x, y = (_half(offsets) if self.symmetric else offsets for offsets in self.crop.offsets_m)
        steps_x, at_x = self._steps(x, self.columns, column_pitches_m)
        steps_y, at_y = self._steps(y, self.rows, row_pitches_m)
        if steps_x.size * steps_y.size > LARGEST_TABLE and column_pitches_m.size > 1:
            halves = np.array_split(column_pitches_m, 2)
            return np.concatenate([self.fields(height_m, half, row_pitches_m) for half in halves])
        level = np.zeros((steps_x.size, steps_y.size))
        grid = np.stack([*np.meshgrid(steps_x, steps_y, indexing="ij"), level], axis=-1)
        board = CropGrid(width_m=1, depth_m=1, left_m=-0.5, front_m=-0.5).source_at(self.board, 0.0, 0.0, height_m)
        table = ppfd_per_flux([board], grid)[0]
        across = sum((table[at_x[:, number]] for number in range(1, self.columns)), start=table[at_x[:, 0]])
        fields = sum((across[:, :, at_y[:, number]] for number in range(1, self.rows)), start=across[:, :, at_y[:, 0]])
        return np.asarray(fields.transpose(0, 2, 3, 1).reshape(column_pitches_m.size, row_pitches_m.size, -1))

    def _steps(self, points_m: FloatArray, count: int, pitches_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return all offsets from a board to a point, each once, and which one belongs to (pitch, board, point)."""
        places = np.array([pitch_offsets(count, float(pitch)) for pitch in pitches_m])
        steps = np.round(points_m - places[:, :, None], PLACE_DECIMALS)
        unique, which = np.unique(np.abs(steps) if self.symmetric else steps, return_inverse=True)
        return unique, which.reshape(steps.shape)


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenFields:
    """Any field, a room's for one: each board's place is asked for once."""

    board: LightSource
    crop: CropGrid
    rows: int
    columns: int
    symmetric: bool
    field_of: FieldOf
    known: dict[tuple[float, float, float], FloatArray] = field(default_factory=dict)

    def figures(self, height_m: float, column_pitches_m: FloatArray, row_pitches_m: FloatArray) -> Figures:
        """Return the figures of all pairs."""
        columns = [axis_places(self.columns, float(pitch), self.symmetric) for pitch in column_pitches_m]
        rows = [axis_places(self.rows, float(pitch), self.symmetric) for pitch in row_pitches_m]
        self._ask({x for places in columns for x in places}, {y for places in rows for y in places}, height_m)
        fields = np.array([[self._sum(column, row, height_m) for row in rows] for column in columns])
        return figures_of(fields, part_weights(self.crop, self.symmetric))

    def _ask(self, across: set[float], along: set[float], height_m: float) -> None:
        new = [key for x in sorted(across) for y in sorted(along) if (key := (x, y, height_m)) not in self.known]
        points = self.crop.points_m
        for start in range(0, len(new), SOURCES_AT_A_TIME):
            part = new[start : start + SOURCES_AT_A_TIME]
            sources = [self.crop.source_at(self.board, *key) for key in part]
            fields = field_per_flux(self.field_of, sources, points)
            self.known.update(zip(part, fold(fields, self.crop) if self.symmetric else fields, strict=True))

    def _sum(self, column: dict[float, float], row: dict[float, float], height_m: float) -> FloatArray:
        total = np.zeros(part_weights(self.crop, self.symmetric).size)
        for x, weight_x in column.items():
            for y, weight_y in row.items():
                total += weight_x * weight_y * self.known[x, y, height_m]
        return total


def layout_fields(
    board: LightSource, crop: CropGrid, rows: int, columns: int, field_of: FieldOf | None, symmetric: bool
) -> LayoutFields:
    """Return what works out layouts quickest: by offsets in direct light, by places in any other."""
    if field_of is None:
        return DirectFields(board=board, crop=crop, rows=rows, columns=columns, symmetric=symmetric)
    return GivenFields(board=board, crop=crop, rows=rows, columns=columns, symmetric=symmetric, field_of=field_of)


def mirror_symmetric(
    board: LightSource, crop: CropGrid, places_m: list[tuple[float, float, float]], field_of: FieldOf | None
) -> bool:
    """Try at a few places whether a board mirrored at the crop's centre lines gives the mirrored field."""
    shape = (crop.row_count, crop.column_count)
    for x, y, height in places_m:
        sources = [crop.source_at(board, *place, height) for place in ((x, y), (-x, y), (x, -y))]
        own, across, along = (one.reshape(shape) for one in field_per_flux(field_of, sources, crop.points_m))
        slack = SYMMETRY_TOLERANCE * float(own.max())
        if max(np.abs(across[:, ::-1] - own).max(), np.abs(along[::-1] - own).max()) > slack:
            return False
    return True


def fold(fields: FloatArray, crop: CropGrid) -> FloatArray:
    """Add up each field with its mirror images and keep a quarter of it, shape (fields, points of the quarter)."""
    folded = fields.reshape(-1, crop.row_count, crop.column_count)
    folded = folded + folded[:, :, ::-1]
    folded = folded + folded[:, ::-1, :]
    kept = folded[:, crop.row_count // 2 :, crop.column_count // 2 :]
    return kept.reshape(fields.shape[0], -1)


def part_weights(crop: CropGrid, symmetric: bool) -> FloatArray:
    """Return each point's share of the crop, flat; of a quarter's points where the rest mirrors it."""
    if not symmetric:
        return np.full(crop.row_count * crop.column_count, 1.0 / (crop.row_count * crop.column_count))
    return np.outer(_half_weights(crop.row_count), _half_weights(crop.column_count)).ravel()


def _half(offsets: FloatArray) -> FloatArray:
    return offsets[offsets.size // 2 :]


def _half_weights(count: int) -> FloatArray:
    weights = np.full(count - count // 2, 2.0 / count)
    if count % 2:
        weights[0] = 1.0 / count
    return weights


def axis_places(count: int, pitch_m: float, symmetric: bool) -> dict[float, float]:
    """Return offsets along one axis and how often each counts; folding counts a board on the axis of symmetry twice."""
    offsets = np.round(pitch_offsets(count, pitch_m), PLACE_DECIMALS) + 0.0
    if symmetric:
        return {offset: 0.5 if offset == 0.0 else 1.0 for offset in offsets.tolist() if offset >= 0.0}
    places: dict[float, float] = {}
    for offset in offsets.tolist():
        places[offset] = places.get(offset, 0.0) + 1.0
    return places


def in_parts(column_pitches_m: FloatArray, values_per_pitch: int) -> list[FloatArray]:
    """Return the pitches in parts whose fields do not take too much memory."""
    count = -(-column_pitches_m.size * values_per_pitch // LARGEST_TABLE)
    return np.array_split(column_pitches_m, min(max(count, 1), column_pitches_m.size))


def joined(parts: list[Figures]) -> Figures:
    """Return the figures of all parts' pitches."""
    means, minima = ([getattr(part, name) for part in parts] for name in ("mean", "minimum"))
    return Figures(mean=np.concatenate(means), minimum=np.concatenate(minima))


def figures_of(fields: FloatArray, weights: FloatArray) -> Figures:
    """Return mean and least of fields of shape (..., points)."""
    return Figures(mean=fields @ weights, minimum=fields.min(axis=-1))
