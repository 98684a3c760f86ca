"""Two fixtures on one page: what decides first, then every difference."""

from __future__ import annotations

import math

from ledcalc.variants.compare import Comparison, FigureDifference
from ledcalc.workbook.results.pages import Block, Col, Lines, Page, Shown, Table

__all__ = ["difference_blocks", "side_by_side_pages"]

# What is read first, in this order; all other figures follow below.
FIRST = (
    "boards_count",
    "load_fraction",
    "ppfd_mean_umol_m2_s",
    "min_over_mean_fraction",
    "mains_power_w",
    "canopy_efficacy_umol_per_j",
    "ac_efficacy_umol_per_j",
    "highest_board_temperature_c",
    "least_margin_c",
    "purchase_cost",
    "running_cost",
    "owning_cost_per_mol",
)
SHARES = ("load_fraction", "min_over_mean_fraction", "utilisation_fraction", "driver_efficiency_fraction")
NO_DIFFERENCE = "No input of the two differs."


def side_by_side_pages(found: Comparison) -> list[Page]:
    """Return two fixtures side by side: who wins and why, the figures that decide, payback, inputs and findings that
    differ; and on a page of its own every other figure."""
    blocks: list[Block] = [Lines(lines=(f"{found.line[0].upper()}{found.line[1:]}",), bold=True)]
    by_name = {one.figure: one for one in found.figures}
    first = [by_name[figure] for figure in FIRST if figure in by_name]
    rest = [one for one in found.figures if one.figure not in FIRST]
    blocks.append(_figures("What counts", found, first))
    blocks.append(Lines(heading="Payback", lines=_payback_lines(found)))
    blocks.append(_inputs(found))
    if found.findings:
        blocks.append(_findings(found))
    lead = f"{found.one} against {found.other}."
    pages = [Page(title="Side by side", lead=lead, blocks=blocks)]
    others: list[Block] = [_figures("Other figures that differ", found, rest)] if rest else []
    others += [Lines(heading="Alike", lines=(", ".join(found.alike),))] if found.alike else []
    return [*pages, Page(title="Other figures", lead=lead, blocks=others)] if others else pages


def difference_blocks(found: Comparison) -> list[Block]:
    """Return every input, figure and finding that differs, without a word on which of the two is better off."""
    blocks: list[Block] = [_inputs(found)]
    if found.figures:
        table = _figures("Figures that differ", found, list(found.figures))
        blocks.append(
            Table(heading=table.heading, columns=table.columns[:-1], rows=tuple(row[:-1] for row in table.rows))
        )
    return [*blocks, _findings(found)] if found.findings else blocks


def _figures(heading: str, found: Comparison, figures: list[FigureDifference]) -> Table:
    return Table(
        heading=heading,
        columns=(
            Col(label="Figure", width=44),
            Col(label="Unit", width=15),
            Col(label=found.one, width=24, digits=None),
            Col(label=found.other, width=24, digits=None),
            Col(label="Change", width=12),
            Col(label="Speaks for", width=24),
        ),
        rows=tuple(
            (
                f"{one.label[0].upper()}{one.label[1:]}",
                found.currency if one.unit == "money" else "%" if one.figure in SHARES else one.unit,
                _number(one.figure, one.one),
                _number(one.figure, one.other),
                "" if math.isnan(one.change_fraction) else f"{100 * one.change_fraction:+.1f} %",
                one.better,
            )
            for one in figures
        ),
    )


def _number(figure: str, value: float) -> Shown:
    """Return a figure with as many digits as it is worth: one column holds figures of all sizes."""
    if not math.isfinite(value):
        return "not known"
    own = 100.0 * value if figure in SHARES else value
    return round(own) if abs(own) >= 1000 else float(f"{own:.4g}")


def _payback_lines(found: Comparison) -> tuple[str, ...]:
    note = found.payback_note
    lines = [f"{note[0].upper()}{note[1:]}."] if note else []
    lines += [f"As they are: {found.payback.verdict}."] if found.payback else []
    lines += [f"For the same light: {found.same_light_payback.verdict}."] if found.same_light_payback else []
    return tuple(lines)


def _inputs(found: Comparison) -> Block:
    if not found.inputs:
        return Lines(heading="Inputs that differ", lines=(NO_DIFFERENCE,))
    return Table(
        heading="Inputs that differ",
        columns=(
            Col(label="Input", width=44),
            Col(label="Row", width=15),
            Col(label=found.one, width=24),
            Col(label=found.other, width=24),
        ),
        rows=tuple(
            (f"{one.sheet}: {one.field}" if one.field else one.sheet, one.row, one.one, one.other)
            for one in found.inputs
        ),
    )


def _findings(found: Comparison) -> Table:
    return Table(
        heading="Findings that differ",
        columns=(
            Col(label="Finding", width=44),
            Col(label="", width=15),
            Col(label=found.one, width=24),
            Col(label=found.other, width=24),
        ),
        rows=tuple((code, "", pair[0] or "none", pair[1] or "none") for code, pair in found.findings.items()),
    )
