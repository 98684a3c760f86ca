"""A small corpus of the long run, and inputs drawn by hypothesis: refused in words, or worked out; nothing else."""

import csv
import io
import math
import re

import fuzz_judge
import pytest
from fuzz_books import example
from fuzz_cases import base_fixture, tried
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError, InputErrors
from ledcalc.schema import UNWRITABLE, Refusal, parse, sheets
from ledcalc.units import UNITS, split_number_and_unit
from ledcalc.workbook.csv_folder import FORMULA_STARTS, unquoted
from ledcalc.workbook.csv_text import csv_text
from ledcalc.workbook.grid import Book, Cell, Grid
from ledcalc.workbook.multiplied import choices_of, combination, combinations_count
from ledcalc.workbook.reader import fixture_of, inputs_in

CASES = 150
BLOCK = 10
FIRST = 10_000
FIELDS = [field for part in sheets() for field in part.fields]


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    return base_fixture(tmp_path_factory.mktemp("base"))


@pytest.mark.parametrize("first", range(FIRST, FIRST + CASES, BLOCK))
def test_corpus(first, base, tmp_path):
    for seed in range(first, first + BLOCK):
        folder = tmp_path / str(seed)
        folder.mkdir()
        case, verdict = tried(seed, folder, base, written_every=37)
        assert not verdict.failure, f"seed {seed}: {case.done}\n{verdict.failure}"


def crash(path):
    raise KeyError(path)


def hang(_path):
    while True:
        pass


def change(path):
    path.with_name("new.txt").write_text("x")
    raise InputErrors("x", [])


def fill_memory(_path):
    return bytes(2_000_000_000)


@pytest.mark.parametrize(
    ("does", "words"),
    [(crash, "KeyError"), (hang, "took more than"), (change, "was changed"), (fill_memory, "MemoryError")],
)
def test_what_must_not_be_is_seen(does, words, tmp_path, monkeypatch):
    """An exception of another kind, a hang, an input that changes, too much memory: each is a failure."""
    monkeypatch.setattr(fuzz_judge, "MOST_SECONDS", 0.05)
    monkeypatch.setattr(lc, "read_workbook", does)
    assert words in fuzz_judge.judge(tmp_path / "bench.xlsx").failure


# --- drawn cells

CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.datetimes(),
    st.dates(),
    st.times(),
    st.timedeltas(),
    st.text(max_size=30),
    st.builds("{} {}".format, st.floats(), st.sampled_from([*UNITS, "stone", ""])),
    st.sampled_from([label for field in FIELDS for label in (field.label, *field.choices)]),
)


def as_cell(value):
    return Cell(value=value)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_reader_takes_any_cells(data):
    """The example with any of its cells drawn anew, titles and headers too: named as bad, or a fixture of numbers."""
    book = example()
    grids = []
    spoiled = data.draw(st.sets(st.sampled_from(list(book.rows)), max_size=3))
    for key, rows in book.rows.items():
        cells = {
            row: {column: as_cell(value) for column, value in enumerate(values, 1) if value is not None}
            for row, values in enumerate(rows, 1)
        }
        if key in spoiled:
            places = [(row, column) for row, values in cells.items() for column in values]
            for row, column in data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=4)):
                value = data.draw(CELLS)
                if value is None or (isinstance(value, str) and not value.strip()):
                    cells[row].pop(column, None)
                else:
                    cells[row][column] = as_cell(value)
        grids.append(Grid(title=book.titles[key], rows={row: values for row, values in cells.items() if values}))
    inputs = inputs_in(Book(name="drawn", sha256="", grids=tuple(grids)))
    assert all(problem.problem and str(problem).encode() for problem in inputs.problems)
    try:
        fixture_of(inputs)
    except InputErrors:
        return
    numbers = [value for rows in inputs.records.values() for row in rows for value in row.values()]
    assert all(math.isfinite(number) for number in numbers if isinstance(number, int | float))


@settings(max_examples=300, deadline=None)
@given(
    field=st.sampled_from(FIELDS),
    value=CELLS.filter(lambda value: value is not None),
    unit=st.sampled_from(["", *UNITS, "x"]),
)
def test_a_cell_is_a_value_within_its_range_or_refused(field, value, unit):
    found = parse(field, value, unit)
    if isinstance(found, Refusal):
        assert found.problem
    elif field.choices:
        assert found in field.choices
    elif field.kind in {"number", "whole"}:
        assert math.isfinite(found)
        assert field.minimum is None or found >= field.minimum.value
        assert field.maximum is None or found <= field.maximum.value
    else:
        assert isinstance(found, str)


@settings(max_examples=300, deadline=None)
@given(text=st.one_of(st.text(), st.from_regex(r"\s*[-+]?[0-9.]+(e[-+]?[0-9]+)?\s*[a-z/%µ ]*", fullmatch=True)))
def test_a_quantity_is_a_number_and_a_unit_or_refused(text):
    try:
        number, unit = split_number_and_unit(text)
    except ArgumentError:
        return
    assert isinstance(number, float)
    assert not math.isnan(number)
    assert unit == unit.strip()


NUMBERS = st.one_of(st.floats(), st.integers(), st.sampled_from([0, 1, 0.1, 1e300, 1e-300]))


@settings(max_examples=300, deadline=None)
@given(
    field=st.sampled_from([field for field in FIELDS if field.kind == "number"]),
    text=st.one_of(
        st.text(alphabet="0123456789.eE+-; toby\tVAm", max_size=40),
        st.builds("{} to {} by {}".format, NUMBERS, NUMBERS, NUMBERS),
        st.builds("{} A; {}; {} mA".format, NUMBERS, NUMBERS, NUMBERS),
    ),
)
def test_a_cell_of_a_variant_stands_for_so_many_values_or_is_refused(field, text):
    try:
        choices = choices_of(field, text)
    except ArgumentError:
        return
    count = combinations_count({"x": choices})
    assert count >= 1
    assert {"x": combination({"x": choices}, count - 1)["x"]}.keys() == {"x"}


# --- CSV text


@settings(max_examples=500, deadline=None)
@given(
    value=st.one_of(
        st.text(),
        st.builds(str.__add__, st.sampled_from(FORMULA_STARTS), st.text()),
        st.builds("{}{}{}".format, st.sampled_from(("'", "''")), st.sampled_from(FORMULA_STARTS), st.text()),
        st.floats(),
        st.integers(),
        st.none(),
    )
)
def test_csv_text_is_no_formula_and_reads_back(value):
    """What is written is a number, or text that no spreadsheet runs; read again it is what it was, blanks apart."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerow([csv_text(value), "end"])
    (cell, _), *_ = csv.reader(io.StringIO(stream.getvalue()))
    if isinstance(value, str):
        assert not cell.startswith(FORMULA_STARTS)
        # Blanks of all kinds are one, and what no file can hold is marked.
        nothing = re.compile(r"[\s\uFFFD]|" + UNWRITABLE.pattern)
        assert nothing.sub("", unquoted(cell)) == nothing.sub("", value)
    elif cell:
        assert math.isclose(float(cell), value, rel_tol=1e-11)
