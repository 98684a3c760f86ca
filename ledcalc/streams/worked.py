"""One block of variants, from the cells as they stand in the file to the bytes of its results."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.findings import SEVERITIES
from ledcalc.results import SUMMARY_NAMES
from ledcalc.schema import Field
from ledcalc.streams.files import parquet_module
from ledcalc.streams.source import Columns, RawVariant
from ledcalc.variants import Variant
from ledcalc.variants.executors import engine_of
from ledcalc.variants.inputs import columns_of
from ledcalc.variants.results import Results
from ledcalc.workbook.csv_text import csv_text
from ledcalc.workbook.variant_rows import targets_of, variant_of

__all__ = ["Job", "Made", "headers_of", "inputs_of", "made"]

TEXTS = ("mode",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A block as it is sent to whoever works it out. ``ending``: csv or parquet."""

    fixture: bytes
    columns: Columns
    variants: list[RawVariant]
    ending: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A block's results as they go into the file, and how many of its variants fared how."""

    data: bytes
    variants_count: int
    not_computed_count: int
    stop_count: int


def made(job: Job) -> Made:
    """Work a block out."""
    targets, title = targets_of(job.columns.names), job.columns.title
    variants = [
        Variant(name=raw.name, problem=raw.problem)
        if raw.problem
        else variant_of(title, raw.name, job.columns.found(raw.row, raw.cells), targets)
        for raw in job.variants
    ]
    engine = engine_of(job.fixture)
    results = engine.evaluate(columns_of(engine.base, variants))
    table = _table(job.columns, variants, results)
    stops = np.asarray(results.counts["stop"])
    return Made(
        data=_as_csv(table) if job.ending == "csv" else _as_parquet(table, job.columns),
        variants_count=len(variants),
        not_computed_count=sum(map(bool, results.reasons)),
        stop_count=int((stops > 0).sum()),
    )


def inputs_of(columns: Columns) -> dict[str, Field]:
    """Return the inputs that a file's columns are headed by: path and field."""
    return dict(target for target in targets_of(columns.names).values() if not isinstance(target, str))


def headers_of(columns: Columns) -> list[str]:
    """Return the headers of the results."""
    return ["variant", *inputs_of(columns), "reason", *SUMMARY_NAMES, *SEVERITIES, "findings"]


def _table(columns: Columns, variants: list[Variant], results: Results) -> dict[str, list[Any]]:
    """Return the results by columns; None where there is nothing to tell."""
    count = len(variants)
    inputs = {path: [variant.changes.get(path) for variant in variants] for path in inputs_of(columns)}
    figures = {name: _plain(results.figures.get(name), count) for name in SUMMARY_NAMES}
    is_blank = np.array(list(map(bool, results.reasons)))
    counts = {name: _plain(np.where(is_blank, np.nan, results.counts[name]), count) for name in SEVERITIES}
    return {
        "variant": [variant.name for variant in variants],
        **inputs,
        "reason": [" ".join(reason.split()) for reason in results.reasons],
        **figures,
        **{name: [None if value is None else int(value) for value in values] for name, values in counts.items()},
        "findings": [", ".join(codes) for codes in results.codes],
    }


def _plain(values: NDArray[Any] | None, count: int) -> list[Any]:
    if values is None:
        return [None] * count
    return [None if value is None or value != value else value for value in values.tolist()]


def _as_csv(table: Mapping[str, list[Any]]) -> bytes:
    stream = io.StringIO()
    columns = [list(map(csv_text, values)) for values in table.values()]
    csv.writer(stream, lineterminator="\n").writerows(zip(*columns, strict=True))
    return stream.getvalue().encode()


def _as_parquet(table: Mapping[str, list[Any]], columns: Columns) -> bytes:
    parquet = parquet_module()
    import pyarrow

    kinds = {"number": pyarrow.float64(), "whole": pyarrow.int64()}
    types = {path: kinds.get(field.kind, pyarrow.string()) for path, field in inputs_of(columns).items()}
    types |= {name: pyarrow.string() if name in TEXTS else pyarrow.float64() for name in SUMMARY_NAMES}
    types |= dict.fromkeys(SEVERITIES, pyarrow.int64())
    schema = pyarrow.schema([(name, types.get(name, pyarrow.string())) for name in table])
    sink = io.BytesIO()
    parquet.write_table(pyarrow.table(dict(table), schema=schema), sink)
    return sink.getvalue()
