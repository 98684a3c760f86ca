"""Inputs that the trade's own tables refuse: sizes and insulations that the rule set does not know."""

from __future__ import annotations

from collections.abc import Iterator

from ledcalc.errors import ArgumentError
from ledcalc.schema import Record, RecordProblem, Records
from ledcalc.wiring import parse_size
from ledcalc.wiring.ampacity import WIRE_KINDS

__all__ = ["trade_problems"]

INSULATIONS_C = (60.0, 70.0, 75.0, 90.0)


def trade_problems(records: Records) -> list[RecordProblem]:
    """Return every cable whose size, kind, method or insulation the site's rule set does not know."""
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


def _problem(row: int, field: str, problem: str, allowed: str) -> RecordProblem:
    return RecordProblem(sheet="cables", row=row, field=field, problem=problem, allowed=allowed)
