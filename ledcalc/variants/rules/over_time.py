"""Rules about the light over life and from week to week, in blocks.

Circuits at other currents are settled for all variants together; what follows from them is each variant's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np

from ledcalc.checks.registry import Rule
from ledcalc.evaluation.dimmed import AtLimit, settled_at_limit
from ledcalc.evaluation.over_time import over_time_of
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.fixture import Fixture
from ledcalc.model_curves import maintenance_tests
from ledcalc.results import AgeingResults, DimmedLight, Evaluation, LightPlanResults
from ledcalc.variants.blocks.dimmed import BlockAtLimit, dimmed_of
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts
from ledcalc.variants.rules.stairs import array_inputs, with_numbers

__all__ = ["BY_OVER_TIME", "board_hotter_than_tests", "by_over_time"]

# These rules read nothing of the results but what is over time, and how many boards there are.
BY_OVER_TIME = (
    "aged-light-below-target",
    "aged-share-below-wanted",
    "life-beyond-projection",
    "plan-above-full-light",
    "plan-below-dimmer",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tags:
    """What these rules ask of board results."""

    tag: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """What these rules ask of results."""

    boards: Tags
    ageing: AgeingResults | None
    dimmed: DimmedLight | None
    light_plan: LightPlanResults | None


def by_over_time(rule: Rule) -> Check:
    """Return a rule about light over time in its array form."""

    def check(worked: Worked) -> Counts:
        seen = _seen(worked)
        numbers = [sum(1 for _ in rule.check(fixture, cast(Evaluation, own))) for fixture, own in seen]
        return {rule.severities[0]: np.array(numbers, dtype=np.intp)} if seen else {}

    return check


def board_hotter_than_tests(worked: Worked) -> Counts:
    """Return where a board is hotter than the hottest test of the table that it names."""
    rows, hottest = worked.block.structure.fixture.maintenance, []
    for board in worked.block.structure.placed:
        tag = board.model.maintenance
        hottest.append(np.inf if tag is None else maintenance_tests(tag, rows)[-1].temperature_c)
    over = worked.boards.temperature_c > np.array(hottest)[:, np.newaxis]
    return {"act": np.asarray(over.any(axis=0))}


@lru_cache(maxsize=1)
def _seen(worked: Worked) -> list[tuple[Fixture, Seen]]:
    """Return each variant's fixture and what is over time; nothing where no rule asks. Kept, as several rules ask."""
    block, base = worked.block, worked.block.structure.fixture
    ages = any(board.model.maintenance is not None for board in block.structure.placed)
    if not base.light_plan and not (ages and block.fixture.site.wanted_life_h is not None):
        return []
    inputs = array_inputs(block.fixture)
    values = list(zip(*(entry.values.tolist() for entry in inputs), strict=True)) or [()] * block.count
    points = dimmed_of(block, worked.steady, worked.light.ppfd_per_flux)
    added = worked.light.ppfd_per_flux * worked.steady.photon_flux_umol_s
    temperature = worked.boards.temperature_c
    tags = Tags(tag=tuple(board.place.tag for board in block.structure.placed))
    found = []
    for number, own in enumerate(values):
        fixture = with_numbers(base, inputs, own)
        model, placed = driver_model(fixture), block.structure.placed
        at_limits = _at_limits(fixture, points, worked, number)
        over = over_time_of(fixture, placed, model, temperature[:, number], added[:, number], at_limits)
        seen = Seen(boards=tags, ageing=over.ageing, dimmed=over.dimmed, light_plan=over.light_plan)
        found.append((fixture, seen))
    return found


def _at_limits(
    fixture: Fixture, points: list[BlockAtLimit], worked: Worked, variant: int
) -> list[tuple[float, AtLimit | None]]:
    """Return a variant at its limits, rising, the present one in place of one like it.

    One that arrays did not settle is tried by itself, as that goes further.
    """
    found: dict[float, AtLimit | None] = {}
    for point in points:
        limit = float(point.limit_a[variant])
        if point.is_settled[variant]:
            found[limit] = point.of(variant)
        else:
            per_flux = worked.light.ppfd_per_flux[:, variant]
            found[limit] = settled_at_limit(fixture, boards_on(fixture), driver_model(fixture), per_flux, limit)
    return sorted(found.items())
