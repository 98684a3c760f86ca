"""Rules about the light over the boards' life, where they name maintenance tables."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ledcalc.checks.light import least_ppfd
from ledcalc.checks.limits import OVER, in_each, limit, turn_down
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import AgeingResults, DimmedLight, Evaluation
from ledcalc.schema import Value

__all__ = ["aged_light_below_target", "aged_share_below_wanted", "board_hotter_than_tests", "life_beyond_projection"]

METHOD = "projection by the method of ANSI/IES TM-21 (public summaries)"
PPFD_UNIT = "umol m-2 s-1"
LIFE = "site.wanted_life_h"


def aged_light_below_target(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """At the end of the life wanted the light falls below the target, even with the dimmer at 100 %."""
    ageing, dimmed, (least, basis) = _projected(results), results.dimmed, least_ppfd(fixture)
    life = fixture.site.wanted_life_h
    if ageing is None or dimmed is None or least is None or life is None:
        return
    end = min(life, ageing.limit_h)
    kept = ageing.kept_fraction(end)
    new, aged = (dimmed.ppfd_at(dimmed.undimmed_a, share) for share in (1.0, kept))
    # What is too little from the first day is another finding.
    if new * OVER < least or aged * OVER >= least:
        return
    remedy, changes = _reserve_for_life(fixture, len(results.boards.tag), ageing, dimmed, least, end)
    yield Finding(
        code="aged-light-below-target",
        severity="act",
        path=LIFE,
        message=f"After {end:,.0f} h{_of_limit(life, end)} the boards keep {kept:.0%}: undimmed the mean PPFD is then "
        f"{aged:.0f} {PPFD_UNIT}; at least {least:.0f} {PPFD_UNIT} is wanted.",
        value=aged,
        limit=least,
        unit=PPFD_UNIT,
        remedy=remedy,
        basis=f"{METHOD}; {basis}",
        changes=changes,
    )


def _reserve_for_life(
    fixture: Fixture, count: int, ageing: AgeingResults, dimmed: DimmedLight, least: float, end_h: float
) -> tuple[str, dict[str, Value]]:
    """Return what keeps the target to the end: current in reserve behind the dimmer, else boards or hours."""
    reserve = 1.0 + limit("remedy_reserve_fraction")
    kept, needed = ageing.kept_fraction(end_h), least * reserve
    step = limit("dial_step_a")
    # A dial step up for the rounding: NaN, where nothing gives so much, stays NaN and fails the comparison.
    setting = dimmed.current_for(needed, kept) + step
    if setting <= min(dimmed.most_a, dimmed.dial_high_a):
        setting = round(math.floor(setting / step) * step, 6)
        start = dimmed.current_for(max(ageing.held_ppfd_umol_m2_s, least) * reserve)
        level = max(math.ceil(1000.0 * start / setting) / 1000.0, dimmed.level_low_fraction)
        if level < 1.0:
            return (
                f"set the driver's current to {setting:.2f} A and start dimmed at {100 * level:.3g} %: raised bit by "
                f"bit, that lasts {end_h:,.0f} h"
            ), {"fixture.current_setting_a": setting, "fixture.dimming_fraction": level}
    boards = math.ceil(count * dimmed.kept_for(needed, dimmed.most_a) / kept)
    until = _hours_down(ageing.hours_until(dimmed.kept_for(least, dimmed.undimmed_a)))
    return (
        f"use {boards} boards instead of {count}{in_each(fixture)} and start them dimmed, or plan with {until:,.0f} "
        "h: until then the light does"
    ), {}


def aged_share_below_wanted(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """At the end of the life wanted the boards keep a smaller share of their light than is wanted."""
    ageing, site = _projected(results), fixture.site
    life, wanted = site.wanted_life_h, site.maintained_share_fraction
    if ageing is None or life is None or wanted is None:
        return
    end = min(life, ageing.limit_h)
    kept = ageing.kept_fraction(end)
    if kept * OVER >= wanted:
        return
    until = _hours_down(ageing.hours_until(wanted))
    yield Finding(
        code="aged-share-below-wanted",
        severity="act",
        path="site.maintained_share_fraction",
        message=f"After {end:,.0f} h{_of_limit(life, end)} the boards keep {kept:.1%} of their light; {wanted:.1%} is "
        "wanted.",
        value=kept,
        limit=wanted,
        unit="1",
        remedy=f"plan with {until:,.0f} h to new boards, or run the boards cooler",
        basis=METHOD,
        changes={LIFE: until} if until > 0 else {},
    )


def life_beyond_projection(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The life wanted is longer than the maintenance test may be projected."""
    ageing, life = _projected(results), fixture.site.wanted_life_h
    if ageing is None or life is None or life <= ageing.limit_h * OVER:
        return
    # Between two tests limit and length may come from one each: the factor is that of the test behind the limit.
    fits = [test.fit for tests in ageing.tests.values() for test in tests]
    shortest = next(fit for fit in fits if fit.limit_h == ageing.limit_h)
    factor = shortest.limit_h / shortest.test_duration_h
    yield Finding(
        code="life-beyond-projection",
        severity="note",
        path=LIFE,
        message=f"{life:,.0f} h are asked for; a test of {shortest.test_duration_h:,.0f} h is projected to "
        f"{factor:g} times that and no further.",
        value=life,
        limit=ageing.limit_h,
        unit="h",
        remedy=f"ask for {ageing.limit_h:,.0f} h, or for a test of {math.ceil(life / factor):,} h",
        basis=METHOD,
        changes={LIFE: ageing.limit_h},
    )


def board_hotter_than_tests(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board runs hotter than the hottest maintenance test of its table, so that its light is not projected."""
    ageing, boards = results.ageing, results.boards
    if ageing is None:
        return
    hottest = [np.nan if tag is None else ageing.tests[tag][-1].temperature_c for tag in ageing.tables]
    over = np.nan_to_num(boards.temperature_c - np.array(hottest), nan=-np.inf)
    top = int(np.argmax(over))
    warm, tested, air = float(boards.temperature_c[top]), hottest[top], results.operating.air_temperature_c
    if not over[top] > 0:
        return
    remedy, changes = f"take a table with a test at {math.ceil(warm)} degC or more", dict[str, Value]()
    if tested > air:
        cooler, changes = turn_down(fixture, results.operating.set_current_a * (tested - air) / (warm - air))
        needed = (tested - air) / float(boards.sink_heat_w[top])
        remedy = f"{cooler}, mount it on a sink of {needed:.2g} K/W or less, interface included, or {remedy}"
    yield Finding(
        code="board-hotter-than-tests",
        severity="act",
        path=f"boards[{[model.tag for model in fixture.boards].index(boards.model[top])}].maintenance",
        message=f"{boards.tag[top]} settles at {warm:.1f} degC, above the hottest test of {ageing.tables[top]}, "
        f"{tested:g} degC: how its light falls is not projected.",
        value=warm,
        limit=tested,
        unit="degC",
        remedy=remedy,
        basis=METHOD,
        changes=changes,
    )


def _projected(results: Evaluation) -> AgeingResults | None:
    """Return the ageing where the fixture as a whole is projected."""
    return results.ageing if results.ageing is not None and not results.ageing.reason else None


def _of_limit(life_h: float, end_h: float) -> str:
    return f" (as far as the test is projected, of {life_h:,.0f} h)" if end_h < life_h else ""


def _hours_down(hours: float) -> float:
    """Return hours rounded down to what a plan is good for."""
    return float(math.floor(hours / 100.0) * 100 if hours >= 1000.0 else math.floor(hours))
