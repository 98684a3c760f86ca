"""A rule about the light as it was read, held against what the site asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledcalc.checks.light import less_light, more_light
from ledcalc.checks.limits import OVER, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.light_taken import taken_readings
from ledcalc.photons import daily_light_integral, ppfd_for_dose
from ledcalc.results import Evaluation, LightSurvey

__all__ = ["measured_light_off_target", "surveys_as_it_runs"]

PPFD_UNIT = "umol m-2 s-1"
HEIGHT_TOLERANCE_M = 1e-3
# A current by a clamp and one on a dial that differ by less are one setting (common practice, no source).
SAME_CURRENT_FRACTION = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class _Target:
    """A mean PPFD wanted, in umol m-2 s-1: ``words`` and ``basis`` say what, ``end`` at which a mean misses it."""

    wanted: float
    end: float
    words: str
    basis: str


def measured_light_off_target(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The light read at the crop is less or more than the site asks for, by more than its uncertainty."""
    low, high = _targets(fixture)
    for survey in surveys_as_it_runs(fixture, results):
        mean, half = survey.judgement.kept_means.fitted.value, survey.judgement.kept_means.fitted.half_width()
        below = [one for one in low if 0.0 < mean * OVER < one.end and (mean + half) * OVER < one.wanted]
        above = [one for one in high if mean > one.end * OVER and mean - half > one.wanted * OVER]
        if below:
            target = max(below, key=lambda one: one.wanted)
            factor = target.wanted / mean * (1.0 + limit("remedy_reserve_fraction"))
            yield _finding(fixture, survey, target, more_light(fixture, results, factor))
        elif above:
            target = min(above, key=lambda one: one.wanted)
            yield _finding(fixture, survey, target, less_light(fixture, results, target.wanted / mean))


def _targets(fixture: Fixture) -> tuple[list[_Target], list[_Target]]:
    """Return what a mean can lie below, and what above."""
    site, low, high = fixture.site, [], []
    if site.target_ppfd_umol_m2_s is not None:
        wanted, tolerance = site.target_ppfd_umol_m2_s, limit("ppfd_tolerance_fraction")
        basis, words = f"the site's target PPFD; {limit_source('ppfd_tolerance_fraction')}", f"{wanted:.0f}"
        low.append(_Target(wanted=wanted, end=wanted * (1.0 - tolerance), words=words, basis=basis))
        high.append(_Target(wanted=wanted, end=wanted * (1.0 + tolerance), words=words, basis=basis))
    for dose, ends, words, basis in (
        (site.target_dli_low_mol_m2_d, low, "at least", "the site's lowest DLI"),
        (site.target_dli_high_mol_m2_d, high, "at most", "the site's highest DLI"),
    ):
        if dose is not None:
            wanted = float(ppfd_for_dose(dose, site.photoperiod_h))
            ends.append(_Target(wanted=wanted, end=wanted, words=f"{words} {wanted:.0f}", basis=basis))
    return low, high


def surveys_as_it_runs(fixture: Fixture, results: Evaluation) -> list[LightSurvey]:
    """Return the surveys that show the light as it is: at the fixture's height, warm, at its setting, of one known
    sensor, with a mean that can be told; of dated ones the latest.
    """
    found = [survey for survey in results.surveys if _is_as_it_runs(fixture, results, survey)]
    latest = max((survey.taken_on for survey in found), default="")
    return [survey for survey in found if survey.taken_on == latest]


def _is_as_it_runs(fixture: Fixture, results: Evaluation, survey: LightSurvey) -> bool:
    told = survey.sensor and not survey.judgement.kept_means.fitted.missing
    if not told or abs(survey.height_m - fixture.height_m) > HEIGHT_TOLERANCE_M:
        return False
    taken = next((one for one in fixture.surveys if one.survey == survey.survey), None)
    if taken is None:
        return True
    warm = taken.warm_up_h is None or taken.warm_up_h >= limit("survey_warm_up_h") / OVER
    now = results.operating.current_a
    return warm and (taken.current_a is None or abs(taken.current_a - now) <= SAME_CURRENT_FRACTION * now)


def _finding(fixture: Fixture, survey: LightSurvey, target: _Target, remedy: str) -> Finding:
    mean = survey.judgement.kept_means.fitted
    dose = float(daily_light_integral(mean.value, fixture.site.photoperiod_h))
    date = f" of {survey.taken_on}" if survey.taken_on else ""
    return Finding(
        code="measured-light-off-target",
        severity="act",
        path=taken_readings(fixture)[survey.rows[0]].path,
        message=f"Survey {survey.survey!r}{date}: the mean PPFD as measured is {mean.text(PPFD_UNIT)} ({dose:.1f} mol "
        f"m-2 d-1); {target.words} {PPFD_UNIT} is wanted.",
        value=mean.value,
        limit=target.wanted,
        unit=PPFD_UNIT,
        remedy=f"{remedy}; then read the light again",
        basis=target.basis,
    )
