"""What a published report of one fixture says, in its order; drawn elsewhere, as HTML or PDF."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.checks.measured_light import surveys_as_it_runs
from ledcalc.evaluation.assumptions import USUAL_VALUE
from ledcalc.findings import SEVERITIES
from ledcalc.fixture import Fixture, Meter
from ledcalc.report.against_measured import against_measured
from ledcalc.report.changes import changes_since
from ledcalc.results import Evaluation
from ledcalc.workbook.results.bench import bench_page, log_pages
from ledcalc.workbook.results.electrical import currents_page
from ledcalc.workbook.results.field_measured import field_measured_page
from ledcalc.workbook.results.heat import heat_page
from ledcalc.workbook.results.light import light_page
from ledcalc.workbook.results.money import cost_page
from ledcalc.workbook.results.pages import Block, Fact, Facts, FieldMaps, Image, Lines, Page, Table, col, fact

__all__ = ["Section", "report_sections"]

PPFD_UNIT = "umol m-2 s-1"
WARM_AIR = (
    "Means of the settled readings, where the page on the current log has the latest; boards and sinks predicted for "
    "the air that was read beside the log."
)
SEVERITY_WORDS = "; ".join(f"{severity}: {meaning}" for severity, meaning in SEVERITIES.items())
CAUTIONS = (
    "Mains and DC above touch limits can kill; mains work belongs to a licensed electrician under the local code.",
    "Heat sinks and boards get hot enough to burn. Bright light harms eyes.",
    "Predicted figures are predictions: they hold for the conditions named and no others.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A heading and what stands under it."""

    heading: str
    blocks: tuple[Block, ...]
    lead: str = ""


def report_sections(results: Evaluation, earlier: Evaluation | None = None) -> tuple[Section, ...]:
    """Return the report's sections: the short of it, the conditions, the light, what runs how, instruments, doubts.

    Parameters
    ----------
    results : from ``evaluate``
    earlier : the version before, whose differences are told

    Returns
    -------
    tuple of Section: those with nothing to say are left out

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> [section.heading for section in report_sections(evaluate(seedling_bench()))][:3]
    ['In short', 'Conditions', 'Light field']
    """
    pages = (light_page, field_measured_page, bench_page, currents_page, heat_page, cost_page)
    made: list[Page] = [page for make in pages if (page := make(results)) is not None]
    made += log_pages(results)
    sections = (
        Section(heading="In short", blocks=(_in_short(results),)),
        Section(heading="Conditions", blocks=(_conditions(results),)),
        Section(
            heading="Changed since the last version",
            lead=f"{earlier.stamp.input_file or 'the version before'} against this one." if earlier else "",
            blocks=changes_since(earlier, results) if earlier else (),
        ),
        *(Section(heading=page.title, lead=page.lead, blocks=_on_paper(page)) for page in made),
        Section(heading="Predicted against measured", lead=WARM_AIR, blocks=against_measured(results.fixture)),
        Section(heading="Instruments", blocks=_instruments(results.fixture)),
        Section(heading="Findings", lead=SEVERITY_WORDS, blocks=_findings(results)),
        Section(heading="Assumed", blocks=_assumed(results)),
        Section(heading="What this rests on", blocks=(_origin(results),)),
    )
    return tuple(section for section in sections if section.blocks)


def _on_paper(page: Page) -> tuple[Block, ...]:
    """Return a page's blocks without those that are drawn anew here."""
    return tuple(block for block in page.blocks if not isinstance(block, FieldMaps | Image))


def _in_short(results: Evaluation) -> Facts:
    light, operating, boards = results.light, results.operating, results.boards
    load = boards.current_a / boards.rated_current_a
    top, hot = int(load.argmax()), int((boards.temperature_c - boards.rated_temperature_c).argmax())
    grid = f"predicted; on {light.x_m.size} x {light.y_m.size} points"
    hours = results.fixture.site.photoperiod_h
    return Facts(
        heading="",
        facts=(
            fact("Mean PPFD on the crop", light.statistics.mean, PPFD_UNIT, 0, grid),
            *_measured_means(results),
            fact("min/mean", light.statistics.min_over_mean, "", 2, grid),
            fact("Daily light integral", light.dli_mean_mol_m2_d, "mol m-2 d-1", 1, f"in {hours:g} h"),
            fact("Photon flux (PPF)", light.photon_flux_umol_s, "umol/s", 0, "predicted from the boards' points"),
            fact("Mains power", operating.mains_power_w, "W", 1, "predicted from the driver's efficiency"),
            fact(
                "Photon efficacy, AC basis", light.ac_efficacy_umol_per_j, "umol/J", 2, "PPF / mains power, predicted"
            ),
            fact("Photon efficacy, DC basis", light.dc_efficacy_umol_per_j, "umol/J", 2, "PPF / driver output"),
            fact("Canopy efficacy", light.canopy_efficacy_umol_per_j, "umol/J", 2, "flux on the crop / mains power"),
            fact("Highest board", 100.0 * float(load[top]), "% of rating", 0, boards.tag[top]),
            fact(
                "Hottest board",
                float(boards.temperature_c[hot]),
                "degC",
                0,
                f"{boards.tag[hot]}, rated {boards.rated_temperature_c[hot]:.0f} degC",
            ),
        ),
    )


def _measured_means(results: Evaluation) -> tuple[Fact, ...]:
    """Return the mean of each survey that shows the light as it is."""
    facts = []
    for survey in surveys_as_it_runs(results.fixture, results):
        mean = survey.judgement.kept_means.fitted
        taken = f"{survey.survey or 'light readings'}{f' of {survey.taken_on}' if survey.taken_on else ''}"
        known = f"+- {mean.half_width():.2g}; {taken}"
        facts.append(fact("Mean PPFD on the crop, measured", mean.value, PPFD_UNIT, 0, known))
    return tuple(facts)


def _conditions(results: Evaluation) -> Facts:
    fixture, operating, site = results.fixture, results.operating, results.fixture.site
    models = ", ".join(dict.fromkeys(results.boards.model))
    dimmed = f", dimmed to {fixture.dimming_fraction:.0%}" if fixture.dimming_fraction < 1 else ""
    dials = f"{fixture.current_setting_a:g} A, {fixture.voltage_setting_v:g} V{dimmed}"
    return Facts(
        heading="",
        facts=(
            fact("Boards", len(results.boards.tag), "", 0, models),
            fact("Driver", fixture.driver, "", 0, f"set to {dials}"),
            fact("It runs in", operating.mode, "", 0, f"{operating.current_a:.2f} A at {operating.voltage_v:.1f} V"),
            fact("Height over canopy", fixture.height_m, "m", 3),
            fact("Crop", f"{fixture.crop_width_m:g} x {fixture.crop_depth_m:g}", "m", 0, site.crop or ""),
            fact("Walls", _room(fixture), "", 0, results.light.basis),
            fact("Air around the sinks", operating.air_temperature_c, "degC", 1, "everything warmed up"),
            fact("Mains", site.mains_v, "V", 0),
            fact("Photoperiod", site.photoperiod_h, "h", 1),
        ),
    )


def _room(fixture: Fixture) -> str:
    site = fixture.site
    if site.room_width_m is None or site.room_depth_m is None or site.room_height_m is None:
        return "open bench"
    return f"{site.room_width_m:g} x {site.room_depth_m:g} x {site.room_height_m:g} m"


def _instruments(fixture: Fixture) -> tuple[Block, ...]:
    if not fixture.meters:
        return ()
    columns = (
        col("Meter", width=18),
        col("Measures", width=14),
        col("Accuracy of reading", "%", 1, 12),
        col("Plus digits", "", 0, 10),
        col("Resolution", "", 3, 12),
        col("Also stated", width=30),
    )
    rows = tuple(
        (
            meter.tag,
            meter.quantity,
            100.0 * meter.accuracy_fraction,
            meter.accuracy_digits_count,
            meter.resolution,
            _also_stated(meter),
        )
        for meter in fixture.meters
    )
    return (Table(heading="", columns=columns, rows=rows),)


def _also_stated(meter: Meter) -> str:
    """Return what a meter's zero is and a light sensor's further errors, empty where nothing is stated."""
    shares = (
        ("spectrum", meter.spectral_fraction),
        ("cosine at 45 deg", meter.cosine_45_fraction),
        ("at 75 deg", meter.cosine_75_fraction),
    )
    said = [f"zero {meter.zero_offset:g}, taken off"] if meter.zero_offset else []
    return ", ".join([*said, *(f"{name} {share:.1%}" for name, share in shares if share is not None)])


def _findings(results: Evaluation) -> tuple[Block, ...]:
    unseen = tuple(f"not checked: {text}" for text in results.not_checked)
    if not results.findings:
        return (Lines(lines=("No finding.", *unseen)),)
    table = Table(
        heading="",
        columns=(col("Severity", width=9), col("Finding", width=34), col("Remedy", width=32), col("Where", width=15)),
        rows=tuple(
            (found.severity, found.message, found.remedy, found.cell or found.path) for found in results.findings
        ),
    )
    return (table, Lines(lines=unseen)) if unseen else (table,)


def _assumed(results: Evaluation) -> tuple[Block, ...]:
    """Return what the figures rest on; of blanks that took their usual values, how many."""
    blanks = sum(entry.reason == USUAL_VALUE for entry in results.assumptions)
    seen = dict.fromkeys(
        f"{entry.value}: {entry.reason}" for entry in results.assumptions if entry.reason != USUAL_VALUE
    )
    count = (f"{blanks} inputs were left blank and take their usual values, listed on the Assumptions sheet",)
    lines = (*seen, *(count if blanks else ()))
    return (Lines(lines=lines),) if lines else ()


def _origin(results: Evaluation) -> Lines:
    stamp = results.stamp
    return Lines(
        lines=(
            f"ledcalc {stamp.ledcalc_version}, input schema {stamp.schema_version}",
            f"input: {stamp.input_file or 'built in Python'}, SHA-256 {stamp.input_sha256 or 'none'}",
            *CAUTIONS,
        )
    )
