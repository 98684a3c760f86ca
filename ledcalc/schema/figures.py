"""Checks of figures against each other: ends out of order, curves that fall, light without power, cables amiss."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence

from ledcalc.schema.record import TAGS_ON_THE_FIXTURE, Record, RecordProblem, Records, board_tags, form_of

__all__ = ["FIGURE_CHECKS"]

# A joule of light holds the most photons at the long end of the counted band: 700 nm / 119.6266 (CODATA 2018).
CEILING_UMOL_PER_J = 5.8515


def _room_is_whole(records: Records) -> Iterator[RecordProblem]:
    site = form_of(records, "site")
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
    if form_of(records, "fixture").get("arrangement", "home runs") == "shared trunk":
        yield from _trunk_reaches_all(records)
        return
    served: dict[str, int] = {}
    for row, cable in enumerate(records.get("cables", ())):
        start, board = cable.get("from_node"), cable.get("to_node")
        if start is not None and str(start).casefold() != "driver":
            yield _of_cable(row, "from_node", f"a home run starts at {start!r}", "driver", "write driver")
        if board is not None and str(board) in served:
            problem = f"board {board!r} already has the run of data row {served[str(board)] + 1}"
            yield _of_cable(row, "to_node", problem, "one run a board")
        served.setdefault(str(board), row)
    for tag in board_tags(records):
        if tag not in served:
            yield _no_cable(f"no cable runs to board {tag!r}", f"add a row that ends at {tag}")


def _trunk_reaches_all(records: Records) -> Iterator[RecordProblem]:
    tags, reached = board_tags(records), {"driver"}
    runs = []
    for row, cable in enumerate(records.get("cables", ())):
        start, end = str(cable.get("from_node") or "driver"), str(cable.get("to_node"))
        start = "driver" if start.casefold() == "driver" else start
        if start not in {"driver", *tags}:
            yield _of_cable(row, "from_node", f"there is no board {start!r}", f"driver, {', '.join(tags[:12])}")
        if start == end:
            yield _of_cable(row, "to_node", "the run ends where it starts", "another board")
        runs.append((start, end))
    for _ in runs:
        for start, end in runs:
            if start in reached or end in reached:
                reached |= {start, end}
    for tag in tags:
        if tag not in reached:
            yield _no_cable(f"no run leads from the driver to board {tag!r}", f"add a row that ends at {tag}")


def _of_cable(row: int, field: str, problem: str, allowed: str, remedy: str = "") -> RecordProblem:
    return RecordProblem(sheet="cables", row=row, field=field, problem=problem, allowed=allowed, remedy=remedy)


def _no_cable(problem: str, remedy: str) -> RecordProblem:
    return RecordProblem(
        sheet="cables",
        row=-1,
        field="to_node",
        problem=problem,
        allowed="a way from the driver to every board",
        remedy=remedy,
        rests_on=("cables.to_node", "cables.from_node", *TAGS_ON_THE_FIXTURE),
    )


def _sinks_are_given_one_way(records: Records) -> Iterator[RecordProblem]:
    plate, fins = ("orientation", "width_m", "length_m"), ("base_thickness_m", "fin_height_m", "fin_thickness_m")
    for row, sink in enumerate(records.get("heat_sinks", ())):
        stated = sink.get("sink_resistance_k_per_w") is not None
        given = [name for name in (*plate, "fin_count", *fins) if sink.get(name) is not None]
        rests_on = tuple(f"heat_sinks.{name}" for name in ("sink_resistance_k_per_w", *plate, "fin_count", *fins))
        wanted = (*plate, *fins) if sink.get("fin_count") is not None else plate
        orientations = (
            ("vertical", "fins up") if sink.get("fin_count") is not None else ("vertical", "face up", "face down")
        )
        problem = allowed = ""
        field = "sink_resistance_k_per_w"
        if stated and given:
            problem, allowed = "both a thermal resistance and dimensions are given", "one of the two; blank the other"
        elif not stated and not given:
            problem, allowed = "neither a thermal resistance nor dimensions are given", "one of the two"
        elif not stated and (missing := [name for name in wanted if sink.get(name) is None]):
            field, problem, allowed = (
                missing[0],
                "needed with the other dimensions",
                "orientation, width, length; for fins all of theirs",
            )
        elif not stated and sink.get("orientation") not in orientations:
            field, problem, allowed = (
                "orientation",
                f"{sink['orientation']!r} does not go with this sink",
                " or ".join(orientations),
            )
        if problem:
            yield RecordProblem(
                sheet="heat_sinks", row=row, field=field, problem=problem, allowed=allowed, rests_on=rests_on
            )


FIGURE_CHECKS: tuple[Callable[[Records], Iterator[RecordProblem]], ...] = (
    _room_is_whole,
    _sinks_are_given_one_way,
    _ends_in_order,
    _points_make_a_curve,
    _no_more_light_than_power,
    _cables_fit_the_arrangement,
)
