"""All light readings of a fixture one by one, whichever sheet they stand on, each with its place among the inputs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledcalc.fixture import Fixture, LightGridRow, LightReading, LightRing
from ledcalc.fixture.light_forms import GRID_READINGS, RING_READINGS
from ledcalc.schema import block_keys, sheet

__all__ = ["TakenReading", "taken_readings"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenReading:
    """One PPFD reading, and the row and column that it stands in.

    Parameters
    ----------
    reading : as on the Light readings sheet; x and y may lie outside the crop, below 0 too
    key, row, field : of its PPFD among the inputs; rows count from 0
    x_field, y_field : in the same row, what to mend where its place is wrong
    """

    reading: LightReading
    key: str
    row: int
    field: str
    x_field: str
    y_field: str

    @property
    def path(self) -> str:
        """Where the PPFD stands, as ``light_grids[2].reading_5_umol_m2_s``."""
        return f"{self.key}[{self.row}].{self.field}"

    @property
    def words(self) -> str:
        """Its name in messages about one survey."""
        if self.key == "light_readings":
            return f"reading {self.row + 1}"
        return f"{'grid' if self.key == 'light_grids' else 'ring'} row {self.row + 1} {self._label}"

    @property
    def place(self) -> str:
        """Sheet, row and, where a row has several readings, column."""
        row = f"{sheet(self.key).title}, row {self.row + 1}"
        return row if self.key == "light_readings" else f"{row}, {self._label}"

    @property
    def _label(self) -> str:
        return sheet(self.key).field(self.field).label.lower()


def taken_readings(fixture: Fixture) -> tuple[TakenReading, ...]:
    """Return the readings of the sheets of points, grids and rings, in this order; gaps are left out.

    Examples
    --------
    >>> import dataclasses
    >>> from ledcalc.demo import seedling_bench
    >>> row = LightGridRow(survey="new", reading_1_umol_m2_s=180.0, reading_3_umol_m2_s=175.0)
    >>> bench = dataclasses.replace(seedling_bench(), light_readings=(), light_grids=(row,))
    >>> [(round(one.reading.x_m, 3), one.reading.y_m, one.words) for one in taken_readings(bench)]
    [(0.2, 0.3, 'grid row 1 reading 1'), (1.0, 0.3, 'grid row 1 reading 3')]
    """
    points = [
        TakenReading(reading=one, key="light_readings", row=row, field="ppfd_umol_m2_s", x_field="x_m", y_field="y_m")
        for row, one in enumerate(fixture.light_readings)
    ]
    return (*points, *_of_grids(fixture), *_of_rings(fixture))


def _of_grids(fixture: Fixture) -> Iterator[TakenReading]:
    rows = fixture.light_grids
    heights = [fixture.height_m if row.height_m is None else row.height_m for row in rows]
    keys = block_keys([(row.survey, height, row.taken_on) for row, height in zip(rows, heights, strict=True)])
    width, depth = fixture.crop_width_m, fixture.crop_depth_m
    for number, (key, row) in enumerate(zip(keys, rows, strict=True)):
        block = [place for place, other in enumerate(keys) if other == key]
        columns = max(_columns(rows[place]) for place in block)
        even_y = depth * (1.0 - (block.index(number) + 0.5) / len(block))
        for column, field in enumerate(GRID_READINGS[:columns]):
            if row.first_x_m is not None and row.step_m is not None:
                x, x_field = row.first_x_m + column * row.step_m, "step_m" if column else "first_x_m"
            else:
                x, x_field = width * (column + 0.5) / columns, field
            y, y_field = (even_y, field) if row.y_m is None else (row.y_m, "y_m")
            yield from _taken(row, "light_grids", number, field, (x, y), (x_field, y_field))


def _of_rings(fixture: Fixture) -> Iterator[TakenReading]:
    for number, ring in enumerate(fixture.light_rings):
        for field, (right, far) in RING_READINGS.items():
            x = fixture.crop_width_m / 2 + right * ring.side_m / 2
            y = fixture.crop_depth_m / 2 + far * ring.side_m / 2
            yield from _taken(ring, "light_rings", number, field, (x, y), ("side_m", "side_m"))


def _columns(row: LightGridRow) -> int:
    """Return up to which column a row has readings."""
    filled = [number for number, field in enumerate(GRID_READINGS, start=1) if getattr(row, field) is not None]
    return max(filled, default=0)


def _taken(
    row: LightGridRow | LightRing,
    key: str,
    number: int,
    field: str,
    place_m: tuple[float, float],
    place_fields: tuple[str, str],
) -> Iterator[TakenReading]:
    ppfd = getattr(row, field)
    if ppfd is None:
        return
    reading = LightReading(
        survey=row.survey,
        height_m=row.height_m,
        x_m=place_m[0],
        y_m=place_m[1],
        ppfd_umol_m2_s=ppfd,
        meter=row.meter,
        taken_on=row.taken_on,
    )
    x_field, y_field = place_fields
    yield TakenReading(reading=reading, key=key, row=number, field=field, x_field=x_field, y_field=y_field)
