"""Pages on what else could happen: single faults, and the spread of parts."""

from __future__ import annotations

import math

import numpy as np

from ledcalc.circuit import FaultOutcome, ToleranceResult
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import BarChart, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["faults_page", "tolerance_page"]

FAULT_COLUMNS = (
    col("Fault", width=20),
    col("Where", width=16),
    col("Driver then", width=17),
    col("Driver current", "A", 3, 10),
    col("Boards dark", "", 0, 8),
    col("Nearest its limits", width=10),
    col("Its current", "A", 3, 10),
    col("Rated current", "A", 3, 10),
    col("Its temperature", "degC", 1, 12),
    col("Rated temperature", "degC", 1, 12),
    col("Passed", width=26),
    col("Current setting that contains it", "A", 2, 16),
)
BINS = 16


def faults_page(results: Evaluation) -> Page | None:
    """Return what each single fault leaves behind; None where none was tried."""
    trim, boards = results.what_if.trim, results.boards
    if trim is None:
        return None
    tag = boards.tag[trim.limiting_board]
    limiting = "the dial's high end" if trim.limiting_board < 0 else f"{tag} is at its limit"
    blocks = (
        Facts(
            heading="Settings, with nothing at fault",
            facts=(
                fact("Highest current setting within every rating", trim.current_setting_a, "A", 2, limiting),
                fact("Voltage ceiling to go with it", trim.voltage_setting_v, "V", 2, "3 % over the settled voltage"),
            ),
        ),
        Table(
            heading="Single faults, once everything has settled again",
            columns=FAULT_COLUMNS,
            rows=tuple(_fault_row(results, outcome) for outcome in results.what_if.faults),
        ),
        Lines(
            heading="How to read it",
            lines=(
                "One fault at a time. A bad contact adds 0.5 ohm. At a cold start the figures are those of the first "
                "moment.",
                "Sinks worked out from dimensions, the light's share and wires keep the values of the present setting.",
                "Far from that (dials turned up, much dimmed) temperatures are rough: a hotter sink sheds heat better.",
                "For the figures with the dials turned up, put their high ends into the Fixture sheet.",
                "Blank in the last column: no setting is needed, or none on this dial contains it (then it says so).",
            ),
        ),
    )
    return Page(title="Faults", lead="What the other boards take when one thing goes wrong.", blocks=blocks)


def _fault_row(results: Evaluation, outcome: FaultOutcome) -> tuple[Shown, ...]:
    boards, number = results.boards, outcome.worst_board
    lit = number >= 0
    return (
        outcome.kind,
        outcome.where,
        outcome.mode,
        outcome.driver_current_a,
        len(outcome.dark),
        boards.tag[number] if lit else "all dark",
        float(outcome.current_a[number]) if lit else None,
        float(boards.rated_current_a[number]) if lit else None,
        float(outcome.temperature_c[number]) if lit else None,
        float(boards.rated_temperature_c[number]) if lit else None,
        ", ".join(outcome.exceeds) or "nothing",
        _containing(outcome),
    )


def _containing(outcome: FaultOutcome) -> Shown:
    """Return the setting that contains a fault, or a word in its place; None where none is needed."""
    if math.isinf(outcome.contained_by_a):
        return None
    # Turned up to their ends, the dials no longer stand where a setting put them.
    if outcome.kind == "driver at its highest":
        return "mark or lock the dials"
    return "none on this dial" if math.isnan(outcome.contained_by_a) else outcome.contained_by_a


def tolerance_page(results: Evaluation) -> Page | None:
    """Return how far the highest board current spreads; None where no spread is given."""
    tolerance = results.what_if.tolerance
    if tolerance is None:
        return None
    blocks = (_figures(results, tolerance), _histogram(tolerance), _chart())
    lead = "Many fixtures of this design, their boards and settings drawn by chance within the spread given."
    return Page(title="Tolerance", lead=lead, blocks=blocks)


def _figures(results: Evaluation, tolerance: ToleranceResult) -> Facts:
    chance, count = 100.0 * tolerance.chance_over_rating_fraction, tolerance.highest_current_a.size
    enough = str(tolerance.boards_for_95_count or "not worked out")
    return Facts(
        heading="Highest board current",
        facts=(
            fact("95 % stay below, drawn by chance", tolerance.quantile_95_a, "A", 3, f"{count} fixtures drawn"),
            fact("95 % stay below, closed form", tolerance.estimate_95_a, "A", 3, "a check on the draw"),
            fact("99 % stay below, drawn by chance", tolerance.quantile_99_a, "A", 3),
            fact("99 % stay below, closed form", tolerance.estimate_99_a, "A", 3),
            fact("Lowest rated current", float(results.boards.rated_current_a.min()), "A", 3),
            fact("Fixtures with a board over its rating", chance, "%", 1),
            fact("Driver current at which 95 % have none", *_setting(tolerance.setting_for_95_a)),
            fact("Driver current at which 99 % have none", *_setting(tolerance.setting_for_99_a)),
            fact("Boards that would do at the present current", enough, "", 0, "95 % within the rating"),
        ),
    )


def _setting(setting_a: float) -> tuple[Shown, str, int, str]:
    is_any = math.isinf(setting_a)
    return ("any", "", 2, "the voltage ceiling alone sees to it") if is_any else (setting_a, "A", 2, "")


def _histogram(tolerance: ToleranceResult) -> Table:
    counts, edges = np.histogram(tolerance.highest_current_a[np.isfinite(tolerance.highest_current_a)], bins=BINS)
    share = 100.0 * counts / max(tolerance.highest_current_a.size, 1)
    rows = tuple(
        (f"{low:.3f} to {high:.3f}", float(part)) for low, high, part in zip(edges[:-1], edges[1:], share, strict=True)
    )
    columns = (col("Highest board current, in A", width=26), col("Share of fixtures", "%", 1, 12))
    return Table(heading="Distribution", columns=columns, rows=rows)


def _chart() -> BarChart:
    return BarChart(
        title="Highest board current among fixtures of this design",
        axis="share of fixtures in %",
        category=0,
        bars=1,
        across="highest board current in A",
    )
