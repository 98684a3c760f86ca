"""The page on how the light falls over the boards' life, and what dial keeps the target."""

from __future__ import annotations

import math

import numpy as np

from ledcalc.photons import PhotonMaintenance, daily_light_integral
from ledcalc.results import AgeingResults, DimmedLight, Evaluation
from ledcalc.workbook.results.light_plan import one_alone
from ledcalc.workbook.results.pages import Block, CurveChart, Fact, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["ageing_page"]

PPFD_UNIT = "umol m-2 s-1"
LEVELS_PERCENT = (90.0, 80.0, 70.0)
# The projection is shown in so many steps from new boards to its limit.
STEPS_COUNT = 12
# All tables of the page share their columns' widths.
FIRST, NUMBER, LAST = 22, 13, 64
LEAD = (
    "By the method of ANSI/IES TM-21 (public summaries): LEDs only; dirt, optics, drivers and dead boards come on top."
)
MEANINGS = (
    "B exp(-alpha t) is the share of the first photon flux after t hours lit, fitted to the readings of the window. "
    "Q90(9k), say: hours until 90 % of the photons are left, from a test of 9 thousand hours; >: more than the test "
    "may be projected to."
)


def ageing_page(results: Evaluation) -> Page | None:
    """Return fits, lives and light over life; None where no board on the fixture names a maintenance table."""
    ageing = results.ageing
    if ageing is None:
        return None
    blocks: list[Block] = [
        _summary(results, ageing),
        _tests(results, ageing),
        Lines(lines=(MEANINGS,)),
        _boards(results, ageing),
    ]
    if not ageing.reason:
        curves = (3,) if results.dimmed is None or np.isnan(ageing.held_ppfd_umol_m2_s) else (3, 6)
        chart = CurveChart(
            title="Mean PPFD over the hours lit", across="hours lit", up=f"PPFD in {PPFD_UNIT}", curves=curves
        )
        blocks += [_over_life(results, ageing), chart]
    return Page(title="Ageing", lead=LEAD, blocks=blocks)


def _years(results: Evaluation, hours: float) -> float:
    return hours / results.cost.lit_h if results.cost.lit_h > 0 else float("nan")


def _in_years(results: Evaluation, hours: float) -> str:
    return f"{_years(results, hours):.1f} years" if results.cost.lit_h > 0 else "no day is lit"


def _summary(results: Evaluation, ageing: AgeingResults) -> Facts | Lines:
    if ageing.reason:
        return Lines(heading="The fixture as a whole", lines=(f"Not projected: {ageing.reason}.",))
    site, limit = results.fixture.site, ageing.limit_h
    lit = "by the seasons" if results.fixture.seasons else f"{site.photoperiod_h:g} h on {site.days_lit_count} days"
    kept = f"{ageing.kept_fraction(limit):.1%} of the light is left then"
    facts = [
        fact("Hours lit a year", results.cost.lit_h, "h", 0, lit),
        fact("Projected up to", limit, "h", 0, f"{_in_years(results, limit)}; {kept}"),
    ]
    if site.wanted_life_h is not None:
        end = min(site.wanted_life_h, limit)
        at = "at the limit of the projection" if end < site.wanted_life_h else ""
        facts += [
            fact("Life wanted", site.wanted_life_h, "h", 0, _in_years(results, site.wanted_life_h)),
            fact("Light kept at its end", 100.0 * ageing.kept_fraction(end), "%", 1, at),
        ]
    if site.maintained_share_fraction is not None:
        share = site.maintained_share_fraction
        facts.append(_lasting(results, f"{100 * share:g} % of the light is kept for", ageing.hours_until(share)))
    return Facts(heading="The fixture as a whole", facts=(*facts, *_target_kept(results, ageing)))


def _target_kept(results: Evaluation, ageing: AgeingResults) -> list[Fact]:
    """Return how long the dial keeps the target."""
    dimmed, held = results.dimmed, ageing.held_ppfd_umol_m2_s
    if np.isnan(held) or dimmed is None:
        why = "the site names no target PPFD or DLI" if np.isnan(held) else "the fixture is dark or out of its window"
        return [fact("Dial that keeps the target", "not known", remark=why)]
    found = [fact("Target to be kept", held, PPFD_UNIT, 0, "the site's PPFD, or its lowest DLI")]
    for words, current in (
        (f"Kept with the dial at {dimmed.setting_a:.3g} A for", dimmed.undimmed_a),
        (f"Kept with the dial up to {dimmed.most_a:.3g} A for", dimmed.most_a),
    ):
        found.append(_lasting(results, words, ageing.hours_until(dimmed.kept_for(held, current))))
    return found


def _lasting(results: Evaluation, label: str, hours: float) -> Fact:
    """Return a time with its years; infinite hours: more than the projection's limit."""
    limit = results.ageing.limit_h if results.ageing else hours
    if math.isinf(hours):
        return fact(label, _number(hours, limit), "h", 0, f"over {_in_years(results, limit)}")
    return fact(label, hours, "h", 0, _in_years(results, hours))


def _number(value: float, limit: float, digits: int = 0) -> Shown:
    """Return a number, or that it is over a limit where it is infinite."""
    return f"over {limit:.{digits}f}" if math.isinf(value) else value


def _tests(results: Evaluation, ageing: AgeingResults) -> Table:
    columns = (
        col("Table", width=FIRST),
        col("Tested at", "degC", 0, NUMBER),
        col("Units tested", "units", 0, NUMBER),
        col("Length", "h", 0, NUMBER),
        col("Fitted from", "h", 0, NUMBER),
        col("Readings fitted", "readings", 0, NUMBER),
        col("B", "1", 5, NUMBER),
        col("alpha", "1e-6 / h", 3, NUMBER),
        col("Projected up to", "h", 0, NUMBER),
        col("That is", "years", 1, NUMBER),
        col("Lives at that temperature", width=LAST),
    )
    rows = tuple(
        (
            tag,
            test.temperature_c,
            test.unit_count,
            test.fit.test_duration_h,
            test.fit.window_from_h,
            test.fit.fitted_count,
            test.fit.initial_fraction,
            1e6 * test.fit.decay_per_h,
            test.fit.limit_h,
            _years(results, test.fit.limit_h),
            "; ".join((*(test.fit.life(percent).text for percent in LEVELS_PERCENT), *test.fit.notes)),
        )
        for tag, tests in ageing.tests.items()
        for test in tests
    )
    return Table(heading="Tests, and B exp(-alpha t) fitted to each", columns=columns, rows=rows)


def _boards(results: Evaluation, ageing: AgeingResults) -> Table:
    columns = (
        col("Board", width=FIRST),
        col("Temperature", "degC", 1, NUMBER),
        col("B", "1", 5, NUMBER),
        col("alpha", "1e-6 / h", 3, NUMBER),
        *(
            column
            for percent in LEVELS_PERCENT
            for column in (col(f"{percent:g} % left after", "h", 0, NUMBER), col("That is", "years", 1, NUMBER))
        ),
        col("By", width=LAST),
    )
    rows: list[tuple[Shown, ...]] = []
    for tag, warm, at in zip(results.boards.tag, results.boards.temperature_c, ageing.boards, strict=True):
        figures: list[Shown] = [None] * (2 + 2 * len(LEVELS_PERCENT))
        if at.fit is not None:
            figures = [at.fit.initial_fraction, 1e6 * at.fit.decay_per_h, *_lives(results, at.fit)]
        rows.append((tag, float(warm), *figures, at.basis))
    return Table(heading="The boards at their temperatures", columns=columns, rows=tuple(rows))


def _lives(results: Evaluation, fit: PhotonMaintenance) -> list[Shown]:
    found: list[Shown] = []
    for percent in LEVELS_PERCENT:
        life = fit.life(percent)
        hours = math.inf if life.over_limit else life.reported_h
        found.append(_number(hours, fit.limit_h))
        found.append(_number(_years(results, hours), _years(results, fit.limit_h), 1))
    return found


def _over_life(results: Evaluation, ageing: AgeingResults) -> Table:
    dimmed, life = results.dimmed, results.fixture.site.wanted_life_h
    setting = "" if dimmed is None else f" at {dimmed.setting_a:.3g} A"
    columns = (
        col("Hours lit", "h", 0, FIRST),
        col("Years", "years", 1, NUMBER),
        col("Light kept", "%", 1, NUMBER),
        col("Mean PPFD, dial as now", PPFD_UNIT, 0, NUMBER),
        col("DLI, dial as now", "mol m-2 d-1", 1, NUMBER),
        col("Most PPFD there is", PPFD_UNIT, 0, NUMBER),
        col("Mean PPFD, target kept", PPFD_UNIT, 0, NUMBER),
        col("DLI, target kept", "mol m-2 d-1", 1, NUMBER),
        col(f"Dimming level{setting}", "%", 1, NUMBER),
        col("Or current dial, undimmed", "A", 2, NUMBER),
        col("To mind", width=LAST),
    )
    hours = set(np.linspace(0.0, ageing.limit_h, STEPS_COUNT + 1).tolist())
    if life is not None and life <= ageing.limit_h:
        hours.add(life)
    rows = tuple(_at_age(results, ageing, at) for at in sorted(hours))
    return Table(heading="Light over life, and the dial that keeps the target", columns=columns, rows=rows)


def _at_age(results: Evaluation, ageing: AgeingResults, hours: float) -> tuple[Shown, ...]:
    site, dimmed, kept = results.fixture.site, results.dimmed, ageing.kept_fraction(hours)
    now = kept * results.light.statistics.mean
    words = ["the life wanted"] if hours == site.wanted_life_h else []
    held: list[Shown] = [None] * 5
    if dimmed is not None and np.isfinite(ageing.held_ppfd_umol_m2_s):
        wanted, current = ageing.held_ppfd_umol_m2_s, dimmed.current_for(ageing.held_ppfd_umol_m2_s, kept)
        least, most = (dimmed.ppfd_at(end_a, kept) for end_a in (dimmed.least_a, dimmed.most_a))
        given = min(max(wanted, least), most)
        held = [most, given, _dose(results, given), 100.0 * dimmed.level_at(current), dimmed.dial_at(current)]
        words.append(_to_mind(dimmed, current, is_short=most < wanted))
    remark = "; ".join(word for word in words if word)
    return (hours, _years(results, hours), 100.0 * kept, now, _dose(results, now), *held, remark)


def _to_mind(dimmed: DimmedLight, current_a: float, *, is_short: bool) -> str:
    """Return why level or dial is blank for the target, empty where both stand."""
    if not np.isnan(current_a):
        return one_alone(dimmed, current_a)
    if is_short:
        return f"the target is out of reach: {dimmed.most_by}"
    return f"less than the least light, which stands here: {dimmed.least_by}"


def _dose(results: Evaluation, ppfd: float) -> float:
    return float(daily_light_integral(ppfd, results.fixture.site.photoperiod_h))
