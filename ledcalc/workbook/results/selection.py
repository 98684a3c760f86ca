"""The page on boards as they arrived: which to take, and where each belongs."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.results import Evaluation, Selection
from ledcalc.workbook.results.pages import BarChart, Block, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["selection_page"]

COLUMNS = (
    col("Put up at", width=12),
    col("Incoming board", width=16),
    col("Model", width=18),
    col("Test current", "A", 3),
    col("Voltage", "V", 3),
    col("Off its model's mean", "mV", 0, 14),
    col("Expected current", "A", 3, 12),
    col("Put up in list order", "A", 3, 14),
    col("Rated current", "A", 3, 12),
)


def selection_page(results: Evaluation) -> Page | None:
    """Return where each incoming board belongs; None where none is listed."""
    selection = results.selection
    if selection is None:
        return None
    taken = [n for n, place in enumerate(selection.place) if place]
    order = {tag: number for number, tag in enumerate(results.boards.tag)}
    rows = [_row(results, selection, n) for n in sorted(taken, key=lambda n: order[selection.place[n]])]
    spares = [_row(results, selection, n) for n in range(len(selection.tag)) if n not in taken]
    blocks: list[Block] = [
        Facts(
            heading="What it is worth",
            facts=(
                fact("Widest spread in a model, matched", _spread(selection, selection.expected_current_a), "A", 3),
                fact("Widest spread in a model, in list order", _spread(selection, selection.as_listed_a), "A", 3),
                fact("Left over", len(selection.tag) - len(taken), "", 0, "spares"),
                fact("Places without a board", len(results.boards.tag) - len(taken), "", 0, "taken as by the curve"),
            ),
        ),
        Table(heading="Where each board belongs", columns=COLUMNS, rows=tuple(rows)),
        BarChart(
            title="Expected currents, matched boards", axis="current in A", category=0, bars=6, line=8, beside=None
        ),
        *([Table(heading="Spares", columns=COLUMNS, rows=tuple(spares))] if spares else []),
        Lines(
            heading="How it is done",
            lines=(
                "Of each model the boards nearest in voltage are taken; the lowest of them goes where most voltage is "
                "lost on the way.",
                "Only the spread counts, so boards may be measured at any one temperature, all of them at the same.",
            ),
        ),
    ]
    lead = "Boards of one model differ; put each where its voltage does least harm."
    return Page(title="Board selection", lead=lead, blocks=blocks)


def _spread(selection: Selection, current_a: FloatArray) -> Shown:
    """Return the widest spread of current among boards of one model."""
    spreads = [
        float(np.ptp(own[np.isfinite(own)]))
        for model in dict.fromkeys(selection.model)
        if np.isfinite(own := current_a[[name == model for name in selection.model]]).any()
    ]
    return max(spreads, default=None)


def _row(results: Evaluation, selection: Selection, n: int) -> tuple[Shown, ...]:
    place = selection.place[n]
    boards = results.boards
    expected, listed = float(selection.expected_current_a[n]), float(selection.as_listed_a[n])
    return (
        place or "spare",
        selection.tag[n],
        selection.model[n],
        float(selection.test_current_a[n]),
        float(selection.voltage_v[n]),
        1000.0 * float(selection.offset_v[n]),
        expected if np.isfinite(expected) else None,
        listed if np.isfinite(listed) else None,
        float(boards.rated_current_a[boards.tag.index(place)]) if place else None,
    )
