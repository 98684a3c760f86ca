"""All rules in their array form, and what they come to: counts by severity, and codes, worst first."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from ledcalc.checks.registry import RULES, Rule
from ledcalc.findings import SEVERITIES
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts
from ledcalc.variants.rules.currents import CURRENT_RULES
from ledcalc.variants.rules.light_notes import LIGHT_NOTE_RULES
from ledcalc.variants.rules.over_time import BY_OVER_TIME, board_hotter_than_tests, by_over_time
from ledcalc.variants.rules.places import BY_PLACES, by_places
from ledcalc.variants.rules.stairs import array_inputs, each_fixture
from ledcalc.variants.rules.surroundings import SURROUNDING_RULES
from ledcalc.variants.rules.wiring import WIRING_RULES

__all__ = ["Verdict", "unknown_rules", "verdict_of"]

# Rules that look at the fixture alone, and which of the numbers that may be arrays they read.
BY_FIXTURE: dict[str, tuple[str, ...]] = {
    "output-not-isolated": (),
    "crop-outside-room": (),
    "sleeve-too-tight": (),
    "sleeve-not-counted": (),
    "gland-does-not-seal": (),
    "box-overfull": (),
    "wire-end-in-clamp": (),
    "hanger-overloaded": (),
    "leads-uncapped": (),
    "stock-short": ("cables.one_way_length_m", "cables.size"),
    "parts-too-few": ("cables.one_way_length_m", "cables.size", "parts.quantity", "parts.spares_count"),
    "hole-off-rail": ("fixture.row_pitch_m", "fixture.column_pitch_m", "positions.x_m", "positions.y_m"),
}
# Readings were taken of the base as it was built: variants have none.
BY_READINGS = (
    "measured-over-rating",
    "measured-off-prediction",
    "canopy-above-fixture",
    "log-suspect",
    "log-unsettled",
    "log-drifts",
    "log-hogs",
    "branches-off-total",
    "mains-off-prediction",
    "reading-suspect",
    "reading-outside-crop",
    "readings-odd",
    "readings-few",
    "light-lopsided",
    "light-off-prediction",
    "measured-light-off-target",
    "survey-not-warm",
)


def _by_fixture(rule: Rule, asked: Collection[str]) -> Check:
    def check(worked: Worked) -> Counts:
        def found(fixture: Fixture) -> int:
            # These rules take results as all do, and ask nothing of them.
            return sum(1 for _ in rule.check(fixture, cast(Evaluation, None)))

        base, inputs = worked.block.structure.fixture, array_inputs(worked.block.fixture)
        return {rule.severities[0]: each_fixture(found, base, inputs, asked, worked.block.count)}

    return check


def _silent(_: Worked) -> Counts:
    return {}


CHECKS: dict[str, Check] = {
    **CURRENT_RULES,
    **SURROUNDING_RULES,
    **WIRING_RULES,
    **{rule.code: _by_fixture(rule, BY_FIXTURE[rule.code]) for rule in RULES if rule.code in BY_FIXTURE},
    **{rule.code: by_places(rule) for rule in RULES if rule.code in BY_PLACES},
    **LIGHT_NOTE_RULES,
    "board-hotter-than-tests": board_hotter_than_tests,
    **{rule.code: by_over_time(rule) for rule in RULES if rule.code in BY_OVER_TIME},
    **dict.fromkeys(BY_READINGS, _silent),
}


def unknown_rules() -> list[str]:
    """Return the codes of rules that have no array form: with any of them, variants go one by one."""
    return [rule.code for rule in RULES if rule.code not in CHECKS]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Verdict:
    """Findings of each variant: how many of each severity, and their codes, worst first, each once."""

    counts: dict[str, NDArray[np.intp]]
    codes: list[tuple[str, ...]]


def verdict_of(worked: Worked) -> Verdict:
    """Return what all rules find in a block."""
    count = worked.block.count
    totals = {severity: np.zeros(count, dtype=np.intp) for severity in SEVERITIES}
    found: dict[str, list[tuple[str, NDArray[np.bool_]]]] = {severity: [] for severity in SEVERITIES}
    for rule in RULES:
        for severity, numbers in CHECKS[rule.code](worked).items():
            totals[severity] += numbers
            found[severity].append((rule.code, np.asarray(numbers, dtype=bool)))
    ordered = [entry for severity in SEVERITIES for entry in found[severity] if entry[1].any()]
    return Verdict(counts=totals, codes=_codes(ordered, count))


def _codes(found: list[tuple[str, NDArray[np.bool_]]], count: int) -> list[tuple[str, ...]]:
    """Return the codes that each variant has; few sets of them occur."""
    if not found:
        return [()] * count
    patterns, which = np.unique(np.array([present for _, present in found]), axis=1, return_inverse=True)
    named: list[Any] = [
        tuple(dict.fromkeys(code for (code, _), present in zip(found, pattern, strict=True) if present))
        for pattern in patterns.T
    ]
    return [named[number] for number in which.tolist()]
