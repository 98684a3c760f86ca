"""The example evaluated and drawn once, to be put into many files."""

import hashlib
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from ledcalc.evaluation.evaluate import evaluate
from ledcalc.workbook.patch import into, put_results_into
from ledcalc.workbook.reader import fixture_of, read_inputs
from ledcalc.workbook.results.host import drawn, host_pages, sheets_for_host
from ledcalc.workbook.results.write import footer_of

sys.path.insert(0, str(Path(__file__).parent))
import books


@pytest.fixture(scope="session")
def evaluated():
    return evaluate(fixture_of(read_inputs(books.EXAMPLE)))


@pytest.fixture(scope="session")
def every_page(evaluated):
    return evaluated, sheets_for_host(evaluated)


@pytest.fixture(scope="session")
def first_pages(evaluated):
    """Give what every kind of page part needs, but few pages: LibreOffice takes seconds for them all."""
    return evaluated, drawn(host_pages(evaluated)[:3], footer_of(evaluated))


def put(results, sheets, path, monkeypatch):
    """Put pages that are drawn already into a workbook."""
    monkeypatch.setattr(into, "sheets_for_host", lambda *_: sheets)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    put_results_into(replace(results, stamp=replace(results.stamp, input_sha256=digest)), path)


@pytest.fixture
def patch_into(every_page, monkeypatch):
    return lambda path: put(*every_page, path, monkeypatch)


@pytest.fixture
def patch_few_into(first_pages, monkeypatch):
    return lambda path: put(*first_pages, path, monkeypatch)
