"""Pages that give the reasons: findings, assumptions, workings; and the variants."""

from __future__ import annotations

from collections.abc import Sequence

from ledcalc.results import Assumption, Evaluation
from ledcalc.schema import sheets
from ledcalc.variants import VariantRow
from ledcalc.workbook.results.pages import Block, Col, Lines, Page, Shown, Table

__all__ = ["assumptions_page", "findings_page", "variants_page", "workings_page"]

# Told apart in grey print and at a glance; ASCII, so that every font has them.
MARKS = {"stop": "!!!", "act": "!!", "note": "i"}


def findings_page(results: Evaluation) -> Page:
    """Return every finding with its place, limit, remedy and basis."""
    blocks: list[Block] = []
    if results.findings:
        blocks.append(
            Table(
                heading="",
                columns=(
                    Col(label="Mark", width=6),
                    Col(label="Severity", width=9),
                    Col(label="Finding", width=21),
                    Col(label="Where", width=15, is_link=True),
                    Col(label="What", width=42),
                    Col(label="Value", digits=3, width=9),
                    Col(label="Limit", digits=3, width=9),
                    Col(label="Unit", width=13),
                    Col(label="Remedy", width=38),
                    Col(label="Basis", width=28),
                ),
                rows=tuple(
                    (
                        MARKS[found.severity],
                        found.severity,
                        found.code,
                        found.cell or _place(results, found.path),
                        found.message,
                        found.value,
                        found.limit,
                        found.unit if found.unit != "1" else "share",
                        f"{found.remedy[0].upper()}{found.remedy[1:]}.",
                        found.basis,
                    )
                    for found in results.findings
                ),
            )
        )
    else:
        blocks.append(Lines(lines=("No finding.",)))
    blocks.append(Lines(heading="Not checked", lines=results.not_checked))
    lead = "stop: do not energise until mended; act: change it; note: good to know. Where: a click opens the cell."
    return Page(title="Findings", lead=lead, blocks=blocks)


def assumptions_page(results: Evaluation) -> Page:
    """Return everything that nobody gave and the tool assumed."""
    table = Table(
        heading="",
        columns=(
            Col(label="Where", width=26, is_link=True),
            Col(label="Assumed", width=62),
            Col(label="Why", width=62),
        ),
        rows=tuple(_assumed(results, entries) for entries in _alike(results.assumptions)),
    )
    return Page(title="Assumptions", lead="Nothing is guessed in silence.", blocks=(table,))


def _alike(assumptions: Sequence[Assumption]) -> list[list[Assumption]]:
    """Return the assumptions with those that say the same of several cells put together."""
    groups: dict[tuple[str, str], list[Assumption]] = {}
    for entry in assumptions:
        groups.setdefault((entry.value, entry.reason), []).append(entry)
    return list(groups.values())


def _assumed(results: Evaluation, entries: Sequence[Assumption]) -> tuple[Shown, ...]:
    where, last = (entry.cell or _place(results, entry.path) for entry in (entries[0], entries[-1]))
    value = entries[0].value if len(entries) == 1 else f"{entries[0].value} ({len(entries)} cells, to {last})"
    return where, value, entries[0].reason


def _place(results: Evaluation, path: str) -> str:
    """Return sheet and field of what has no cell of its own, as the sheets call them."""
    if results.fixture.origin is None:
        return path
    key, _, name = path.partition(".")
    part = next((part for part in sheets() if part.key == key), None)
    label = next((field.label for field in part.fields if field.name == name), "") if part else ""
    if part is None or (name and not label):
        return path
    return f"{part.title}: {label}" if label else part.title


def workings_page(results: Evaluation) -> Page:
    """Return the main figures with formula, numbers and source."""
    table = Table(
        heading="",
        columns=(
            Col(label="Topic", width=11),
            Col(label="Quantity", width=26),
            Col(label="Formula", width=34),
            Col(label="With numbers", width=40),
            Col(label="Result", digits=4, width=12),
            Col(label="Unit", width=13),
            Col(label="Source", width=38),
        ),
        rows=tuple(
            (step.topic, step.quantity, step.formula, step.figures, step.value, step.unit, step.source)
            for step in results.workings
        ),
    )
    return Page(title="Workings", lead="Each main figure, to follow by hand.", blocks=(table,))


def variants_page(rows: Sequence[VariantRow], currency: str) -> Page:
    """Return one row of figures a variant."""
    columns = (
        ("driver_current_a", Col(label="Driver current", unit="A")),
        ("highest_board_current_a", Col(label="Highest board current", unit="A", digits=3)),
        ("highest_board_temperature_c", Col(label="Hottest board", unit="degC", digits=1)),
        ("mains_power_w", Col(label="Mains power", unit="W", digits=1)),
        ("ppfd_mean_umol_m2_s", Col(label="Mean PPFD", unit="umol m-2 s-1", digits=0, width=14)),
        ("min_over_mean_fraction", Col(label="min/mean")),
        ("dli_mean_mol_m2_d", Col(label="DLI, mean", unit="mol m-2 d-1", digits=1, width=13)),
        ("ac_efficacy_umol_per_j", Col(label="Photon efficacy, AC basis", unit="umol/J", width=14)),
        ("energy_cost", Col(label="Energy cost a year", unit=currency)),
    )
    table = Table(
        heading="",
        columns=(
            Col(label="Variant", width=20),
            Col(label="What differs", width=30),
            *(column for _, column in columns),
            Col(label="stop", digits=0, width=6),
            Col(label="act", digits=0, width=6),
            Col(label="Findings, or why not computed", width=30),
        ),
        rows=tuple(
            (
                row.name,
                ", ".join(f"{path} = {value}" for path, value in row.changes.items()),
                *(row.figures.get(name) for name, _ in columns),
                row.counts.get("stop"),
                row.counts.get("act"),
                row.reason or ", ".join(row.codes),
            )
            for row in rows
        ),
    )
    return Page(title="Variants", lead="Each row of the Variants sheet, computed like the base.", blocks=(table,))
