"""Checks each value of the records against its own field: presence, kind, choices, range. For inputs from Python."""

from __future__ import annotations

import math

from ledcalc.schema.model import Field, sheets
from ledcalc.schema.record import RecordProblem, Records
from ledcalc.schema.values import Refusal, Value, range_refusal, text_refusal

__all__ = ["limit_problems"]


def limit_problems(records: Records) -> list[RecordProblem]:
    """Return every value that its field does not take; rows count from 0 within their sheet."""
    return [
        RecordProblem(
            sheet=part.key,
            row=row,
            field=field.name,
            problem=f"{refusal.problem}: {record.get(field.name)!r}",
            # The value is told in the canonical unit, and so are the limits.
            allowed=field.allowed_in_python if refusal.allowed == field.allowed else refusal.allowed,
            remedy=refusal.remedy,
        )
        for part in sheets()
        for row, record in enumerate(records.get(part.key, ()))
        for field in part.fields
        if (refusal := _refusal(field, record.get(field.name))) is not None
    ]


def _refusal(field: Field, value: Value | None) -> Refusal | None:
    if value is None:
        return Refusal(problem="required, but not given", allowed=field.allowed) if field.required else None
    if field.choices:
        known = value in field.choices
        return None if known else Refusal(problem="not one of the choices", allowed=field.allowed)
    if field.kind not in {"number", "whole"}:
        return text_refusal(field, str(value))
    if isinstance(value, bool | str) or not math.isfinite(value):
        return Refusal(problem="not a finite number", allowed=field.allowed)
    if field.kind == "whole" and value != int(value):
        return Refusal(problem="not a whole number", allowed=field.allowed)
    return range_refusal(field, value)
