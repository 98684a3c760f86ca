"""Rules about where the boards are: in each other's way, outside the room, down at the canopy; the crop in its room."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.outlines import Outlines, outlines_of
from ledcalc.results import Evaluation
from ledcalc.schema import Value, range_refusal, sheet

__all__ = ["board_at_canopy", "board_outside_room", "boards_overlap", "crop_outside_room"]

MOST_NAMED = 10
SIDES = ("the left wall (x = 0)", "the right wall", "the front wall (y = 0)", "the back wall", "the ceiling")
DUST_M = 1e-9
CLEAR_OF_CANOPY_M = 0.01
Remedy = tuple[str, str, dict[str, Value]]


def boards_overlap(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Two boards are in each other's way, of this fixture or of those beside it; said once for each remedy."""
    # The formulas of the bench are loaded where a rule asks for them.
    from ledcalc.fabrication import Overlap, overlapping_boards

    thickness = limit("board_thickness_m")
    places = outlines_of(fixture, results.boards)
    overlaps = overlapping_boards(places.centres_m, places.axes, places.sizes_m, thickness_m=thickness)
    # What overlaps in this fixture does so in its likes: said once.
    pairs = [one for one in overlaps if not (places.fixture[one.first] == places.fixture[one.second] > 0)]
    # The deepest come first: what hangs in the way of several boards moves by the deepest of its overlaps.
    alike: dict[tuple[bool, int], list[Overlap]] = {}
    for pair in pairs:
        moves = _what_moves(fixture, places, pair.first, pair.second)
        # Boards on a heap: so many are named, and the rest are counted with the last of these.
        last = next(reversed(alike)) if len(alike) == MOST_NAMED else moves
        alike.setdefault(moves if moves in alike else last, []).append(pair)
    for same in alike.values():
        pair, more = same[0], len(same) - 1
        first, second = pair.first, pair.second
        path, remedy, changes = (
            _move(fixture, places, second, (pair.along_x_m, pair.along_y_m))
            if places.fixture[second] or fixture.positions
            else _wider_pitch(fixture, places, first, second)
        )
        also = f", and so do {more} pair{'s' * (more > 1)} more" if more else ""
        yield Finding(
            code="boards-overlap",
            severity="act",
            path=path,
            message=f"{places.tag[first]} and {places.tag[second]} overlap by {1000 * pair.depth_m:.1f} mm{also}; "
            "the map counts both.",
            value=1000 * pair.depth_m,
            limit=0.0,
            unit="mm",
            remedy=remedy if path.startswith("fixture.") else f"{remedy}, or hang one of the two higher",
            basis=f"geometry; {limit_source('board_thickness_m')}",
            changes=changes,
        )


def _what_moves(fixture: Fixture, places: Outlines, first: int, second: int) -> tuple[bool, int]:
    """Return whether the remedy moves another fixture, and which; else which board, or which pitch grows."""
    other = int(places.fixture[second])
    if other or fixture.positions:
        return other > 0, other or second
    return False, int(_in_two_columns(fixture, first, second))


def _in_two_columns(fixture: Fixture, first: int, second: int) -> bool:
    return first % fixture.columns_count != second % fixture.columns_count


def _wider_pitch(fixture: Fixture, places: Outlines, first: int, second: int) -> Remedy:
    """Return the pitch at which no two boards of different columns, or of different rows, can overlap."""
    x, y = (math.ceil(1000 * float(side) - 1e-6) / 1000 for side in np.ptp(places.corners_m[0], axis=0)[:2])
    across = _in_two_columns(fixture, first, second)
    word, path, pitch = ("column", "fixture.column_pitch_m", x) if across else ("row", "fixture.row_pitch_m", y)
    return path, f"set the {word} pitch to {pitch:.3f} m or more", {path: pitch}


def _move(fixture: Fixture, places: Outlines, board: int, way_m: tuple[float, float]) -> Remedy:
    """Return the move of a board, or of the fixture beside this one that it is part of, in whole millimetres."""
    moves = [math.copysign(math.ceil(1000 * abs(way) - 1e-6) / 1000, way) for way in way_m]
    other = int(places.fixture[board])
    row = fixture.other_fixtures[other - 1] if other else fixture.positions[board]
    key, number, names = (
        ("other_fixtures", other - 1, ("shift_x_m", "shift_y_m")) if other else ("positions", board, ("x_m", "y_m"))
    )
    changes: dict[str, Value] = {}
    fits = True
    for name, move in zip(names, moves, strict=True):
        if move:
            to = round(getattr(row, name) + move, 6)
            changes[f"{key}[{number}].{name}"] = to
            fits = fits and range_refusal(sheet(key).field(name), to) is None
    words = " and ".join(f"{1000 * move:+.0f} mm along {axis}" for axis, move in zip("xy", moves, strict=True) if move)
    return next(iter(changes)), f"move {row.tag} by {words}", changes if fits else {}


def board_outside_room(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board hangs outside the room's walls or above its ceiling."""
    site = fixture.site
    if site.room_width_m is None or site.room_depth_m is None or site.room_height_m is None:
        return
    places = outlines_of(fixture, results.boards)
    low, high = places.corners_m.min(axis=1), places.corners_m.max(axis=1)
    beyond = np.column_stack(
        [
            -low[:, 0],
            high[:, 0] - site.room_width_m,
            -low[:, 1],
            high[:, 1] - site.room_depth_m,
            high[:, 2] - site.room_height_m,
        ]
    )
    worst, side = divmod(int(beyond.argmax()), len(SIDES))
    reach = float(beyond[worst, side])
    if reach <= DUST_M:
        return
    others = int((beyond.max(axis=1) > DUST_M).sum()) - 1
    by_m = math.ceil(1000 * reach - 1e-6) / 1000
    if side == len(SIDES) - 1:
        path, remedy, changes = _lower(fixture, places, worst, -by_m)
    else:
        way_m = by_m if side % 2 == 0 else -by_m
        path, remedy, changes = _back_inside(fixture, places, worst, side // 2, way_m, is_alone=others == 0)
    also = f", and {others} board{'s' * (others > 1)} more {'are' if others > 1 else 'is'} outside" if others else ""
    yield Finding(
        code="board-outside-room",
        severity="act",
        path=path,
        message=f"{places.tag[worst]} reaches {1000 * reach:.0f} mm beyond {SIDES[side]}{also}; walls are not counted.",
        value=reach,
        limit=0.0,
        unit="m",
        remedy=remedy,
        basis="geometry",
        changes=changes,
    )


def _back_inside(fixture: Fixture, places: Outlines, board: int, axis: int, way_m: float, *, is_alone: bool) -> Remedy:
    """Return the move that brings what hangs outside a wall inside: another fixture, one board, or the whole crop."""
    site, other = fixture.site, int(places.fixture[board])
    room = (site.room_width_m, site.room_depth_m)[axis] or math.inf
    moving = places.fixture == other if other else np.ones(len(places.tag), dtype=bool)
    path, words = f"fixture.crop_{'xy'[axis]}_m", f"move the crop area by {1000 * way_m:+.0f} mm along {'xy'[axis]}"
    crop = getattr(fixture, path.removeprefix("fixture.")) + way_m
    size = (fixture.crop_width_m, fixture.crop_depth_m)[axis]
    changes: dict[str, Value] = {path: round(crop, 6)} if 0 <= crop <= room - size + DUST_M else {}
    if other or fixture.positions:
        path, words, changes = _move(fixture, places, board, (way_m, 0.0) if axis == 0 else (0.0, way_m))
        # The other likes of a board that is moved in its own row move with it.
        moving = moving if other else np.arange(len(places.tag)) % len(fixture.positions) == board
    corners = places.corners_m[moving][:, :, axis] + way_m
    fits = corners.min() >= -DUST_M and corners.max() <= room + DUST_M
    if fits and changes and (other or is_alone or not fixture.positions):
        return path, f"{words}, or mend the room's size", changes
    remedy = f"move the crop area or the boards by at least {abs(way_m):.3f} m, or mend the room's size"
    return ("site.room_width_m", "site.room_depth_m")[axis], remedy, {}


def board_at_canopy(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board, or an edge of a tilted one, hangs at the canopy or below it."""
    places = outlines_of(fixture, results.boards)
    above = places.corners_m[:, :, 2].min(axis=1) - fixture.canopy_height_m
    worst = int(above.argmin())
    if above[worst] > DUST_M:
        return
    up = math.ceil(1000 * float(CLEAR_OF_CANOPY_M - above[worst]) - 1e-6) / 1000
    path, remedy, changes = _lower(fixture, places, worst, up)
    yield Finding(
        code="board-at-canopy",
        severity="act",
        path=path,
        message=f"{places.tag[worst]} has its lowest edge {-1000 * above[worst]:.0f} mm below the canopy: what is "
        "above it gets none of its light, and the map is wrong there.",
        value=1000 * float(above[worst]),
        limit=0.0,
        unit="mm",
        remedy=remedy,
        basis="geometry",
        changes=changes,
    )


def _lower(fixture: Fixture, places: Outlines, board: int, by_m: float) -> Remedy:
    """Return the input that hangs a board higher, or lower where ``by_m`` is below 0: path, words and change."""
    other = int(places.fixture[board])
    number = board % len(places.tag)
    if other:
        path = f"other_fixtures[{other - 1}].height_change_m"
        to = fixture.other_fixtures[other - 1].height_change_m + by_m
        words = f"set the change in height of {fixture.other_fixtures[other - 1].tag} to {to:.3f} m"
    else:
        own = fixture.positions[number].height_m if fixture.positions else None
        path = "fixture.height_m" if own is None and by_m < 0 else f"positions[{number}].height_m"
        path = path if fixture.positions else "fixture.height_m"
        to = (fixture.height_m if own is None else own) + by_m
        words = f"hang it {to:.3f} m over the canopy"
        if to <= 0:
            words = f"there is no room for it over the canopy: lower the canopy by {-to:.3f} m and more"
    changes: dict[str, Value] = {path: round(to, 6)} if other or to > 0 else {}
    return path, words, changes


def crop_outside_room(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The crop area reaches beyond the room's walls, or the canopy its ceiling."""
    site = fixture.site
    if site.room_width_m is None or site.room_depth_m is None or site.room_height_m is None:
        return
    ends = (
        ("crop_x_m", "right wall", fixture.crop_x_m + fixture.crop_width_m, site.room_width_m),
        ("crop_y_m", "back wall", fixture.crop_y_m + fixture.crop_depth_m, site.room_depth_m),
        ("canopy_height_m", "ceiling", fixture.canopy_height_m, site.room_height_m),
    )
    for name, wall, end, most in ends:
        if end <= most + DUST_M:
            continue
        corner = getattr(fixture, name) - (end - most)
        remedy = f"move it by {end - most:.3f} m, or mend the room's size"
        yield Finding(
            code="crop-outside-room",
            severity="act",
            path=f"fixture.{name}",
            message=f"The crop reaches {1000 * (end - most):.0f} mm beyond the {wall}: walls are not counted, this is "
            "direct light only.",
            value=end,
            limit=most,
            unit="m",
            remedy=remedy if corner >= 0 else f"the room takes {most:.3f} m: make the crop smaller, or mend its size",
            basis="geometry",
            changes={f"fixture.{name}": round(corner, 6)} if corner >= 0 else {},
        )
