"""Between records (sheet -> rows of plain values) and a ``Fixture``, and a fixture with some values changed."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from ledcalc.errors import ArgumentError
from ledcalc.fixture import (
    BeamPoint,
    BoardModel,
    BoardPoint,
    Build,
    BuildRecord,
    Cable,
    Costs,
    CurrentReading,
    DialReading,
    DriverModel,
    DriverPoint,
    Entry,
    Fixture,
    HeatSink,
    IncomingBoard,
    LightGridRow,
    LightReading,
    LightRing,
    MaintenancePoint,
    Meter,
    Origin,
    OtherFixture,
    Part,
    PlanStep,
    Position,
    Season,
    Site,
    SpectrumPoint,
    Stock,
    SupplyReading,
    SurveyCondition,
    TariffHours,
    WallOpening,
)
from ledcalc.schema import Record, Records, Refusal, Value, board_tags, default_value, parse, sheet, sheets

__all__ = [
    "checked_value",
    "fixture_from_records",
    "given_records",
    "parse_path",
    "placed_boards",
    "records_from_fixture",
    "with_values",
]

ROW_TYPES: dict[str, type] = {
    "boards": BoardModel,
    "board_points": BoardPoint,
    "spectra": SpectrumPoint,
    "beams": BeamPoint,
    "maintenance": MaintenancePoint,
    "heat_sinks": HeatSink,
    "drivers": DriverModel,
    "driver_points": DriverPoint,
    "positions": Position,
    "other_fixtures": OtherFixture,
    "light_plan": PlanStep,
    "wall_openings": WallOpening,
    "cables": Cable,
    "entries": Entry,
    "stock": Stock,
    "incoming_boards": IncomingBoard,
    "meters": Meter,
    "current_log": CurrentReading,
    "supply_log": SupplyReading,
    "dial_log": DialReading,
    "light_readings": LightReading,
    "light_grids": LightGridRow,
    "light_rings": LightRing,
    "surveys": SurveyCondition,
    "build_record": BuildRecord,
    "parts": Part,
    "tariff": TariffHours,
    "seasons": Season,
}
_PATH = re.compile(r"^(\w+)(?:\[(\d+)\])?\.(\w+)$")


def fixture_from_records(records: Records, *, origin: Origin | None = None) -> Fixture:
    """Build a fixture from complete records; blanks take the schema's defaults.

    Parameters
    ----------
    records : sheet -> rows, values in canonical units; checked before
    origin : where the records were read from
    """
    rows = {
        key: tuple(row_type(**_filled(key, record)) for record in records.get(key, ()))
        for key, row_type in ROW_TYPES.items()
    }
    site = Site(**_filled("site", records["site"][0]))
    build = Build(**_filled("build", (records.get("build") or ({},))[0]))
    costs = Costs(**_filled("costs", (records.get("costs") or ({},))[0]))
    own: dict[str, Any] = {**_filled("fixture", records["fixture"][0]), **rows}
    return Fixture(site=site, build=build, costs=costs, origin=origin, **own)


def records_from_fixture(fixture: Fixture) -> dict[str, list[dict[str, Value | None]]]:
    """Return the fixture as records, one list of rows a sheet.

    Raises
    ------
    ArgumentError (a ValueError): it is no ``Fixture``
    """
    if not isinstance(fixture, Fixture):
        raise ArgumentError("fixture", fixture, "a Fixture, as read_workbook returns or built in Python")
    records: dict[str, list[dict[str, Value | None]]] = {
        key: [_plain(row) for row in getattr(fixture, key)] for key in ROW_TYPES
    }
    records["site"] = [_plain(fixture.site)]
    records["build"] = [_plain(fixture.build)]
    records["costs"] = [_plain(fixture.costs)]
    records["fixture"] = [{entry.name: getattr(fixture, entry.name) for entry in sheet("fixture").fields}]
    return records


def given_records(fixture: Fixture) -> dict[str, list[dict[str, Value | None]]]:
    """Return the fixture as records with blanks where its file had blanks, so that they count as such when written."""
    records = records_from_fixture(fixture)
    for path in fixture.origin.assumed if fixture.origin else ():
        match = _PATH.match(path)
        assert match is not None
        key, row, name = match.group(1), int(match.group(2) or 0), match.group(3)
        if row < len(records[key]) and records[key][row][name] == default_value(sheet(key).field(name)):
            records[key][row][name] = None
    return records


def with_values(fixture: Fixture, changes: Mapping[str, Value | None]) -> Fixture:
    """Return a copy of the fixture with some inputs changed.

    Parameters
    ----------
    fixture : the base
    changes : path -> value; ``fixture.current_setting_a``, ``site.mains_v``, ``cables[3].size`` for one row (rows count
        from 0), ``cables.size`` for every row. Numbers in the canonical unit; text may carry a unit (``18 in``).
        None: blank, so the default holds

    Raises
    ------
    ArgumentError (a ValueError): unknown path, or a value that its field does not take

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> with_values(seedling_bench(), {"fixture.height_m": "18 in"}).height_m
    0.4572
    """
    records = records_from_fixture(fixture)
    for path, value in changes.items():
        key, row, name = parse_path(path, records)
        cleaned = checked_value(path, value)
        for record in records[key] if row is None else [records[key][row]]:
            record[name] = cleaned
    return fixture_from_records(records, origin=fixture.origin)


def placed_boards(fixture: Fixture) -> tuple[Position, ...]:
    """Return every board on the fixture with model, sink, place and height filled in.

    Rows and columns are centred over the crop area; the first row is the one with the smallest y.
    """
    if fixture.positions:
        return tuple(
            dataclasses.replace(
                place,
                board=place.board or fixture.board,
                heat_sink=place.heat_sink or fixture.heat_sink,
                height_m=place.height_m if place.height_m is not None else fixture.height_m,
            )
            for place in fixture.positions
        )
    rows, columns = fixture.rows_count, fixture.columns_count
    tags = board_tags({"fixture": [{"rows_count": rows, "columns_count": columns}]})
    centre_x = fixture.crop_x_m + fixture.crop_width_m / 2
    centre_y = fixture.crop_y_m + fixture.crop_depth_m / 2
    return tuple(
        Position(
            tag=tags[row * columns + column],
            board=fixture.board,
            heat_sink=fixture.heat_sink,
            x_m=centre_x + (column - (columns - 1) / 2) * fixture.column_pitch_m,
            y_m=centre_y + (row - (rows - 1) / 2) * fixture.row_pitch_m,
            height_m=fixture.height_m,
            rotation_deg=fixture.rotation_deg,
        )
        for row in range(rows)
        for column in range(columns)
    )


def _filled(key: str, record: Record) -> dict[str, Any]:
    return {
        entry.name: value if (value := record.get(entry.name)) is not None else default_value(entry)
        for entry in sheet(key).fields
    }


def _plain(row: Any) -> dict[str, Value | None]:
    return {entry.name: getattr(row, entry.name) for entry in dataclasses.fields(row)}


def parse_path(path: str, records: Mapping[str, Sequence[object]]) -> tuple[str, int | None, str]:
    """Return sheet, row (None: every row) and field of a path.

    Raises
    ------
    ArgumentError (a ValueError): unknown path, or a row that the sheet does not have
    """
    match = _PATH.match(path)
    known = [entry.path for part in sheets() if part.key in records for entry in part.fields]
    plain = f"{match.group(1)}.{match.group(3)}" if match else path
    if match is None or plain not in known:
        near = get_close_matches(plain, known, n=1)
        raise ArgumentError("path", path, f"sheet.field or sheet[row].field{f' (nearest: {near[0]})' if near else ''}")
    key, row = match.group(1), int(match.group(2)) if match.group(2) else None
    count = len(records[key])
    if count == 0 or (row is not None and row >= count):
        raise ArgumentError("path", path, f"a row of {key}, which has {count}")
    return key, row, match.group(3)


def checked_value(path: str, value: Value | None) -> Value | None:
    """Return what stands in a field once a value is put in: in its canonical unit, None for a blank.

    Raises
    ------
    ArgumentError (a ValueError): a value that its field does not take
    """
    key, name = path.split("[")[0].split(".")[0], path.split(".")[-1]
    field = sheet(key).field(name)
    if value is None or (isinstance(value, str) and not value.strip()):
        if field.required:
            raise ArgumentError(path, value, field.allowed_in_python)
        return None
    parsed = parse(field, value, field.unit)
    if isinstance(parsed, Refusal):
        # Here numbers stand in the canonical unit, and so do the limits.
        allowed = field.allowed_in_python if parsed.allowed == field.allowed else parsed.allowed
        raise ArgumentError(path, value, allowed)
    return parsed
