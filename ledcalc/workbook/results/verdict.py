"""The first page: what is wrong, what to do next, where it runs, and what nobody looked at."""

from __future__ import annotations

from ledcalc.findings import SEVERITIES, count_by_severity
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, Fact, Facts, Lines, Page

__all__ = ["verdict_page"]

CAUTIONS = (
    "Mains and DC above touch limits can kill: work on it unplugged, prove it dead, and leave mains work to a licensed "
    "electrician under your local code.",
    "Heat sinks and boards get hot enough to burn. Bright light harms eyes: do not look into the boards, and "
    "shade your eyes "
    "when you work under them.",
    "These figures are predictions and advice. Measure before you rely on them.",
)


def verdict_page(results: Evaluation) -> Page:
    """Return the page that the eye wants first."""
    counts = count_by_severity(results.findings)
    stamp = results.stamp
    blocks: list[Block] = [
        Lines(lines=(_verdict(results),), bold=True),
        Facts(
            heading="Findings",
            facts=tuple(
                Fact(label=f"{severity} ({meaning})", value=counts[severity], digits=0)
                for severity, meaning in SEVERITIES.items()
            ),
        ),
        Lines(heading="Where it runs", lines=(results.operating.explanation,)),
        _key_figures(results),
        Lines(heading="Not checked", lines=results.not_checked),
        Lines(heading="Cautions", lines=CAUTIONS),
        Lines(
            heading="What this rests on",
            lines=(
                f"ledcalc {stamp.ledcalc_version}, input schema {stamp.schema_version}",
                f"input: {stamp.input_file or 'built in Python'}",
                f"SHA-256 of the input: {stamp.input_sha256 or 'none'}",
            ),
        ),
    ]
    return Page(title="Verdict", lead=results.fixture.name, blocks=blocks)


def _verdict(results: Evaluation) -> str:
    if not results.findings:
        return "No finding. Read below what was not checked."
    worst = results.findings[0]
    place = f" ({worst.cell})" if worst.cell else ""
    return f"{worst.severity.upper()}: {worst.message} Next step: {worst.remedy}{place}."


def _key_figures(results: Evaluation) -> Facts:
    operating, boards, light, cost = results.operating, results.boards, results.light, results.cost
    highest, hottest = int(boards.current_a.argmax()), int(boards.temperature_c.argmax())
    site = results.fixture.site
    return Facts(
        heading="Key figures",
        facts=(
            Fact(label="Driver output", value=operating.voltage_v, unit="V", remark=operating.mode),
            Fact(label="Driver current", value=operating.current_a, unit="A", remark=f"{operating.power_w:.1f} W DC"),
            Fact(
                label="Highest board current",
                value=float(boards.current_a[highest]),
                unit="A",
                remark=f"{boards.tag[highest]}, rated {boards.rated_current_a[highest]:.3g} A",
                digits=3,
            ),
            Fact(
                label="Hottest board",
                value=float(boards.temperature_c[hottest]),
                unit="degC",
                remark=f"{boards.tag[hottest]}, rated {boards.rated_temperature_c[hottest]:.0f} degC",
                digits=1,
            ),
            Fact(
                label="Mains power",
                value=operating.mains_power_w,
                unit="W",
                remark=f"{operating.mains_current_a:.2f} A at {site.mains_v:.0f} V",
                digits=1,
            ),
            Fact(
                label="Mean PPFD on the crop",
                value=light.statistics.mean,
                unit="umol m-2 s-1",
                remark=light.basis,
                digits=0,
            ),
            Fact(
                label="min/mean",
                value=light.statistics.min_over_mean,
                remark=_wanted(site.target_min_over_mean_fraction, ""),
            ),
            Fact(
                label="Daily light integral, mean",
                value=light.dli_mean_mol_m2_d,
                unit="mol m-2 d-1",
                remark=_range(site.target_dli_low_mol_m2_d, site.target_dli_high_mol_m2_d),
                digits=1,
            ),
            Fact(
                label="Photon efficacy, AC basis",
                value=light.ac_efficacy_umol_per_j,
                unit="umol/J",
                remark="PPF over mains power",
            ),
            Fact(
                label="Energy cost a year",
                value=cost.energy_cost,
                unit=cost.currency,
                remark=f"{cost.energy_kwh:.0f} kWh",
            ),
        ),
    )


def _wanted(target: float | None, unit: str) -> str:
    return "" if target is None else f"wanted: at least {target:g} {unit}".rstrip()


def _range(low: float | None, high: float | None) -> str:
    ends = [f"at least {low:g}" if low is not None else "", f"at most {high:g}" if high is not None else ""]
    words = ", ".join(end for end in ends if end)
    return f"wanted: {words}" if words else ""
