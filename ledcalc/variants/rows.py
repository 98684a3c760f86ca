"""Evaluates variants of one fixture in blocks; a bad variant is marked and never stops the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from itertools import islice

from ledcalc.fixture import Fixture
from ledcalc.schema import Value

__all__ = ["Variant", "VariantRow", "evaluate_variants", "rows_of_block"]

# Enough for arrays to be worth it, few enough that results come as they are ready.
AT_A_TIME = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A name and what differs from the base fixture: field path -> value. ``problem``: why it can't be computed."""

    name: str
    changes: Mapping[str, Value | None] = field(default_factory=dict)
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VariantRow:
    """One variant's figures and findings; where it could not be computed ``reason`` says why, and both are empty."""

    name: str
    changes: Mapping[str, Value | None]
    reason: str
    figures: Mapping[str, float | str]
    counts: Mapping[str, int]
    codes: tuple[str, ...]


def evaluate_variants(
    fixture: Fixture, variants: Iterable[Variant], *, executor: Executor | None = None
) -> Iterator[VariantRow]:
    """Yield the results of each variant in turn, in the order given; bench readings of the base are left out of them.

    Variants that share a structure are worked out together, many at a time: results are those of ``evaluate``.

    Parameters
    ----------
    fixture : the base
    variants : what differs, one entry a variant; taken as they are needed
    executor : who does the work, any of ``concurrent.futures``; None: this process

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> [row] = evaluate_variants(seedling_bench(), [Variant(name="low", changes={"fixture.height_m": -1})])
    >>> row.reason
    'fixture.height_m is -1; allowed: a number above 0 up to 10 m'
    """
    from ledcalc.variants.executors import in_order, packed

    base, left = packed(fixture), iter(variants)
    blocks = ((base, block) for block in iter(lambda: list(islice(left, AT_A_TIME)), []))
    for rows in in_order(rows_of_block, blocks, executor=executor):
        yield from rows


def rows_of_block(job: tuple[bytes, list[Variant]]) -> list[VariantRow]:
    """Return the results of some variants of a packed fixture."""
    from ledcalc.variants.executors import engine_of
    from ledcalc.variants.inputs import columns_of

    base, block = job
    engine = engine_of(base)
    results = engine.evaluate(columns_of(engine.base, block))
    found = [results.outcome(number) for number in range(len(block))]
    return [
        VariantRow(
            name=variant.name,
            changes=variant.changes,
            reason=own.reason,
            figures=own.figures,
            counts=own.counts,
            codes=own.codes,
        )
        for variant, own in zip(block, found, strict=True)
    ]
