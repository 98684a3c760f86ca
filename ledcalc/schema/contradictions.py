"""Checks that need more than one cell: tags that stand twice, references to nothing, values that contradict each other.

They run on records, the plain form that a workbook, a CSV folder and a ``Fixture`` all turn into: sheet -> list of
rows, each row field -> value in its canonical unit or None. So all doors are checked by the same code.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TypeAlias

from ledcalc.schema.model import ON_THE_FIXTURE, Field, sheets
from ledcalc.schema.values import Value

__all__ = ["Record", "RecordProblem", "Records", "board_tags", "record_problems"]

Record: TypeAlias = Mapping[str, Value | None]
Records: TypeAlias = Mapping[str, Sequence[Record]]

# A joule of light holds the most photons at the long end of the counted band: 700 nm / 119.6266 (CODATA 2018).
CEILING_UMOL_PER_J = 5.8515
_TAGS_ON_THE_FIXTURE = ("positions.tag", "fixture.rows_count", "fixture.columns_count")


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordProblem:
    """A problem that shows only across cells: which row and field it is said at, and what to do.

    ``rests_on`` names the fields (``boards.tag``) that the verdict rests on: where one of their cells is bad, this is
    a mere follow-up of that.
    """

    sheet: str
    row: int
    field: str
    problem: str
    allowed: str
    remedy: str = ""
    rests_on: tuple[str, ...] = ()


def record_problems(records: Records) -> list[RecordProblem]:
    """Return every contradiction in the records; rows count from 0 within their sheet."""
    return [
        *_duplicate_tags(records),
        *_dangling_references(records),
        *(found for check in _CHECKS for found in check(records)),
    ]


def board_tags(records: Records) -> list[str]:
    """Return the tags of the boards on the fixture: those of the positions, else B1, B2, ... row by row.

    Examples
    --------
    >>> board_tags({"fixture": [{"rows_count": 1, "columns_count": 3}]})
    ['B1', 'B2', 'B3']
    """
    positions = records.get("positions") or ()
    if positions:
        return [str(row["tag"]) for row in positions if row.get("tag") is not None]
    form = _form(records, "fixture")
    rows, columns = form.get("rows_count") or 1, form.get("columns_count") or 1
    return [f"B{number}" for number in range(1, int(rows) * int(columns) + 1)]


def _form(records: Records, key: str) -> Record:
    rows = records.get(key) or ({},)
    return rows[0]


def _duplicate_tags(records: Records) -> Iterator[RecordProblem]:
    for entry in sheets():
        for field in entry.fields:
            if field.kind != "tag":
                continue
            seen: dict[str, int] = {}
            for row, record in enumerate(records.get(entry.key, ())):
                tag = record.get(field.name)
                if tag is None:
                    continue
                key = str(tag).casefold()
                if key in seen:
                    yield RecordProblem(
                        sheet=entry.key,
                        row=row,
                        field=field.name,
                        problem=f"{tag!r} stands twice",
                        allowed=field.allowed,
                        remedy=f"rename it; the first one is data row {seen[key] + 1}",
                    )
                seen.setdefault(key, row)


def _dangling_references(records: Records) -> Iterator[RecordProblem]:
    for entry in sheets():
        for field in entry.fields:
            if field.refers_to is None:
                continue
            known = _known(records, field)
            known_set = set(known)
            for row, record in enumerate(records.get(entry.key, ())):
                tag = record.get(field.name)
                if tag is None or str(tag) in known_set:
                    continue
                near = get_close_matches(str(tag), known, n=1, cutoff=0.4)
                yield RecordProblem(
                    sheet=entry.key,
                    row=row,
                    field=field.name,
                    problem=f"there is no {field.label.lower()} {tag!r}",
                    allowed=_some(known)
                    or f"nothing yet: fill the {field.refers_to.split('.')[0].replace('_', ' ')} sheet",
                    remedy=f"nearest: {near[0]}" if near else "",
                    rests_on=_TAGS_ON_THE_FIXTURE if field.refers_to == ON_THE_FIXTURE else (field.refers_to,),
                )


def _known(records: Records, field: Field) -> list[str]:
    if field.refers_to == ON_THE_FIXTURE:
        return board_tags(records)
    key, name = str(field.refers_to).split(".")
    return [str(record[name]) for record in records.get(key, ()) if record.get(name) is not None]


def _some(known: Sequence[str]) -> str:
    return ", ".join(known[:12]) + (" ..." if len(known) > 12 else "")


def _room_is_whole(records: Records) -> Iterator[RecordProblem]:
    site = _form(records, "site")
    names = ("room_width_m", "room_depth_m", "room_height_m")
    missing = [name for name in names if site.get(name) is None]
    if 0 < len(missing) < len(names):
        for name in missing:
            yield RecordProblem(
                sheet="site",
                row=0,
                field=name,
                problem="only part of the room's size is given",
                allowed="all three room sizes, or none for an open bench",
            )


def _ends_in_order(records: Records) -> Iterator[RecordProblem]:
    pairs = (
        ("site", "target_dli_low_mol_m2_d", "target_dli_high_mol_m2_d"),
        ("drivers", "voltage_low_v", "voltage_high_v"),
        ("drivers", "current_low_a", "current_high_a"),
        ("drivers", "window_min_v", "voltage_high_v"),
    )
    for key, low_name, high_name in pairs:
        for row, record in enumerate(records.get(key, ())):
            low, high = record.get(low_name), record.get(high_name)
            if isinstance(low, int | float) and isinstance(high, int | float) and low > high:
                yield RecordProblem(
                    sheet=key,
                    row=row,
                    field=high_name,
                    problem=f"the high end {high:g} lies below the low end {low:g}",
                    allowed=f"at least {low:g}",
                    remedy="swap the two, or mend the wrong one",
                )


def _points_make_a_curve(records: Records) -> Iterator[RecordProblem]:
    points = list(enumerate(records.get("board_points", ())))
    for model_row, model in enumerate(records.get("boards", ())):
        own = [(row, point) for row, point in points if point.get("board") == model.get("tag")]
        if model.get("tag") is not None and len(own) < 2:
            yield RecordProblem(
                sheet="boards",
                row=model_row,
                field="tag",
                problem=f"{model['tag']!r} has {len(own)} board points",
                allowed="at least two rows of the Board points sheet a model",
                remedy="add points from the datasheet's current-voltage curve",
                rests_on=("board_points.board", "boards.tag"),
            )
        yield from _rising(own)


def _rising(own: Sequence[tuple[int, Record]]) -> Iterator[RecordProblem]:
    whole = [(row, point) for row, point in own if isinstance(point.get("current_a"), int | float)]
    ordered = sorted(whole, key=lambda entry: float(entry[1]["current_a"] or 0.0))
    for (_, before), (row, point) in itertools.pairwise(ordered):
        if before["current_a"] == point["current_a"]:
            yield RecordProblem(
                sheet="board_points",
                row=row,
                field="current_a",
                problem="this current stands twice for the model",
                allowed="each current once a model",
            )
            continue
        for name, word in (("voltage_v", "voltage"), ("photon_flux_umol_s", "photon flux")):
            low, high = before.get(name), point.get(name)
            if isinstance(low, int | float) and isinstance(high, int | float) and high <= low:
                yield RecordProblem(
                    sheet="board_points",
                    row=row,
                    field=name,
                    problem=f"more current but not more {word}",
                    allowed=f"above {low:g}, the {word} at {before['current_a']:g} A",
                    remedy="check the point against the datasheet",
                )


def _no_more_light_than_power(records: Records) -> Iterator[RecordProblem]:
    ceilings = {model.get("tag"): model.get("photons_per_joule_umol_per_j") for model in records.get("boards", ())}
    for row, point in enumerate(records.get("board_points", ())):
        current, voltage, flux = point.get("current_a"), point.get("voltage_v"), point.get("photon_flux_umol_s")
        if not (
            isinstance(current, int | float) and isinstance(voltage, int | float) and isinstance(flux, int | float)
        ):
            continue
        if current <= 0 or voltage <= 0:
            continue
        own = ceilings.get(point.get("board"))
        ceiling = min(float(own), CEILING_UMOL_PER_J) if isinstance(own, int | float) else CEILING_UMOL_PER_J
        efficacy = flux / (current * voltage)
        if efficacy >= ceiling:
            yield RecordProblem(
                sheet="board_points",
                row=row,
                field="photon_flux_umol_s",
                problem=f"{efficacy:.3g} umol/J, more light than the power put in",
                allowed=f"below {ceiling:.4g} umol/J, the photons in a joule of this light",
                remedy="check flux, current and voltage of this point",
            )


def _cables_fit_the_arrangement(records: Records) -> Iterator[RecordProblem]:
    if _form(records, "fixture").get("arrangement", "home runs") != "home runs":
        return
    served: dict[str, int] = {}
    for row, cable in enumerate(records.get("cables", ())):
        start, board = cable.get("from_node"), cable.get("to_node")
        if start is not None and str(start).casefold() != "driver":
            yield RecordProblem(
                sheet="cables",
                row=row,
                field="from_node",
                problem=f"a home run starts at {start!r}",
                allowed="driver",
                remedy="write driver",
            )
        if board is not None and str(board) in served:
            yield RecordProblem(
                sheet="cables",
                row=row,
                field="to_node",
                problem=f"board {board!r} already has the run of data row {served[str(board)] + 1}",
                allowed="one run a board",
            )
        served.setdefault(str(board), row)
    for tag in board_tags(records):
        if tag not in served:
            yield RecordProblem(
                sheet="cables",
                row=-1,
                field="to_node",
                problem=f"no cable runs to board {tag!r}",
                allowed="one run a board",
                remedy=f"add a row that ends at {tag}",
                rests_on=("cables.to_node", *_TAGS_ON_THE_FIXTURE),
            )


_CHECKS: tuple[Callable[[Records], Iterator[RecordProblem]], ...] = (
    _room_is_whole,
    _ends_in_order,
    _points_make_a_curve,
    _no_more_light_than_power,
    _cables_fit_the_arrangement,
)
