"""The example evaluated and drawn once, to be put into many files."""

import hashlib
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from ledcalc.evaluate import evaluate
from ledcalc.workbook.package import RESULT_MARK
from ledcalc.workbook.patch import into, put_results_into
from ledcalc.workbook.reader import fixture_of, read_inputs
from ledcalc.workbook.results.write import footer_of, pages_of

sys.path.insert(0, str(Path(__file__).parent))
import books


@pytest.fixture(scope="session")
def evaluated():
    results = evaluate(fixture_of(read_inputs(books.EXAMPLE)))
    return results, [replace(page, title=f"{page.title}{RESULT_MARK}") for page in pages_of(results)]


@pytest.fixture(scope="session")
def every_page(evaluated):
    results, pages = evaluated
    return results, into._drawn(pages, footer_of(results))


@pytest.fixture(scope="session")
def first_pages(evaluated):
    """Give what every kind of page part needs, but few pages: LibreOffice takes seconds for them all."""
    results, pages = evaluated
    return results, into._drawn(pages[:3], footer_of(results))


def put(results, drawn, path, monkeypatch):
    """Put pages that are drawn already into a workbook."""
    monkeypatch.setattr(into, "_drawn", lambda *_: drawn)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    put_results_into(replace(results, stamp=replace(results.stamp, input_sha256=digest)), path)


@pytest.fixture
def patch_into(every_page, monkeypatch):
    return lambda path: put(*every_page, path, monkeypatch)


@pytest.fixture
def patch_few_into(first_pages, monkeypatch):
    return lambda path: put(*first_pages, path, monkeypatch)
