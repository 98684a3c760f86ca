"""Result sheets as they stand beside input sheets in one workbook: under titles of their own, links within the file."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from ledcalc.errors import FileProblem
from ledcalc.results import Evaluation
from ledcalc.variants import VariantRow
from ledcalc.workbook.looks import Formats, open_book
from ledcalc.workbook.package import OWN_NAME, RESULT_MARK
from ledcalc.workbook.results.pages import Image, Lines, Page
from ledcalc.workbook.results.write import footer_of, pages_of
from ledcalc.workbook.results.xlsx import draw_pages

__all__ = ["drawn", "host_pages", "sheets_for_host"]

LONGEST_TITLE = 31
# No user has renamed any.
AS_MADE: Mapping[str, str] = {}


def sheets_for_host(
    results: Evaluation,
    variants: Sequence[VariantRow] = (),
    picture: Image | Lines | None = None,
    titles: Mapping[str, str] = AS_MADE,
) -> bytes:
    """Return a workbook of result sheets that are to go into the workbook of the inputs.

    Parameters
    ----------
    results, variants, picture : as evaluated
    titles : what the user calls result sheets that are there already, by the titles of their pages

    Raises
    ------
    FileProblem: a title that the user gave cannot be written
    """
    return drawn(host_pages(results, variants, picture, titles), footer_of(results))


def host_pages(
    results: Evaluation,
    variants: Sequence[VariantRow] = (),
    picture: Image | Lines | None = None,
    titles: Mapping[str, str] = AS_MADE,
) -> list[Page]:
    """Return the result pages under the titles they bear beside input sheets, those of the user's first."""
    for title in titles.values():
        if len(title) > LONGEST_TITLE or "!" in title:
            raise FileProblem(
                f"the result sheet that you called {title!r} cannot be made anew under that title; rename it: at most "
                f"{LONGEST_TITLE} characters, no exclamation mark"
            )
    pages = pages_of(results, variants, picture)
    return [replace(page, sheet_title=titles.get(page.title, f"{page.title}{RESULT_MARK}")) for page in pages]


def drawn(pages: Sequence[Page], footer: str) -> bytes:
    """Return pages as a workbook whose links lead to cells of the file that they are put into."""

    def fill(book: Any, formats: Formats) -> None:
        draw_pages(book, formats, pages, footer=footer, link_base="internal:")
        for page in pages:
            book.define_name(f"'{page.shown_title}'!{OWN_NAME}", f'="{page.title}"')

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "results.xlsx"
        open_book(path, fill, title="")
        return path.read_bytes()
