"""Rails that carry the rows of boards, with their holes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ledcalc.building.parts import Rail
from ledcalc.fabrication import hole_positions
from ledcalc.fixture import Fixture
from ledcalc.records import placed_boards

__all__ = ["rails_of"]


def rails_of(fixture: Fixture) -> tuple[Rail, ...]:
    build = fixture.build
    spacings = {model.tag: model.hole_spacing_m for model in fixture.boards}
    if build.rails_per_row_count == 0:
        return ()
    rows: dict[float, list[tuple[float, str, str]]] = {}
    for place in placed_boards(fixture):
        rows.setdefault(round(place.y_m, 4), []).append((place.x_m, place.tag, str(place.board)))
    return tuple(_rail(fixture, number, sorted(rows[y]), spacings) for number, y in enumerate(sorted(rows), start=1))


def _rail(
    fixture: Fixture, number: int, row: Sequence[tuple[float, str, str]], spacings: dict[str, float | None]
) -> Rail:
    build = fixture.build
    centres = [x for x, _, _ in row]
    spacing = spacings[row[0][2]]
    reach = (spacing or 0.0) + 2 * build.rail_margin_m
    length = build.rail_length_m or math.ceil(1000 * (centres[-1] - centres[0] + reach)) / 1000
    holes: tuple[float, ...] = ()
    warnings: tuple[str, ...] = ("no hole spacing is given for this board",)
    if spacing is not None:
        start = (centres[0] + centres[-1]) / 2 - length / 2
        found = hole_positions(centres, spacing, length, end_margin_m=build.rail_margin_m, rail_start_m=round(start, 9))
        holes, warnings = found.positions_m, found.warnings
    return Rail(
        row=number,
        boards=tuple(tag for _, tag, _ in row),
        rails_count=build.rails_per_row_count,
        length_m=length,
        holes_m=holes,
        warnings=warnings,
    )
