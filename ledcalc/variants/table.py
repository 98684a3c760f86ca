"""Variants in, a pandas table out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from concurrent.futures import Executor
from typing import Any

import pandas as pd

from ledcalc.errors import ArgumentError
from ledcalc.findings import SEVERITIES
from ledcalc.fixture import Fixture
from ledcalc.schema import Value
from ledcalc.variants.rows import Variant, VariantRow, evaluate_variants

__all__ = ["evaluate_many", "table_of"]


def evaluate_many(
    fixture: Fixture,
    variants: pd.DataFrame | Mapping[str, Mapping[str, Value | None]] | Iterable[Variant],
    *,
    executor: Executor | None = None,
) -> pd.DataFrame:
    """Evaluate variants of one fixture into a table, one row a variant in the order given.

    Parameters
    ----------
    fixture : the base
    variants : a mapping of name to changes (field path -> value in its canonical unit, or text with a unit);
        ``Variant`` entries; or a table with a column ``variant`` and a column a field path, blanks meaning the base's
        value
    executor : who does the work, any of ``concurrent.futures``; None: this process

    Returns
    -------
    pandas.DataFrame: ``variant``, ``reason`` (empty where computed), a column a figure (``Evaluation.summary``), the
    counts ``stop``, ``act``, ``note`` (missing, ``pandas.NA``, where not computed), and ``findings`` (codes)

    Raises
    ------
    ArgumentError (a ValueError): a table without a column ``variant``

    Validity
    --------
    Rows of a sheet are neither added nor taken away: where each board has a cable, ``fixture.rows_count`` and
    ``columns_count`` alone are refused for boards without one. To vary the number of boards start from a fixture
    without cables, or change it with its cables in Python (``dataclasses.replace(base, cables=...)``), a base for each
    number of boards.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> table = evaluate_many(seedling_bench(), {"softer": {"fixture.current_setting_a": 3.6}})
    >>> round(float(table.loc[0, "driver_current_a"]), 3)
    3.6
    """
    return table_of(evaluate_variants(fixture, _as_variants(variants), executor=executor))


def table_of(rows: Iterable[VariantRow]) -> pd.DataFrame:
    """Return evaluated variants as a table."""
    table = pd.DataFrame(
        [
            {
                "variant": row.name,
                "reason": row.reason,
                **row.figures,
                **{severity: row.counts.get(severity) for severity in SEVERITIES},
                "findings": ", ".join(row.codes),
            }
            for row in rows
        ]
    )
    # Whole numbers that may be missing: what was not computed has no findings, not none of them.
    return table.astype({name: "Int64" for name in SEVERITIES if name in table})


def _as_variants(variants: Any) -> list[Variant]:
    if isinstance(variants, pd.DataFrame):
        if "variant" not in variants.columns:
            raise ArgumentError("variants", list(variants.columns), "a column named variant")
        return _from_rows(variants.to_dict("records"))
    if isinstance(variants, Mapping):
        return [Variant(name=name, changes=changes) for name, changes in variants.items()]
    return list(variants)


def _from_rows(rows: Iterable[Mapping[Any, Any]]) -> list[Variant]:
    found, seen = [], set[str]()
    for row in rows:
        name = str(row["variant"])
        changes = {str(path): value for path, value in row.items() if path != "variant" and not pd.isna(value)}
        problem = f"the name {name!r} stands twice" if name in seen else ""
        seen.add(name)
        found.append(Variant(name=name, changes=changes, problem=problem))
    return found
