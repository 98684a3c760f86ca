"""Parts that nobody counted, hours and months claimed twice, and a parts list that is shorter than the fixture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import Any

from ledcalc.checks.limits import OVER
from ledcalc.cost import TariffPeriod, shared_hour
from ledcalc.cost.tariff import DAYS_IN_MONTH
from ledcalc.errors import ArgumentError
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture, TariffHours
from ledcalc.owning import months_between, needed_counts, tariff_period
from ledcalc.results import Evaluation
from ledcalc.schema import RecordProblem, Records

__all__ = ["owning_problems", "parts_too_few"]


def owning_problems(records: Records) -> Iterator[RecordProblem]:
    """Say which inputs of parts, tariff and seasons contradict each other."""
    yield from _parts_that_nobody_counts(records)
    yield from _hours_claimed_twice(records)
    yield from _months_claimed_twice(records)


def parts_too_few(fixture: Fixture, _results: Evaluation) -> Iterator[Finding]:
    """The Parts sheet states fewer boards, heat sinks, drivers or metres of wire than the fixture needs."""
    stated = [(row, part) for row, part in enumerate(fixture.parts) if part.quantity is not None]
    needed = needed_counts(fixture) if stated else {}
    for row, part in stated:
        quantity, count = float(part.quantity or 0.0), needed.get(part.tag, 0.0)
        if count <= (quantity + (part.spares_count or 0.0) * (quantity > 0.0)) * OVER:
            continue
        metres = any(cable.size == part.tag for cable in fixture.cables)
        enough = math.ceil(count)
        yield Finding(
            code="parts-too-few",
            severity="note",
            path=f"parts[{row}].quantity",
            message=f"The Parts sheet has {quantity:g} {'m of ' if metres else ''}{part.tag}; this fixture takes "
            f"{count:.4g}{' m' if metres else ''}.",
            value=quantity,
            limit=count,
            unit="m" if metres else "",
            remedy=f"write {enough}, or leave the quantity blank to have it counted",
            basis="counted on the fixture",
            changes={f"parts[{row}].quantity": float(enough)},
        )


def _parts_that_nobody_counts(records: Records) -> Iterator[RecordProblem]:
    sources = (("boards", "tag"), ("heat_sinks", "tag"), ("drivers", "tag"), ("cables", "size"))
    known = {str(row.get(name)) for key, name in sources for row in records.get(key, ())}
    for row, part in enumerate(records.get("parts", ())):
        if part.get("quantity") is None and part.get("tag") is not None and str(part["tag"]) not in known:
            yield RecordProblem(
                sheet="parts",
                row=row,
                field="quantity",
                problem=f"blank, and no board, heat sink, driver or wire size is called {part['tag']!r}",
                allowed="a number above 0, or the part's name as on its own sheet",
                rests_on=("parts.tag", *(f"{key}.{name}" for key, name in sources)),
            )


def _hours_claimed_twice(records: Records) -> Iterator[RecordProblem]:
    periods: list[tuple[int, TariffPeriod]] = []
    for row, record in enumerate(records.get("tariff", ())):
        given: dict[str, Any] = {name: value for name, value in record.items() if value is not None}
        if not {"tag", "price_per_kwh"} <= set(given):
            continue
        try:
            periods.append((row, tariff_period(TariffHours(**given))))
        except ArgumentError:
            yield RecordProblem(
                sheet="tariff",
                row=row,
                field="to_h",
                problem="it ends when it starts",
                allowed="another time than the start; 0 to 24 for the whole day",
                rests_on=("tariff.from_h", "tariff.to_h"),
            )
    for (_, first), (row, second) in combinations(periods, 2):
        clash = shared_hour(first, second)
        if clash:
            yield RecordProblem(
                sheet="tariff",
                row=row,
                field="from_h",
                problem=f"{second.name!r} and {first.name!r} both hold {clash}",
                allowed="one price an hour",
                remedy="change hours, days or months of one of the two",
                rests_on=tuple(f"tariff.{name}" for name in ("from_h", "to_h", "days", "from_month", "to_month")),
            )


def _months_claimed_twice(records: Records) -> Iterator[RecordProblem]:
    taken: dict[int, str] = {}
    for row, season in enumerate(records.get("seasons", ())):
        first, last, days = (season.get(name) for name in ("from_month", "to_month", "days_lit_count"))
        if not isinstance(first, int) or not isinstance(last, int):
            continue
        months = months_between(first, last)
        double = [month for month in months if month in taken]
        most = sum(DAYS_IN_MONTH[month - 1] for month in months) + (2 in months)
        field, problem, allowed = "from_month", "", "each month in one season"
        if double:
            problem = f"month {double[0]} is in {taken[double[0]]!r} already"
        elif isinstance(days, int | float) and days > most:
            field, problem = "days_lit_count", "more days than these months have"
            allowed = f"up to {most}"
        if problem:
            rests_on = tuple(f"seasons.{name}" for name in ("from_month", "to_month", "days_lit_count"))
            yield RecordProblem(
                sheet="seasons", row=row, field=field, problem=problem, allowed=allowed, rests_on=rests_on
            )
        taken |= {month: str(season.get("tag")) for month in months if month not in taken}
