"""Rows and columns over the crop, each at the pitches and height that bring most of the light there evenly enough."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.checks.limits import limit
from ledcalc.fixture import BoardModel, Fixture
from ledcalc.light_sources import off_the_walls, room_about
from ledcalc.model_curves import beam_of
from ledcalc.photons import CropGrid, LightSource, PitchLayout, PreparedRoom, Room, best_pitch_and_height, ppfd_per_flux
from ledcalc.photons.layout_grid import FieldOf, board_extent, row_sources
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["Layout", "LayoutBook"]

# Rows and columns whose cells are longer than this for their breadth are not looked at.
MOST_CELL_RATIO = 2.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """Rows and columns with pitches and height. ``mean_per_flux``: mean PPFD over the crop for 1 umol/s of each board
    (one entry a board); ``min_over_mean``: with all boards alike; ``reason``: why there is none, if so."""

    rows: int
    columns: int
    row_pitch_m: float = 0.0
    column_pitch_m: float = 0.0
    height_m: float = 0.0
    mean_per_flux: FloatArray
    min_over_mean: float = 0.0
    reason: str = ""

    @property
    def boards_count(self) -> int:
        """Return how many boards there are."""
        return self.rows * self.columns


class LayoutBook:
    """Layouts of every board and count, each worked out once: boards of one size and beam share theirs."""

    def __init__(self, catalogue: Fixture, target: DesignTarget, space: DesignSpace) -> None:
        self.catalogue, self.target, self.space = catalogue, target, space
        self.crop = CropGrid(
            width_m=catalogue.crop_width_m,
            depth_m=catalogue.crop_depth_m,
            left_m=catalogue.crop_x_m,
            front_m=catalogue.crop_y_m,
            height_m=catalogue.canopy_height_m,
            column_count=catalogue.map_columns_count,
            row_count=catalogue.map_rows_count,
        )
        self.known: dict[tuple[object, ...], list[Layout]] = {}

    def of(self, board: BoardModel) -> list[Layout]:
        """Return the layouts of a board, those that cannot be with the reason."""
        key = (board.width_m, board.length_m, board.cosine_exponent, board.beam)
        if key not in self.known:
            source = self._template(board)
            self.known[key] = [self._layout(source, rows, columns) for rows, columns in self._arrangements(source)]
        return self.known[key]

    def _template(self, board: BoardModel) -> LightSource:
        """Return the board as a source of 1 umol/s over the middle of the crop, at the middle height."""
        catalogue, crop = self.catalogue, self.crop
        return LightSource(
            x_m=crop.left_m + 0.5 * crop.width_m,
            y_m=crop.front_m + 0.5 * crop.depth_m,
            z_m=crop.height_m + 0.5 * (self.space.least_height_m + self.space.most_height_m),
            width_m=board.width_m,
            length_m=board.length_m,
            photon_flux_umol_s=1.0,
            rotation_deg=catalogue.rotation_deg,
            cosine_exponent=board.cosine_exponent,
            beam=beam_of(board, catalogue.beams),
        )

    def _arrangements(self, source: LightSource) -> Iterator[tuple[int, int]]:
        across, along = board_extent(source)
        beyond = 2.0 * self.space.overhang_m
        sides = ((self.crop.depth_m + beyond, along), (self.crop.width_m + beyond, across))
        most_rows, most_columns = (int(side / extent + 1e-9) for side, extent in sides)
        for count in range(self.space.least_boards_count, self.space.most_boards_count + 1):
            for rows in range(1, min(count, most_rows) + 1):
                if count % rows or count // rows > most_columns:
                    continue
                ratio = self.crop.width_m * rows / (self.crop.depth_m * (count // rows))
                if count == 1 or 1 / MOST_CELL_RATIO <= ratio <= MOST_CELL_RATIO:
                    yield rows, count // rows

    def _layout(self, source: LightSource, rows: int, columns: int) -> Layout:
        space, wanted = self.space, self.target.least_min_over_mean
        across, along = board_extent(source)
        beyond = 2.0 * space.overhang_m
        room = room_about(self.catalogue, [source])
        # A little more than asked for: boards do not share the current quite evenly.
        best = best_pitch_and_height(
            source,
            self.crop,
            rows=rows,
            columns=columns,
            height_range_m=(space.least_height_m, space.most_height_m),
            row_pitch_range_m=_range(rows, along, self.crop.depth_m + beyond),
            column_pitch_range_m=_range(columns, across, self.crop.width_m + beyond),
            least_min_over_mean=min(wanted * (1.0 + limit("remedy_reserve_fraction")), 1.0),
            step_m=space.pitch_step_m,
            height_step_m=space.height_step_m,
            field_of=self._field_of(room),
        )
        if not best.reached:
            reason = f"{rows} x {columns} boards reach a min/mean of {best.layout.min_over_mean:.3f} at best"
            return Layout(rows=rows, columns=columns, mean_per_flux=np.zeros(rows * columns), reason=reason)
        return self._of_pitches(source, rows, columns, best.layout)

    def _of_pitches(self, source: LightSource, rows: int, columns: int, found: PitchLayout) -> Layout:
        """Return a layout with what each of its boards brings to the crop."""
        hung = row_sources(
            source,
            self.crop,
            rows=rows,
            columns=columns,
            row_pitch_m=found.row_pitch_m,
            column_pitch_m=found.column_pitch_m,
            height_m=found.height_m,
        )
        prepared = self._prepared(room_about(self.catalogue, [source]), (hung[0].z_m,))
        field = _field(hung, self.crop.points_m, prepared)
        return Layout(
            rows=rows,
            columns=columns,
            row_pitch_m=found.row_pitch_m,
            column_pitch_m=found.column_pitch_m,
            height_m=found.height_m,
            mean_per_flux=field.mean(axis=1),
            min_over_mean=found.min_over_mean,
        )

    def _field_of(self, room: Room | None) -> FieldOf | None:
        if room is None:
            return None
        low, high, step = self.space.least_height_m, self.space.most_height_m, self.space.height_step_m
        heights = self.crop.height_m + low + step * np.arange(int((high - low) / step + 1e-9) + 1)
        prepared = self._prepared(room, tuple(heights.tolist()))
        return lambda sources, points: _field(sources, points, prepared)

    def _prepared(self, room: Room | None, heights_m: tuple[float, ...]) -> PreparedRoom | None:
        if room is None:
            return None
        return room.prepare(off_the_walls(self.crop.points_m, room), fixture_height_m=heights_m)


def _field(sources: Sequence[LightSource], points_m: FloatArray, room: PreparedRoom | None) -> FloatArray:
    return np.asarray(ppfd_per_flux(sources, off_the_walls(points_m, room), room=room))


def _range(count: int, extent_m: float, side_m: float) -> tuple[float, float] | None:
    """Return the least and greatest pitch: side by side, and out to the edge."""
    return None if count == 1 else (extent_m, max((side_m - extent_m) / (count - 1), extent_m))
