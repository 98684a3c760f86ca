"""Variants of a workbook's own sheet with every figure that fixtures are compared by, money included."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ledcalc.errors import InputErrors, LedcalcError
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.findings import count_by_severity
from ledcalc.fixture import Fixture
from ledcalc.records import with_values
from ledcalc.results import Evaluation
from ledcalc.variants.all_figures import figures_of
from ledcalc.variants.rows import Variant, VariantRow

__all__ = ["full_rows", "without_readings"]


def without_readings(fixture: Fixture) -> Fixture:
    """Return a fixture without what was read on it as it was built: it says nothing of a variant."""
    return replace(
        fixture,
        current_log=(),
        supply_log=(),
        dial_log=(),
        light_readings=(),
        light_grids=(),
        light_rings=(),
        surveys=(),
    )


def full_rows(fixture: Fixture, variants: Iterable[Variant]) -> Iterator[VariantRow]:
    """Yield the results of each variant in the order given, as ``evaluate_variants``, with the figures of load, heat
    and owning beside those of ``Evaluation.summary``; one at a time, so for tens and hundreds.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> [row] = full_rows(seedling_bench(), [Variant(name="softer", changes={"fixture.current_setting_a": 3.6})])
    >>> round(row.figures["owning_cost"], 2)
    68.04
    """
    bare = without_readings(fixture)
    for variant in variants:
        results: Evaluation | None = None
        reason = variant.problem
        if not reason:
            try:
                results = evaluate(with_values(bare, variant.changes))
            except InputErrors as problem:
                reason = "; ".join(str(entry) for entry in problem.problems)
            except LedcalcError as problem:
                reason = str(problem)
        findings = results.findings if results else ()
        yield VariantRow(
            name=variant.name,
            changes=variant.changes,
            reason=reason,
            figures=figures_of(results) if results else {},
            counts=count_by_severity(findings) if results else {},
            codes=tuple(dict.fromkeys(found.code for found in findings)),
        )
