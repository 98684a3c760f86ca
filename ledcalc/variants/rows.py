"""Evaluates variants of one fixture, one after another; a bad variant is marked and never stops the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from ledcalc.errors import InputErrors, LedcalcError
from ledcalc.evaluate import evaluate
from ledcalc.findings import count_by_severity
from ledcalc.fixture import Fixture
from ledcalc.records import with_values
from ledcalc.schema import Value

__all__ = ["Variant", "VariantRow", "evaluate_variants"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A name and what differs from the base fixture: field path -> value. ``problem``: why it can't be computed."""

    name: str
    changes: Mapping[str, Value | None] = field(default_factory=dict)
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VariantRow:
    """One variant's figures (empty where it could not be computed, and ``reason`` says why) and its findings' codes."""

    name: str
    changes: Mapping[str, Value | None]
    reason: str
    figures: Mapping[str, float | str]
    counts: Mapping[str, int]
    codes: tuple[str, ...]


def evaluate_variants(fixture: Fixture, variants: Iterable[Variant]) -> Iterator[VariantRow]:
    """Yield the results of each variant in turn, in the order given; bench readings of the base are left out of them.

    Parameters
    ----------
    fixture : the base
    variants : what differs, one entry a variant

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> [row] = evaluate_variants(seedling_bench(), [Variant(name="low", changes={"fixture.height_m": -1})])
    >>> row.reason
    'fixture.height_m is -1; allowed: a number above 0 up to 10 m'
    """
    for variant in variants:
        yield _row(fixture, variant)


def _without_readings(fixture: Fixture) -> Fixture:
    """Readings were taken of the base as it was built; they say nothing of a variant."""
    return replace(fixture, current_log=(), light_readings=())


def _row(fixture: Fixture, variant: Variant) -> VariantRow:
    reason = variant.problem
    figures: dict[str, float | str] = {}
    codes: tuple[str, ...] = ()
    counts = count_by_severity(())
    if not reason:
        try:
            results = evaluate(with_values(_without_readings(fixture), variant.changes))
        except InputErrors as problem:
            reason = "; ".join(str(entry) for entry in problem.problems)
        except LedcalcError as problem:
            reason = str(problem)
        else:
            figures, counts = dict(results.summary()), count_by_severity(results.findings)
            codes = tuple(dict.fromkeys(found.code for found in results.findings))
    return VariantRow(
        name=variant.name, changes=variant.changes, reason=reason, figures=figures, counts=counts, codes=codes
    )
