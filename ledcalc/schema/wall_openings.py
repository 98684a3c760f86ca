"""Whether the openings lie within their walls, and clear of each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from ledcalc.schema.record import Record, RecordProblem, Records, form_of

__all__ = ["openings_fit_their_walls"]

ROUNDING = 1e-9
# Each opening cuts its wall's patches; the work grows with the cube of their number.
MOST_A_WALL = 4
SIDE_OF_WALL = {"left": "room_depth_m", "right": "room_depth_m", "front": "room_width_m", "back": "room_width_m"}
START, WIDTH, BOTTOM, HEIGHT = "from_corner_m", "width_m", "bottom_m", "height_m"
RESTS_ON = tuple(f"wall_openings.{name}" for name in ("wall", START, WIDTH, BOTTOM, HEIGHT))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Opening:
    row: int
    wall: str
    low: tuple[float, float]
    high: tuple[float, float]


def openings_fit_their_walls(records: Records) -> Iterator[RecordProblem]:
    """Say which openings reach beyond their wall, overlap, or are too many in one wall."""
    site, found = form_of(records, "site"), list[_Opening]()
    for row, record in enumerate(records.get("wall_openings", ())):
        wall = str(record.get("wall"))
        yield from _within(row, record, (START, WIDTH), "end", site.get(SIDE_OF_WALL.get(wall, "")))
        yield from _within(row, record, (BOTTOM, HEIGHT), "top", site.get("room_height_m"))
        numbers = [record.get(name) for name in (START, BOTTOM, WIDTH, HEIGHT)]
        given = [float(value) for value in numbers if isinstance(value, int | float)]
        if wall in SIDE_OF_WALL and len(given) == len(numbers):
            x, z, width, height = given
            found.append(_Opening(row=row, wall=wall, low=(x, z), high=(x + width, z + height)))
    yield from _clear_of_each_other(found)
    yield from _not_too_many(found)


def _within(row: int, record: Record, names: tuple[str, str], far: str, side: object) -> Iterator[RecordProblem]:
    """Say whether an opening is larger than its wall, or reaches beyond it, along one of the wall's directions."""
    (start, size), wall = (record.get(name) for name in names), record.get("wall")
    if not (isinstance(start, int | float) and isinstance(size, int | float) and isinstance(side, int | float)):
        return
    if size > side * (1.0 + ROUNDING):
        word = "wider" if names[1] == WIDTH else "higher"
        name, problem, most = names[1], f"{word} than the {wall} wall", f"at most {side:g} m, the wall's"
    elif start + size > side * (1.0 + ROUNDING):
        problem = f"the opening reaches {start + size - side:.3g} m beyond the {far} of the {wall} wall"
        name, most = names[0], f"at most {side - size:.4g} m for an opening of {size:g} m"
    else:
        return
    yield RecordProblem(
        sheet="wall_openings",
        row=row,
        field=name,
        problem=problem,
        allowed=most,
        remedy="mend the opening, its wall, or the room's size on the Site sheet",
        rests_on=(*RESTS_ON, "site.room_width_m", "site.room_depth_m", "site.room_height_m"),
    )


def _clear_of_each_other(openings: Sequence[_Opening]) -> Iterator[RecordProblem]:
    said = set[int]()
    for one, other in combinations(openings, 2):
        if one.wall == other.wall and other.row not in said and _overlap(one, other):
            said.add(other.row)
            yield RecordProblem(
                sheet="wall_openings",
                row=other.row,
                field=START,
                problem=f"overlaps the opening in data row {one.row + 1}",
                allowed="openings side by side, or one over the other",
                remedy="mend one of the two, or give both as one opening",
                rests_on=RESTS_ON,
            )


def _overlap(one: _Opening, other: _Opening) -> bool:
    shared = [min(one.high[axis], other.high[axis]) - max(one.low[axis], other.low[axis]) for axis in range(2)]
    return min(shared) > ROUNDING


def _not_too_many(openings: Sequence[_Opening]) -> Iterator[RecordProblem]:
    counts = dict.fromkeys(SIDE_OF_WALL, 0)
    for opening in openings:
        counts[opening.wall] += 1
        if counts[opening.wall] > MOST_A_WALL:
            yield RecordProblem(
                sheet="wall_openings",
                row=opening.row,
                field="wall",
                problem=f"opening number {counts[opening.wall]} in the {opening.wall} wall",
                allowed=f"at most {MOST_A_WALL} a wall",
                remedy="give small ones as part of the Site sheet's openings in the walls",
                rests_on=("wall_openings.wall",),
            )
