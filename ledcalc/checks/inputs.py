"""Inputs that the trade's tables and formulas refuse: sizes and insulations unknown, points that make no curve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches

import numpy as np

from ledcalc.checks.maintenance_inputs import tests_that_are_none
from ledcalc.checks.owning import owning_problems
from ledcalc.circuit import BoardCurve
from ledcalc.errors import ArgumentError
from ledcalc.schema import Record, RecordProblem, Records
from ledcalc.wiring import conductor_resistance, known_connectors, known_residual_devices_a, parse_size
from ledcalc.wiring.ampacity import WIRE_KINDS

__all__ = ["trade_problems"]

INSULATIONS_C = (60.0, 70.0, 75.0, 90.0)


def trade_problems(records: Records) -> list[RecordProblem]:
    """Return every cable that the site's rule set does not know, every model whose points make no curve or test, and
    what contradicts itself in parts, tariff and seasons."""
    return [
        *_curves_that_are_none(records),
        *_mains_unknown(records),
        *_cables_unknown(records),
        *owning_problems(records),
        *tests_that_are_none(records),
    ]


def _curves_that_are_none(records: Records) -> Iterator[RecordProblem]:
    """Say of which models the points at several temperatures make no curve."""
    for row, model in enumerate(records.get("boards", ())):
        own = [point for point in records.get("board_points", ()) if point.get("board") == model.get("tag")]
        reference = model.get("reference_temperature_c")
        reference = 25.0 if reference is None else reference
        warm = [reference if point.get("temperature_c") is None else point.get("temperature_c") for point in own]
        rows = [[point.get("current_a"), point.get("voltage_v"), at] for point, at in zip(own, warm, strict=True)]
        plain = [[float(value) for value in values if isinstance(value, int | float)] for values in rows]
        if any(len(values) < 3 for values in plain) or model.get("diode_slope_v") is not None:
            continue
        # Fewer than two at the reference temperature are said elsewhere, and one temperature is no course.
        at_reference = sum(values[2] == reference for values in plain)
        if at_reference in {0, 1, len(plain)} or not isinstance(reference, int | float):
            continue
        current, voltage, temperature = (list(column) for column in zip(*plain, strict=True))
        if _rises_with_heat(plain, float(reference)):
            yield RecordProblem(
                sheet="boards",
                row=row,
                field="tag",
                problem=f"the voltage of {model.get('tag')!r} rises with its temperature",
                allowed="points whose voltage falls as the board warms",
                remedy="check which temperature belongs to which points",
                rests_on=("board_points.voltage_v", "board_points.temperature_c"),
            )
            continue
        try:
            BoardCurve.from_points_at_temperatures(
                current, voltage, temperature, reference_temperature_c=float(reference)
            )
        except ArgumentError as problem:
            yield RecordProblem(
                sheet="boards",
                row=row,
                field="tag",
                problem=f"the points of {model.get('tag')!r} at several temperatures make no curve",
                allowed=problem.allowed,
                rests_on=("board_points.current_a", "board_points.voltage_v", "board_points.temperature_c"),
            )


def _rises_with_heat(points: Sequence[Sequence[float]], reference_c: float) -> bool:
    """Return whether points (current, voltage, temperature) lie higher the warmer they are."""
    base = sorted((point[0], point[1]) for point in points if point[2] == reference_c)
    amps, volts = [point[0] for point in base], [point[1] for point in base]
    moved = [
        (point[2] - reference_c) * (point[1] - float(np.interp(point[0], amps, volts)))
        for point in points
        if point[2] != reference_c and amps[0] <= point[0] <= amps[-1]
    ]
    return sum(moved) > 0


def _mains_unknown(records: Records) -> Iterator[RecordProblem]:
    """Name an inlet that no table has, and a residual-current device of no standard rating."""
    known = known_connectors()
    for row, model in enumerate(records.get("drivers", ())):
        inlet = model.get("inlet")
        if inlet is not None and str(inlet) not in known:
            near = get_close_matches(str(inlet), known, n=1, cutoff=0.4)
            yield RecordProblem(
                sheet="drivers",
                row=row,
                field="inlet",
                problem=f"connector {inlet!r} is not known",
                allowed=", ".join(known),
                remedy=f"nearest: {near[0]}" if near else "",
            )
    device = (records.get("site") or ({},))[0].get("residual_device_a")
    if isinstance(device, int | float) and not any(abs(device - own) < 1e-9 for own in known_residual_devices_a()):
        ratings = ", ".join(f"{1000 * own:g}" for own in known_residual_devices_a())
        yield RecordProblem(
            sheet="site",
            row=0,
            field="residual_device_a",
            problem=f"no device is rated {1000 * device:g} mA",
            allowed=f"{ratings} mA",
        )


def _cables_unknown(records: Records) -> list[RecordProblem]:
    site = (records.get("site") or ({},))[0]
    rule_set = site.get("rule_set")
    if rule_set not in {"NEC", "IEC"}:
        return []
    rows = enumerate(records.get("cables", ()))
    return [problem for row, cable in rows for problem in _cable_problems(row, cable, str(rule_set))]


def _cable_problems(row: int, cable: Record, rule_set: str) -> Iterator[RecordProblem]:
    size = cable.get("size")
    if size is not None:
        try:
            parse_size(str(size), rule_set=rule_set)
        except ArgumentError as problem:
            yield _problem(row, "size", f"wire size {str(size)!r} is not known", problem.allowed)
    yield from _conductor_unknown(row, cable, rule_set)
    needed, other = ("wire_kind", "installation_method") if rule_set == "NEC" else ("installation_method", "wire_kind")
    if cable.get(needed) is None:
        allowed = " or ".join(WIRE_KINDS) if rule_set == "NEC" else "A1, A2, B1, B2, C or E"
        yield _problem(row, needed, f"needed with the {rule_set} rule set", allowed)
    if cable.get(other) is not None:
        yield _problem(row, other, f"does not go with the {rule_set} rule set", f"blank with {rule_set}")
    insulation = cable.get("insulation_c")
    if isinstance(insulation, int | float) and float(insulation) not in INSULATIONS_C:
        allowed = ", ".join(f"{known:g}" for known in INSULATIONS_C) + " degC"
        yield _problem(row, "insulation_c", f"no table has insulation of {insulation:g} degC", allowed)
    terminal = cable.get("terminal_c")
    if isinstance(terminal, int | float) and float(terminal) not in INSULATIONS_C:
        allowed = ", ".join(f"{known:g}" for known in INSULATIONS_C) + " degC"
        yield _problem(row, "terminal_c", f"no table has terminals of {terminal:g} degC", allowed)


def _conductor_unknown(row: int, cable: Record, rule_set: str) -> Iterator[RecordProblem]:
    """Name a conductor whose resistance no table or law here gives."""
    words = [cable.get(name) for name in ("size", "stranding", "coating", "material")]
    size, stranding, coating, material = (None if word is None else str(word) for word in words)
    if size is None:
        return
    try:
        parse_size(size, rule_set=rule_set)
    except ArgumentError:
        return
    try:
        conductor_resistance(
            size,
            1.0,
            stranding=stranding or "stranded",
            rule_set=rule_set,
            coating=coating or "bare",
            material=material or "copper",
        )
    except ArgumentError as problem:
        field = "material" if material not in {None, "copper"} else "stranding"
        yield _problem(row, field, "no resistance is known for this conductor", problem.allowed)


def _problem(row: int, field: str, problem: str, allowed: str) -> RecordProblem:
    return RecordProblem(sheet="cables", row=row, field=field, problem=problem, allowed=allowed)
