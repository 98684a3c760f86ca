"""Evaluates a block of variants: those of one structure together by arrays, what arrays do not cover one by one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ledcalc.errors import ArgumentError, InputErrors, LedcalcError
from ledcalc.evaluation.evaluate import check_fixture, evaluate
from ledcalc.findings import count_by_severity
from ledcalc.fixture import Fixture
from ledcalc.records import with_values
from ledcalc.results import summary_of
from ledcalc.schema import Value
from ledcalc.variants.blocks.structure import Block, Structure, structure_of
from ledcalc.variants.blocks.worked import worked_out
from ledcalc.variants.groups import Group, groups_of
from ledcalc.variants.inputs import Base, Columns
from ledcalc.variants.results import Outcome, Results
from ledcalc.variants.rules import unknown_rules, verdict_of
from ledcalc.variants.varied import contradicting, with_arrays

__all__ = ["Engine"]

# Fewer variants of a structure than this are quicker one by one.
LEAST_TOGETHER = 3
SAME_FRACTION = 1e-9
KEPT_STRUCTURES = 64


@dataclass(slots=True, kw_only=True, eq=False)
class Prepared:
    """A structure: the fixture it is of, and why that can't be computed, empty where it can.

    ``structure``: None where its variants go one by one. ``is_proven``: whether one of its variants has been worked out
    both ways, and came out the same.
    """

    fixture: Fixture
    structure: Structure | None
    reason: str = ""
    is_proven: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Engine:
    """Evaluates blocks of variants of one base; the structures that it has met last are kept."""

    base: Base
    met: dict[tuple[tuple[str, Value | None], ...], Prepared] = field(default_factory=dict)

    def evaluate(self, columns: Columns) -> Results:
        """Return the results of a block of rows."""
        results = Results.blank(columns.problems)
        for group in groups_of(self.base, columns):
            self._evaluate_group(group, results)
        return results

    def one(self, changes: Mapping[str, Value | None]) -> Outcome:
        """Return one variant's results by ``evaluate``."""
        try:
            found = evaluate(with_values(self.base.fixture, changes))
        except LedcalcError as problem:
            return Outcome(reason=_words(problem), figures={}, counts={}, codes=())
        return Outcome(
            reason="",
            figures=found.summary(),
            counts=count_by_severity(found.findings),
            codes=tuple(dict.fromkeys(entry.code for entry in found.findings)),
        )

    def _evaluate_group(self, group: Group, results: Results) -> None:
        if group.rows.size < LEAST_TOGETHER or unknown_rules():
            self._one_by_one(group, results)
            return
        prepared = self._prepared(group)
        odd = contradicting(prepared.fixture, group.arrays, group.rows.size)
        self._one_by_one(group.only(np.flatnonzero(odd)), results)
        rest = group.only(np.flatnonzero(~odd))
        if prepared.reason:
            for row in rest.rows.tolist():
                results.reasons[row] = prepared.reason
        elif rest.rows.size:
            self._together(prepared, rest, results)

    def _prepared(self, group: Group) -> Prepared:
        """Return the structure of a group, looked up or checked and prepared."""
        key = tuple(sorted(group.fixed.items()))
        if key not in self.met:
            while len(self.met) >= KEPT_STRUCTURES:
                del self.met[next(iter(self.met))]
            self.met[key] = _prepare(with_values(self.base.fixture, group.fixed))
        return self.met[key]

    def _together(self, prepared: Prepared, group: Group, results: Results) -> None:
        """Work a group out by arrays; a number that a formula refuses is found by halves and goes by itself."""
        if prepared.structure is None or group.rows.size < LEAST_TOGETHER:
            self._one_by_one(group, results)
            return
        fixture = with_arrays(prepared.structure.fixture, group.arrays)
        try:
            worked, found = worked_out(Block.of(prepared.structure, fixture, group.rows.size))
        except ArgumentError:
            middle = group.rows.size // 2
            for half in (np.arange(middle), np.arange(middle, group.rows.size)):
                self._together(prepared, group.only(half), results)
            return
        if worked is not None:
            verdict = verdict_of(worked)
            results.put(group.rows[found], summary_of(worked), verdict.counts, verdict.codes)
            if not self._is_proven(prepared, group, int(found[0]), results):
                self._one_by_one(group, results)
                return
        self._one_by_one(group.only(np.setdiff1d(np.arange(group.rows.size), found)), results)

    def _is_proven(self, prepared: Prepared, group: Group, number: int, results: Results) -> bool:
        """Return whether a structure's variants come out by arrays as ``evaluate`` has them, by one of them.

        What is new in ``evaluate`` and unknown here would show there: such a structure goes one by one from then on.
        """
        if not prepared.is_proven:
            prepared.is_proven = _is_same(self.one(group.changes(number)), results.outcome(int(group.rows[number])))
            if not prepared.is_proven:
                prepared.structure = None
        return prepared.is_proven

    def _one_by_one(self, group: Group, results: Results) -> None:
        for number, row in enumerate(group.rows.tolist()):
            results.put_one(row, self.one(group.changes(number)))


def _prepare(fixture: Fixture) -> Prepared:
    try:
        check_fixture(fixture)
        # Prices by the clock and seasons ask for each variant's own year.
        priced_alike = not fixture.tariff and not fixture.seasons
        return Prepared(fixture=fixture, structure=structure_of(fixture) if priced_alike else None)
    except LedcalcError as problem:
        return Prepared(fixture=fixture, structure=None, reason=_words(problem))


def _words(problem: LedcalcError) -> str:
    if isinstance(problem, InputErrors):
        return "; ".join(str(entry) for entry in problem.problems)
    return str(problem)


def _is_same(one: Outcome, other: Outcome) -> bool:
    if (one.reason, one.codes, dict(one.counts)) != (other.reason, other.codes, dict(other.counts)):
        return False
    return one.figures.keys() == other.figures.keys() and all(
        _are_close(value, other.figures[name]) for name, value in one.figures.items()
    )


def _are_close(one: Any, other: Any) -> bool:
    if isinstance(one, str) or isinstance(other, str):
        return bool(one == other)
    return bool(np.isclose(one, other, rtol=SAME_FRACTION, atol=0.0, equal_nan=True))
