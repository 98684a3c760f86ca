"""Evaluates variants of one fixture in blocks; a bad variant is marked and never stops the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice

from ledcalc.fixture import Fixture
from ledcalc.schema import Value

__all__ = ["Variant", "VariantRow", "evaluate_variants"]

# Enough for arrays to be worth it, few enough that results come as they are ready.
AT_A_TIME = 2048


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

    Variants that share a structure are worked out together, many at a time: results are those of ``evaluate``.

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
    from ledcalc.variants.engine import Engine
    from ledcalc.variants.inputs import Base, columns_of

    engine, left = Engine(base=Base.of(fixture)), iter(variants)
    while block := list(islice(left, AT_A_TIME)):
        results = engine.evaluate(columns_of(engine.base, block))
        for number, variant in enumerate(block):
            found = results.outcome(number)
            yield VariantRow(
                name=variant.name,
                changes=variant.changes,
                reason=found.reason,
                figures=found.figures,
                counts=found.counts,
                codes=found.codes,
            )
