"""Inverse design: from a catalogue and a target to the best fixtures that meet it."""

from __future__ import annotations

import bisect
from collections.abc import Callable
from dataclasses import dataclass

from ledcalc.arguments import choice, whole_numbers
from ledcalc.errors import ArgumentError, LedcalcError
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.fixture import Fixture
from ledcalc.variants.search.bounds import Bounded, Refusals, bounded_candidates
from ledcalc.variants.search.found import FoundFixture, found_fixture, what_is_missed
from ledcalc.variants.search.layouts import LayoutBook
from ledcalc.variants.search.settings import set_fixture
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["OBJECTIVES", "NearMiss", "Refused", "SearchResult", "find_fixtures"]

OBJECTIVES = ("owning_cost", "purchase_cost", "mains_power_w")
# Bounds and results are the same sums in another order.
TIE_FRACTION = 1e-9
NO_SEED = "Every candidate is bounded or tried, in the order of its bound: no random numbers, so no seed."


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Why a board model's candidates were refused: how many, and an example."""

    board: str
    reason: str
    count: int
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NearMiss:
    """A candidate that might have bettered the last of those found, and why it did not do; ``bound``: it comes to
    at least this."""

    parts: str
    bound: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchResult:
    """The best fixtures, the best first, and what became of all others.

    ``candidates_count`` were looked at, ``bounded_count`` of these could not be refused by arithmetic, and
    ``tried_count`` were worked out in full. ``is_certain``: no other candidate of the space comes to less;
    ``least_possible``: what those not tried come to at least, where ``is_certain`` is False.
    """

    objective: str
    best: tuple[FoundFixture, ...]
    candidates_count: int
    bounded_count: int
    tried_count: int
    is_certain: bool
    least_possible: float
    near_misses: tuple[NearMiss, ...]
    refused: tuple[Refused, ...]
    notes: tuple[str, ...]


def find_fixtures(
    catalogue: Fixture,
    target: DesignTarget,
    space: DesignSpace,
    *,
    objective: str = "owning_cost",
    best_count: int = 5,
    most_tries: int = 400,
    progress: Callable[[int, int], None] | None = None,
) -> SearchResult:
    """Return the best fixtures that can be made of a catalogue's boards, heat sinks and drivers for a target.

    Parameters
    ----------
    catalogue : its Boards, Heat sinks, Drivers and Parts sheets are what there is to choose from; its first cable is
        the pattern of the wires; its site, crop and room are those of the fixture
    target : what it must reach, and may not exceed
    space : counts, strings, wires, heights and pitches that are looked at
    objective : what is to be least: ``owning_cost`` a year, ``purchase_cost`` or ``mains_power_w``
    best_count : at least 1: how many to return, each of parts of its own
    most_tries : at least 1: how many candidates are worked out in full before it stops
    progress : called with how many are done and how many are left at most

    Returns
    -------
    SearchResult

    Raises
    ------
    ArgumentError (a ValueError): an empty catalogue, or an objective that the catalogue has no figures for

    Validity
    --------
    Rows and columns of one board about the crop's middle, one driver that holds its current, every board on a sink of
    its own. Of each number of rows and columns the pitches and height that bring most light to the crop at the evenness
    asked for, in steps. A fixture with a finding to stop for or act on is not offered. What bounds refuse is certain
    while boards give less light as they warm up and share the current within a fiftieth.

    References
    ----------
    Branch and bound: candidates in the order of their lower bounds until a bound exceeds the worst that is kept.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> target = DesignTarget(mean_ppfd_umol_m2_s=140.0, least_min_over_mean=0.4)
    >>> space = DesignSpace(least_boards_count=6, most_boards_count=6, least_height_m=0.2, most_height_m=0.3)
    >>> found = find_fixtures(seedling_bench(), target, space, best_count=1)
    >>> found.best[0].parts
    '2 x 3 Bench bar 250 on Channel 300, Twin-dial 120, 18 AWG'
    """
    choice("objective", objective, OBJECTIVES)
    keep = int(whole_numbers("best_count", best_count, at_least=1))
    most = int(whole_numbers("most_tries", most_tries, at_least=1))
    for name in ("boards", "heat_sinks", "drivers", "cables"):
        if not getattr(catalogue, name):
            raise ArgumentError("catalogue", f"no {name}", "at least one of each, and a cable as pattern")
    refusals = Refusals()
    listed = bounded_candidates(catalogue, target, space, objective, LayoutBook(catalogue, target, space), refusals)
    hunt = _Hunt(catalogue, target, space, objective, keep)
    for number, bounded in enumerate(listed):
        if hunt.is_over(bounded) or number >= most:
            break
        hunt.try_one(bounded)
        if progress:
            progress(number + 1, len(listed))
    left = listed[hunt.tried_count :]
    certain = not left or hunt.is_over(left[0])
    return SearchResult(
        objective=objective,
        best=tuple(hunt.kept),
        candidates_count=len(listed) + sum(refusals.counts.values()),
        bounded_count=len(listed),
        tried_count=hunt.tried_count,
        is_certain=certain,
        least_possible=float("nan") if certain else left[0].bound,
        near_misses=tuple(one for one in hunt.missed if hunt.would_be_kept(one.bound)),
        refused=tuple(
            Refused(board=board, reason=reason, count=count, example=refusals.examples[board, reason])
            for (board, reason), count in refusals.counts.most_common()
        ),
        notes=(NO_SEED, *_left_out(catalogue), *_unpriced_wires(catalogue, listed, objective)),
    )


class _Hunt:
    """Tries candidates one by one and keeps the best."""

    def __init__(self, catalogue: Fixture, target: DesignTarget, space: DesignSpace, objective: str, keep: int) -> None:
        self.catalogue, self.target, self.space, self.objective, self.keep = catalogue, target, space, objective, keep
        self.kept: list[FoundFixture] = []
        self.missed: list[NearMiss] = []
        self.tried_count = 0

    def is_over(self, bounded: Bounded) -> bool:
        """Return whether neither this candidate nor any after it can be among the best."""
        return len(self.kept) == self.keep and bounded.bound > self.kept[-1].objective * (1.0 + TIE_FRACTION)

    def would_be_kept(self, value: float) -> bool:
        """Return whether such an objective would be among the best."""
        return len(self.kept) < self.keep or value < self.kept[-1].objective

    def try_one(self, bounded: Bounded) -> None:
        """Work a candidate out; keep it, or note why not."""
        self.tried_count += 1
        found = set_fixture(self.catalogue, self.target, self.space, bounded)
        reason, value = found.reason, found.objectives.get(self.objective, bounded.bound)
        if not self.would_be_kept(value):
            return
        if found.fixture is not None:
            try:
                results = evaluate(found.fixture)
            except LedcalcError as problem:
                reason = str(problem)
            else:
                reason = what_is_missed(results, self.target)
        if reason:
            self.missed.append(NearMiss(parts=bounded.candidate.parts, bound=value, reason=reason))
            return
        made = found_fixture(bounded.candidate, results, self.target, self.space, value)
        bisect.insort(self.kept, made, key=lambda one: one.objective)
        del self.kept[self.keep :]


def _left_out(catalogue: Fixture) -> list[str]:
    """Return what is to be said of other fixtures, whose light would come on top."""
    count = len(catalogue.other_fixtures)
    return [f"Looked for as if alone: {count} other fixtures in the room are left out."] if count else []


def _unpriced_wires(catalogue: Fixture, listed: list[Bounded], objective: str) -> list[str]:
    """Return what is to be said of wires that cost nothing, as nobody gave their price."""
    priced = {part.tag for part in catalogue.parts}
    bare = sorted({one.candidate.wire_size for one in listed} - priced)
    if not bare or objective == "mains_power_w":
        return []
    return [f"No price a metre on the Parts sheet for {', '.join(bare)}: such wire counts as nothing in the cost."]
