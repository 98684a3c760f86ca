"""Pages on many variants: ranked, with why each won or lost; and the frontier as a picture."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from ledcalc.variants.figure_names import figure_name
from ledcalc.variants.ranking import Frontier, Standing
from ledcalc.workbook.results.pages import Block, Col, Lines, Page, PointChart, Shown, Table

__all__ = ["frontier_page", "ranking_page"]

# A sheet of more rows is slow to open and nobody reads it; the table as CSV has them all.
MOST_ROWS = 5_000
WAYS = {"lowest": "the lower the better", "highest": "the higher the better"}


def ranking_page(found: Frontier, figures: Sequence[Mapping[str, Any]], changes: Sequence[str], currency: str) -> Page:
    """Return the variants by rank, with filters on the columns and a line each on why it won or lost.

    Parameters
    ----------
    found : from ``frontier``
    figures : each variant's, in the order given
    changes : in words what differs from the base, in the same order; empty for a table of results alone
    currency : of figures that are money
    """
    order = _ranked(found)[:MOST_ROWS]
    table = Table(
        heading="",
        columns=(
            Col(label="Rank", digits=0, width=8),
            Col(label="Variant", width=22),
            *([Col(label="What differs", width=30)] if changes else []),
            *(_column(figure, currency) for figure in found.objectives),
            Col(label="Frontier", width=10, digits=0),
            Col(label="Beaten by", width=20),
            Col(label="Why it won or lost", width=62),
        ),
        rows=tuple(
            _row(found, found.standings[place], figures[place], changes[place] if changes else None) for place in order
        ),
        has_filters=True,
    )
    ranked = sum(one.rank is not None for one in found.standings)
    lead = f"{ranked} of {len(found.standings)} variants ranked by {_objectives(found)}."
    blocks: list[Block] = [table]
    if len(found.standings) > MOST_ROWS:
        blocks.append(Lines(lines=(f"The first {MOST_ROWS} of {len(found.standings)}.",)))
    return Page(title="Ranking", lead=lead, blocks=blocks)


def frontier_page(found: Frontier, figures: Sequence[Mapping[str, Any]], currency: str) -> Page | None:
    """Return the first two objectives drawn against each other; None with one objective, or nothing ranked."""
    if len(found.objectives) < 2:
        return None
    across, up = list(found.objectives)[:2]
    points = []
    for place in _ranked(found)[:MOST_ROWS]:
        one, own = found.standings[place], figures[place]
        if one.rank is not None:
            points.append((one.layer != 1, float(own[across]), float(own[up]), one.name))
    if not points:
        return None
    names = [_named(figure, currency) for figure in (across, up)]
    rows: list[tuple[Shown, ...]] = [
        (name, x, None if is_beaten else y, y if is_beaten else None) for is_beaten, x, y, name in sorted(points)
    ]
    table = Table(
        heading="",
        columns=(
            Col(label="Variant", width=30),
            _column(across, currency),
            Col(label="On the frontier", unit=_unit(up, currency), digits=_digits(up), width=18),
            Col(label="Beaten", unit=_unit(up, currency), digits=_digits(up), width=18),
        ),
        rows=tuple(rows),
    )
    chart = PointChart(
        title=f"{names[1][0].upper()}{names[1][1:]} against {names[0]}",
        across=names[0],
        up=names[1],
        x=1,
        ups=(2, 3),
        # Of more objectives the frontier is a surface, and no line.
        is_joined=len(found.objectives) == 2,
        least=(_axis_start([point[1] for point in points]), _axis_start([point[2] for point in points])),
    )
    more = "" if len(found.objectives) == 2 else " A point may be on it for an objective that the chart does not show."
    lead = f"On the frontier: no other variant is better in {_objectives(found)} at once.{more}"
    return Page(title="Frontier", lead=lead, blocks=(table, chart))


def _ranked(found: Frontier) -> list[int]:
    """Return the places of the variants, by rank, those that are not ranked last."""
    places = range(len(found.standings))
    return sorted(places, key=lambda place: found.standings[place].rank or len(places) + 1)


def _axis_start(values: Sequence[float]) -> float:
    """Return where an axis begins so that points take up most of it: a round number below them all."""
    low, high = min(values), max(values)
    step = 10.0 ** float(math.floor(math.log10(max(high - low, abs(high) * 1e-3, 1e-9))))
    return float(round(math.floor(low / step - 0.1) * step, 12))


def _row(found: Frontier, one: Standing, figures: Mapping[str, Any], change: str | None) -> tuple[Shown, ...]:
    return (
        one.rank,
        one.name,
        *([] if change is None else [change]),
        *(_shown(figures.get(figure)) for figure in found.objectives),
        "yes" if one.layer == 1 else "no",
        one.beaten_by,
        one.line,
    )


def _shown(value: Any) -> float | None:
    return None if value is None or not math.isfinite(float(value)) else float(value)


def _column(figure: str, currency: str) -> Col:
    label = figure_name(figure).label
    return Col(label=f"{label[0].upper()}{label[1:]}", unit=_unit(figure, currency), digits=_digits(figure), width=16)


def _digits(figure: str) -> int:
    """Return how many digits after the point tell variants apart."""
    unit = figure_name(figure).unit
    if unit in {"W", "degC", "K", "umol m-2 s-1", "kWh"}:
        return 1
    return 4 if figure.endswith("_per_mol") else 3 if unit != "money" else 2


def _unit(figure: str, currency: str) -> str:
    unit = figure_name(figure).unit
    return currency if unit == "money" else unit


def _named(figure: str, currency: str) -> str:
    unit = _unit(figure, currency)
    return f"{figure_name(figure).label} in {unit}" if unit else figure_name(figure).label


def _objectives(found: Frontier) -> str:
    said = [f"{figure_name(figure).label} ({WAYS[best]})" for figure, best in found.objectives.items()]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
