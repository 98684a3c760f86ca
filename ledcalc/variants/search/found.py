"""A fixture that was found: what it comes to, and what limits it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ledcalc.checks.making import fixture_weight_kg
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.variants.search.built import Candidate
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["DesignLimit", "FoundFixture", "found_fixture", "limits_of", "what_is_missed"]

# A limit that is used up to this share holds the fixture where it is.
HELD_FRACTION = 0.99
# What is asked for counts as reached within this share: figures are worked out twice.
ENOUGH_FRACTION = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignLimit:
    """A limit, and the share of it that is used: 1 where it holds the fixture."""

    label: str
    value: float
    limit: float
    unit: str
    used_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundFixture:
    """A fixture that meets the target with no finding to stop for or act on.

    ``objective``: what it comes to; ``limits``: the nearest first; ``line``: what limits it, in a sentence.
    """

    parts: str
    fixture: Fixture
    results: Evaluation
    objective: float
    limits: tuple[DesignLimit, ...]
    line: str


def found_fixture(
    candidate: Candidate, results: Evaluation, target: DesignTarget, space: DesignSpace, objective: float
) -> FoundFixture:
    """Return a candidate that meets all with what limits it."""
    limits = limits_of(results, target, space)
    return FoundFixture(
        parts=candidate.parts,
        fixture=results.fixture,
        results=results,
        objective=objective,
        limits=limits,
        line=_line(limits),
    )


def what_is_missed(results: Evaluation, target: DesignTarget) -> str:
    """Return why an evaluated fixture does not do, empty where it does."""
    codes = [found.code for found in results.findings if found.severity in {"stop", "act"}]
    if codes:
        return f"finding {', '.join(dict.fromkeys(codes))}"
    if math.isfinite(target.most_weight_kg) and fixture_weight_kg(results.fixture) is None:
        return "weight not given"
    over = [one for one in _asked(results, target) if one.used_fraction > 1.0 + ENOUGH_FRACTION]
    return "; ".join(f"{one.label} {one.value:.4g} {one.unit}, asked {one.limit:.4g}" for one in over)


def limits_of(results: Evaluation, target: DesignTarget, space: DesignSpace) -> tuple[DesignLimit, ...]:
    """Return every limit with the share of it that is used, the nearest first."""
    every = [*_asked(results, target), *_own(results), *_searched(results, space)]
    return tuple(sorted(every, key=lambda one: -one.used_fraction))


def _asked(results: Evaluation, target: DesignTarget) -> Iterator[DesignLimit]:
    """Yield the limits of the target."""
    light, boards, air = results.light.statistics, results.boards, results.operating.air_temperature_c
    yield _floor("mean PPFD", light.mean, target.mean_ppfd_umol_m2_s, "umol m-2 s-1")
    if target.least_min_over_mean:
        yield _floor("min/mean", light.min_over_mean, target.least_min_over_mean, "")
    if math.isfinite(target.most_purchase_cost):
        bought = results.cost.purchase.total_cost if results.cost.purchase else 0.0
        yield _ceiling("parts", bought, target.most_purchase_cost, results.cost.currency)
    if math.isfinite(target.most_board_c):
        yield _ceiling("hottest board", float(boards.temperature_c.max()), target.most_board_c, "degC", air)
    if math.isfinite(target.most_weight_kg):
        yield _ceiling("weight", fixture_weight_kg(results.fixture) or 0.0, target.most_weight_kg, "kg")


def _own(results: Evaluation) -> Iterator[DesignLimit]:
    """Yield the limits of boards and driver."""
    fixture, boards, operating = results.fixture, results.boards, results.operating
    driver, air = fixture.drivers[0], operating.air_temperature_c
    most = int((boards.current_a / boards.rated_current_a).argmax())
    yield _ceiling("board current", float(boards.current_a[most]), float(boards.rated_current_a[most]), "A")
    warmest = int((boards.rated_temperature_c - boards.temperature_c).argmin())
    warm, rated = float(boards.temperature_c[warmest]), float(boards.rated_temperature_c[warmest])
    yield _ceiling("board temperature by its rating", warm, rated, "degC", air)
    yield _ceiling("driver current", fixture.current_setting_a, driver.current_high_a, "A")
    yield _floor("driver current, lower end", fixture.current_setting_a, driver.current_low_a, "A")
    yield _ceiling("driver voltage", operating.voltage_v, driver.voltage_high_v, "V")
    yield _ceiling("driver power", operating.power_w, driver.power_limit_w, "W")


def _searched(results: Evaluation, space: DesignSpace) -> Iterator[DesignLimit]:
    """Yield the ends of what was searched."""
    fixture, count = results.fixture, float(len(results.boards.tag))
    yield _floor("height, lower end", fixture.height_m, space.least_height_m, "m")
    yield _ceiling("height, upper end", fixture.height_m, space.most_height_m, "m")
    yield _floor("boards, fewest", count, float(space.least_boards_count), "")
    yield _ceiling("boards, most", count, float(space.most_boards_count), "")


def _ceiling(label: str, value: float, limit: float, unit: str, zero: float = 0.0) -> DesignLimit:
    used = (value - zero) / (limit - zero) if limit > zero else math.inf
    return DesignLimit(label=label, value=value, limit=limit, unit=unit, used_fraction=used)


def _floor(label: str, value: float, limit: float, unit: str) -> DesignLimit:
    used = limit / value if value > 0 else math.inf
    return DesignLimit(label=label, value=value, limit=limit, unit=unit, used_fraction=used)


def _line(limits: tuple[DesignLimit, ...]) -> str:
    """Return what limits a fixture: what holds it, and what comes next."""
    held = [one for one in limits if one.used_fraction >= HELD_FRACTION]
    following = [one for one in limits if one.used_fraction < HELD_FRACTION][:1]
    said = [f"{one.label} {one.value:.4g} of {one.limit:.4g} {one.unit}".rstrip() for one in held]
    text = f"held by {'; '.join(said)}" if said else "held by nothing but its parts"
    for one in following:
        text += f". Next: {one.label}, {100 * one.used_fraction:.0f} % used"
    return text
