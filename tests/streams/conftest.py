"""What the tests of this folder share."""

import pytest

from ledcalc.cli import main
from ledcalc.streams import source as source_module


@pytest.fixture(scope="session")
def book(tmp_path_factory):
    path = tmp_path_factory.mktemp("streams") / "bench.xlsx"
    assert main(["blank", str(path), "--example"]) == 0
    return path


@pytest.fixture
def small_blocks(monkeypatch):
    """Blocks of 16 variants."""
    monkeypatch.setattr(source_module, "rows_at_a_time", lambda _: 16)
