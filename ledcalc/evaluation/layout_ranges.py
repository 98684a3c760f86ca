"""Between which pitches and heights the layout advice looks, in which steps: as given, or worked out where blank."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.fixture import BoardModel, Fixture, Position
from ledcalc.light_sources import shifts_of
from ledcalc.records import placed_boards
from ledcalc.results import Assumption

__all__ = ["SearchRanges", "half_room", "rows_and_columns_of", "search_ranges"]

USUAL_DRILLING_STEP_M = 0.01
LOWEST_FACTOR, HIGHEST_FACTOR = 0.6, 1.6
# As many heights as make ten steps of today's.
HEIGHT_STEPS = 10
LEAST_HEIGHT_M = 0.01
# More pitches or heights than these are not told apart by eye: then every second hole is tried, or every third.
MOST_PITCHES, MOST_HEIGHTS = 120, 20
DUST_M = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchRanges:
    """What the search goes over; pitches None for a single row or column. ``reason``: why there is no search.

    ``drilling_step_m``: as rails can be drilled; ``pitch_step_m``: as pitches are tried, one such step or several.
    ``assumed``: what stands in for blanks in the search, if there is one.
    """

    rows_count: int
    columns_count: int
    rotation_deg: float
    tilt_deg: float
    row_pitch_m: tuple[float, float] | None
    column_pitch_m: tuple[float, float] | None
    height_m: tuple[float, float]
    drilling_step_m: float
    pitch_step_m: float
    height_step_m: float
    reason: str
    assumed: tuple[Assumption, ...]


def search_ranges(fixture: Fixture) -> SearchRanges:
    """Return pitches, heights and steps, those left blank worked out from the boards, the crop and the room."""
    places = placed_boards(fixture)
    rows, columns, said = rows_and_columns_of(fixture, places)
    turned, tilted, more = _turned(fixture, places)
    model = next(one for one in fixture.boards if one.tag == places[0].board)
    extent = _extent(model, turned, tilted)
    step = fixture.drilling_step_m or USUAL_DRILLING_STEP_M
    lowest, highest, height_step, about_heights = _heights(fixture, extent[2] / 2)
    row = _axis(fixture, "row", rows, float(extent[1]), step)
    column = _axis(fixture, "column", columns, float(extent[0]), step)
    holes = max(_steps(one.pitch_m, step) for one in (row, column))
    stride = math.ceil(holes / (MOST_PITCHES - 1)) if holes >= MOST_PITCHES else 1
    notes = [*said, *more, *row.assumed, *column.assumed, *about_heights]
    if fixture.drilling_step_m is None:
        notes.append(("drilling_step_m", f"drilling step: {1000 * step:g} mm", "not given; a usual step stands in"))
    if stride > 1:
        notes.append(("drilling_step_m", f"pitches tried in {stride} steps at a time", "the ranges are wide"))
    reason = row.reason or column.reason
    if len({place.board for place in places}) > 1:
        reason = "the boards are of several models, and the search is for rows and columns of one"
    elif highest < lowest:
        reason = "no height between canopy and ceiling has room for the boards"
    return SearchRanges(
        rows_count=rows,
        columns_count=columns,
        rotation_deg=turned,
        tilt_deg=tilted,
        row_pitch_m=row.pitch_m,
        column_pitch_m=column.pitch_m,
        height_m=(lowest, highest),
        drilling_step_m=step,
        pitch_step_m=step * stride,
        height_step_m=height_step,
        reason=reason,
        assumed=() if reason else _assumed(fixture, notes),
    )


Note = tuple[str, str, str]


def _assumed(fixture: Fixture, notes: Sequence[Note]) -> tuple[Assumption, ...]:
    cells = fixture.origin.cells if fixture.origin else {}
    return tuple(
        Assumption(path=path, cell=cells.get(path, ""), value=f"layout advice: {value}", reason=why)
        for path, value, why in ((f"fixture.{name}", value, why) for name, value, why in notes)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    pitch_m: tuple[float, float] | None = None
    reason: str = ""
    assumed: tuple[Note, ...] = ()


def rows_and_columns_of(fixture: Fixture, places: Sequence[Position]) -> tuple[int, int, list[Note]]:
    """Return rows and columns: the sheet's, those that the positions make, or those of cells nearest to square."""
    if not fixture.positions:
        return fixture.rows_count, fixture.columns_count, []
    x, y = ({round(at, 3) for at in ats} for ats in ([one.x_m for one in places], [one.y_m for one in places]))
    count = len(places)
    if len(x) * len(y) == count and len({(round(one.x_m, 3), round(one.y_m, 3)) for one in places}) == count:
        return len(y), len(x), []
    aspect = fixture.crop_width_m / fixture.crop_depth_m
    fitting = [rows for rows in range(1, count + 1) if count % rows == 0]
    rows = min(fitting, key=lambda rows: abs(math.log(aspect * rows / (count / rows))))
    words = f"{rows} rows of {count // rows} boards"
    return rows, count // rows, [("rows_count", words, "the positions make no rows and columns; these suit the crop")]


def _turned(fixture: Fixture, places: Sequence[Position]) -> tuple[float, float, list[Note]]:
    """Return how all boards are turned and tilted in the search."""
    turns, tilts = {place.rotation_deg for place in places}, {place.tilt_deg for place in places}
    notes: list[Note] = []
    turned, tilted = places[0].rotation_deg, places[0].tilt_deg
    if len(turns) > 1:
        turned = fixture.rotation_deg
        notes.append(("rotation_deg", f"all boards turned by {turned:g} deg", "they are turned differently today"))
    if len(tilts) > 1:
        tilted = 0.0
        notes.append(("rotation_deg", "no board tilted", "they are tilted differently today"))
    return turned, tilted, notes


def _extent(model: BoardModel, turned_deg: float, tilted_deg: float) -> FloatArray:
    """Return the room that a board as it is turned and tilted takes along x, y and z."""
    turn, tilt = np.deg2rad(turned_deg), np.deg2rad(tilted_deg)
    across = model.width_m * np.array([np.cos(tilt) * np.cos(turn), np.cos(tilt) * np.sin(turn), np.sin(tilt)])
    along = model.length_m * np.array([np.sin(turn), np.cos(turn), 0.0])
    return np.asarray(np.abs(across) + np.abs(along))


def _axis(fixture: Fixture, name: str, count: int, extent_m: float, step_m: float) -> _Axis:
    """Return the pitches of rows or columns; boards keep within the walls and off each other."""
    is_row = name == "row"
    side = fixture.crop_depth_m if is_row else fixture.crop_width_m
    half = half_room(fixture, is_row=is_row)
    if 2 * half < extent_m - DUST_M:
        return _Axis(reason="a board over the middle of the crop does not fit between the walls")
    if count == 1:
        return _Axis()
    given = (getattr(fixture, f"{name}_pitch_from_m"), getattr(fixture, f"{name}_pitch_to_m"))
    side_by_side = math.ceil(extent_m / step_m - 1e-6) * step_m
    widest = (2 * half - extent_m) / (count - 1)
    low = side_by_side if given[0] is None or given[0] < extent_m - DUST_M else given[0]
    today = getattr(fixture, f"{name}_pitch_m") if not fixture.positions else 0.0
    high = max((side - extent_m) / (count - 1), today, low) if given[1] is None else given[1]
    if widest < extent_m - DUST_M:
        return _Axis(reason=f"{count} boards side by side do not fit between the walls")
    low, high = min(low, widest), min(high, widest)
    high = max(low, low + math.floor((high - low) / step_m + 1e-6) * step_m)
    notes: list[Note] = []
    for end, value, word in zip(given, (low, high), ("from", "to"), strict=True):
        if end is None:
            notes.append(
                (f"{name}_pitch_{word}_m", f"{name} pitch {word} {value:.3f} m", "not given; by boards and crop")
            )
        elif abs(end - value) > step_m:
            notes.append(
                (f"{name}_pitch_{word}_m", f"{name} pitch {word} {value:.3f} m", "boards or walls allow no other")
            )
    return _Axis(pitch_m=(round(low, 9), round(high, 9)), assumed=tuple(notes))


def half_room(fixture: Fixture, *, is_row: bool) -> float:
    """Return how far boards may reach from the middle of the crop until one, of any fixture, meets a wall."""
    site = fixture.site
    wall = site.room_depth_m if is_row else site.room_width_m
    if wall is None:
        return math.inf
    middle = fixture.crop_y_m + fixture.crop_depth_m / 2 if is_row else fixture.crop_x_m + fixture.crop_width_m / 2
    shifts = [shift[1 if is_row else 0] for shift in shifts_of(fixture)]
    return min(min(middle + shift, wall - middle - shift) for shift in shifts)


def _heights(fixture: Fixture, dip_m: float) -> tuple[float, float, float, list[Note]]:
    """Return lowest, highest and step, today's height among them where nothing is given."""
    today, given = fixture.height_m, (fixture.height_from_m, fixture.height_to_m)
    usual = max(math.ceil(100 * today / HEIGHT_STEPS - 1e-6) / 100, 0.01)
    step = fixture.height_step_m or usual
    rises = [shift[2] for shift in shifts_of(fixture)]
    least = LEAST_HEIGHT_M + dip_m - min(rises)
    ceiling = fixture.site.room_height_m
    most = math.inf if ceiling is None else ceiling - fixture.canopy_height_m - dip_m - max(rises)
    low, high = given
    if low is None:
        low = today - math.floor((1.0 - LOWEST_FACTOR) * today / step + 1e-6) * step
        while low < least - DUST_M and low < today:
            low += step
    low = max(low, least)
    high = max(low, HIGHEST_FACTOR * today) if high is None else max(high, low)
    high = min(high, most)
    count = math.floor((high - low) / step + 1e-6)
    if count >= MOST_HEIGHTS:
        step *= math.ceil(count / (MOST_HEIGHTS - 1))
    high = low + math.floor((high - low) / step + 1e-6) * step
    notes: list[Note] = []
    for end, value, word in zip(given, (low, high), ("from", "to"), strict=True):
        if end is None:
            notes.append(
                (f"height_{word}_m", f"height {word} {value:.3f} m", "not given; about today's, below the ceiling")
            )
        elif abs(end - value) > step:
            notes.append((f"height_{word}_m", f"height {word} {value:.3f} m", "canopy or ceiling allow no other"))
    if fixture.height_step_m is None or abs(step - fixture.height_step_m) > DUST_M:
        notes.append(("height_step_m", f"height in steps of {1000 * step:.0f} mm", "not given, or more than are tried"))
    return round(low, 9), round(high, 9), step, notes


def _steps(pitch_m: tuple[float, float] | None, step_m: float) -> int:
    return 0 if pitch_m is None else math.floor((pitch_m[1] - pitch_m[0]) / step_m + 1e-6)
