"""The first page: what is wrong, what to do next, where it runs, and what nobody looked at."""

from __future__ import annotations

from ledcalc.findings import SEVERITIES, count_by_severity
from ledcalc.results import Evaluation
from ledcalc.workbook.rest import LEFT_OUT
from ledcalc.workbook.results.pages import Block, Fact, Facts, Lines, Page, fact

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
    notes = results.fixture.origin.notes if results.fixture.origin else ()
    left_out = tuple(note for note in notes if note.startswith(LEFT_OUT))
    warning = f"BAD INPUT: {len(left_out)} things were left out below; figures may rest on stand-ins. Mend them first."
    blocks: list[Block] = [
        *([Lines(lines=(warning,), bold=True), Lines(lines=left_out)] if left_out else []),
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
        # Below the key figures: it comes and goes with what was measured, and users' formulas read those by their rows.
        *_measured(results),
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


def _measured(results: Evaluation) -> list[Block]:
    """Return what was read on the bench in a few lines: the log's verdict, and each map against its prediction."""
    log = results.log_verdict
    lines = [f"{log.sentences[0][0].upper()}{log.sentences[0][1:]}.", log.in_short] if log else []
    for survey in results.surveys:
        mean, share = survey.judgement.kept_means.fitted, survey.over_prediction
        if not mean.missing:
            where = f"{survey.survey or 'light readings'}, {survey.height_m:g} m"
            predicted = "" if share.missing else f", {share.text()} times what is predicted"
            lines.append(f"Mean PPFD ({where}): {mean.text('umol m-2 s-1')}{predicted}.")
    return [Lines(heading="Measured on the bench", lines=tuple(lines))] if lines else []


def _verdict(results: Evaluation) -> str:
    if not results.findings:
        return "No finding. Read below what was not checked."
    worst = results.findings[0]
    place = f" ({worst.cell})" if worst.cell else ""
    return f"{worst.severity.upper()}: {worst.message} Next step: {worst.remedy}{place}."


def _key_figures(results: Evaluation) -> Facts:
    operating, boards, light, cost = results.operating, results.boards, results.light, results.cost
    top, hot = int(boards.current_a.argmax()), int(boards.temperature_c.argmax())
    site, statistics = results.fixture.site, light.statistics
    rated = f"{boards.tag[top]}, rated {boards.rated_current_a[top]:.3g} A"
    rated_heat = f"{boards.tag[hot]}, rated {boards.rated_temperature_c[hot]:.0f} degC"
    mains = f"{operating.mains_current_a:.2f} A at {site.mains_v:.0f} V"
    even = _wanted(site.target_min_over_mean_fraction)
    dose = _range(site.target_dli_low_mol_m2_d, site.target_dli_high_mol_m2_d)
    wanted = "" if site.target_ppfd_umol_m2_s is None else f"wanted: {site.target_ppfd_umol_m2_s:g}; "
    return Facts(
        heading="Key figures",
        facts=(
            fact("Driver output", operating.voltage_v, "V", 2, operating.mode),
            fact("Driver current", operating.current_a, "A", 2, f"{operating.power_w:.1f} W DC"),
            fact("Highest board current", float(boards.current_a[top]), "A", 3, rated),
            fact("Hottest board", float(boards.temperature_c[hot]), "degC", 1, rated_heat),
            fact("Mains power", operating.mains_power_w, "W", 1, mains),
            fact("Mean PPFD on the crop", statistics.mean, "umol m-2 s-1", 0, f"{wanted}{light.basis}"),
            fact("min/mean", statistics.min_over_mean, "", 2, even),
            fact("Daily light integral, mean", light.dli_mean_mol_m2_d, "mol m-2 d-1", 1, dose),
            fact("Photon efficacy, AC basis", light.ac_efficacy_umol_per_j, "umol/J", 2, "PPF over mains power"),
            fact("Energy cost a year", cost.energy_cost, cost.currency, 2, f"{cost.energy_kwh:.0f} kWh"),
        ),
    )


def _wanted(target: float | None) -> str:
    return "" if target is None else f"wanted: at least {target:g}"


def _range(low: float | None, high: float | None) -> str:
    ends = [f"at least {low:g}" if low is not None else "", f"at most {high:g}" if high is not None else ""]
    words = ", ".join(end for end in ends if end)
    return f"wanted: {words}" if words else ""
