"""The reference pages are what the schema, the rules and the tables make of them now."""

import pytest

from ledcalc.docs.reference import FOLDER, PAGES


@pytest.mark.parametrize("name", PAGES)
def test_reference_page_is_up_to_date(name):
    """If this fails: python -m ledcalc.docs.reference."""
    assert (FOLDER / name).read_text(encoding="utf-8") == PAGES[name]()
