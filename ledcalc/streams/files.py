"""Rows of a CSV or Parquet file, one after another; blank ones are passed over."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any, TypeAlias

from ledcalc.errors import FileProblem
from ledcalc.schema import CellValue
from ledcalc.workbook.csv_folder import delimiter_of, unquoted

__all__ = ["Row", "file_rows", "first_rows", "parquet_module"]

# Number of the row in its file, from 1, and its cells; blank ones are empty text.
Row: TypeAlias = tuple[int, Sequence[CellValue]]

ROWS_AT_A_TIME = 4096


def file_rows(path: Path) -> Iterator[Row]:
    """Yield a file's filled rows; the first has the headers.

    Raises
    ------
    FileProblem: neither CSV nor Parquet, or it cannot be read
    """
    ending = path.suffix.lower()
    if ending == ".csv":
        yield from _csv_rows(path)
    elif ending == ".parquet":
        yield from _parquet_rows(path)
    else:
        raise FileProblem(f"{path}: rows of variants come from a file ending in .csv or .parquet")


def _csv_rows(path: Path) -> Iterator[Row]:
    with _told(path), path.open(encoding="utf-8-sig", newline="") as stream:
        first = next((line for line in stream if line.strip()), "")
        stream.seek(0)
        for number, row in enumerate(csv.reader(stream, delimiter=delimiter_of(first)), start=1):
            if any(row) and any(cell.strip() for cell in row):
                yield number, [unquoted(cell) if cell.strip() else "" for cell in row]


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except UnicodeDecodeError:
        raise FileProblem(f"{path}: is not UTF-8 text; save it as CSV UTF-8") from None
    except csv.Error as problem:
        raise FileProblem(f"{path}: is no CSV text ({problem})") from None
    except OSError as problem:
        raise FileProblem(f"{path}: cannot be read ({problem.strerror or problem})") from None


def _parquet_rows(path: Path) -> Iterator[Row]:
    parquet = parquet_module()
    with _told(path):
        try:
            table = parquet.ParquetFile(path)
        except ValueError as problem:  # what pyarrow raises of a file that is none of its own
            raise FileProblem(f"{path}: is no Parquet file ({problem})") from None
        names = table.schema_arrow.names
        yield 1, names
        number = 1
        for batch in table.iter_batches(batch_size=ROWS_AT_A_TIME):
            columns = [column.to_pylist() for column in batch.columns]
            for row in zip(*columns, strict=True):
                number += 1
                if any(_is_filled(value) for value in row):
                    yield number, [value if _is_filled(value) else "" for value in row]


def parquet_module() -> Any:
    """Return pyarrow's Parquet module.

    Raises
    ------
    FileProblem: it is not installed
    """
    try:
        from pyarrow import parquet
    except ImportError:
        raise FileProblem("Parquet files need pyarrow: pip install 'ledcalc[parquet]'") from None
    return parquet


def _is_filled(value: Any) -> bool:
    # A table's NaN is a blank.
    return value is not None and value == value and (not isinstance(value, str) or bool(value.strip()))


def first_rows(path: Path, count: int) -> list[Row]:
    """Return a file's first filled rows."""
    return list(islice(file_rows(path), count))
