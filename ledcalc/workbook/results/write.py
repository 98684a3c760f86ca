"""Writes result pages: a workbook, a folder of CSV files, or a lone table."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from textwrap import shorten
from typing import Any
from urllib.parse import quote

from ledcalc.errors import FileProblem
from ledcalc.results import Evaluation
from ledcalc.variants import VariantRow
from ledcalc.workbook.atomic import write_file, write_folder
from ledcalc.workbook.csv_text import csv_text
from ledcalc.workbook.looks import Formats, open_book
from ledcalc.workbook.results.ageing import ageing_page
from ledcalc.workbook.results.bench import bench_page, log_pages
from ledcalc.workbook.results.building import building_pages
from ledcalc.workbook.results.csv_rows import block_rows
from ledcalc.workbook.results.electrical import currents_page, load_page, wiring_page
from ledcalc.workbook.results.field_measured import field_measured_page
from ledcalc.workbook.results.heat import heat_page, warm_up_page
from ledcalc.workbook.results.light import heights_page, light_page
from ledcalc.workbook.results.light_plan import light_plan_page
from ledcalc.workbook.results.money import cost_page, hours_page
from ledcalc.workbook.results.pages import Image, Lines, Page, Shown
from ledcalc.workbook.results.picture import (
    PICTURE_IN_FOLDER,
    picture_asked_for,
    picture_path,
    refuse_foreign_picture,
    write_bytes,
)
from ledcalc.workbook.results.protection import mains_page, protection_page
from ledcalc.workbook.results.reasons import assumptions_page, findings_page, variants_page, workings_page
from ledcalc.workbook.results.selection import selection_page
from ledcalc.workbook.results.spectrum import spectrum_page
from ledcalc.workbook.results.verdict import verdict_page
from ledcalc.workbook.results.what_if import faults_page, tolerance_page
from ledcalc.workbook.results.xlsx import draw_pages
from ledcalc.workbook.texts import written_text

__all__ = ["footer_of", "footer_text", "pages_of", "write_pages", "write_results", "write_table"]

RESULTS_TITLE = "ledcalc results"
# Pages that some evaluations have and some do not.
NOT_ALWAYS = (
    "Ageing",
    "Bench",
    "Board selection",
    "Calibrated light",
    "Current log",
    "Cutting plan",
    "Faults",
    "Field measured",
    "Hours and tariff",
    "Layout advice",
    "Light plan",
    "Load curve",
    "Log over time",
    "Spectrum",
    "Tolerance",
    "Variants",
    "Warm-up",
)
# A longer name would run into the sheet's title in the middle of the footer.
LONGEST_NAME = 40
# A spreadsheet takes links of 2,079 characters; the sheet and cell come after this.
LONGEST_LINK = 1_900
# "#" would end the file's name early, and a "%" would be taken for the start of an escape.
ESCAPES = str.maketrans({character: quote(character) for character in '%# "<>[]`^{}'})


def pages_of(
    results: Evaluation, variants: Sequence[VariantRow] = (), picture: Image | Lines | None = None
) -> list[Page]:
    """Return the result sheets of an evaluation in their order; the picture goes on the light field's."""
    electrical: list[Callable[[Evaluation], Page | None]] = [
        currents_page,
        load_page,
        wiring_page,
        protection_page,
        mains_page,
        heat_page,
        warm_up_page,
        faults_page,
        tolerance_page,
        selection_page,
    ]
    light: list[Callable[[Evaluation], Page | None]] = [
        partial(light_page, picture=picture),
        heights_page,
        _layout_page,
        spectrum_page,
        field_measured_page,
        ageing_page,
        light_plan_page,
        cost_page,
        hours_page,
        bench_page,
    ]
    reasons = [findings_page, assumptions_page, workings_page]
    first, then, last = (
        [page for make in makers if (page := make(results)) is not None]
        for makers in ([verdict_page, *electrical], light, reasons)
    )
    made = [*first, *building_pages(results), *then, *log_pages(results), *last]
    if variants:
        made.insert(-len(reasons), variants_page(variants, results.fixture.site.currency))
    return made


def _layout_page(results: Evaluation) -> Page | None:
    if results.layout is None and all(place.group is None for place in results.fixture.positions):
        return None
    # The searches load where they are asked for.
    from ledcalc.workbook.results.layout import layout_page

    return layout_page(results)


def write_results(
    results: Evaluation,
    path: str | os.PathLike[str],
    *,
    input_path: str | os.PathLike[str] | None = None,
    variants: Sequence[VariantRow] = (),
    with_picture: bool | None = None,
) -> None:
    """Write the result sheets: a workbook for a name ending in .xlsx, else a folder of CSV files.

    Parameters
    ----------
    results : from ``evaluate``
    path : where to; earlier results there are replaced, whole or not at all
    input_path : the input workbook, for links from findings to its cells
    variants : evaluated rows of the Variants sheet
    with_picture : whether the light field is drawn as a picture too, on its sheet and as ``picture_path``; None: as the
        Fixture sheet says

    Raises
    ------
    FileProblem: the place cannot be written, or holds something that ledcalc did not write
    """
    picture = picture_asked_for(results, with_picture)
    beside = picture_path(Path(path)) if isinstance(picture, Image) and Path(path).suffix.lower() == ".xlsx" else None
    if beside is not None:
        refuse_foreign_picture(beside)
    pages = pages_of(results, variants, picture)
    write_pages(pages, path, footer=footer_of(results), input_path=input_path)
    if beside is not None and isinstance(picture, Image):
        png = picture.png
        write_file(beside, lambda temporary: write_bytes(temporary, png))


def write_pages(
    pages: Sequence[Page],
    path: str | os.PathLike[str],
    *,
    footer: str,
    input_path: str | os.PathLike[str] | None = None,
) -> None:
    """Write pages as result sheets.

    Parameters
    ----------
    pages : in their order
    path, input_path : as ``write_results``
    footer : at the foot of every printed page

    Raises
    ------
    FileProblem: as ``write_results``
    """
    target = Path(path)
    if target.suffix.lower() == ".xlsx":
        _refuse_foreign(target)
        link = _link_base(target, input_path)

        def fill(book: Any, formats: Formats) -> None:
            draw_pages(book, formats, pages, footer=footer, link_base=link)

        write_file(target, lambda temporary: open_book(temporary, fill, title=RESULTS_TITLE))
    else:
        _refuse_foreign_folder(target, [*(f"{page.title}.csv" for page in pages), PICTURE_IN_FOLDER])
        write_folder(target, lambda folder: _write_csv(folder, pages))


def footer_of(results: Evaluation) -> str:
    """Return what stands at the foot of every printed page."""
    return footer_text(results.fixture.name, results.stamp.ledcalc_version)


def footer_text(name: str, version: str) -> str:
    """Return what names a fixture and the version that its pages come from."""
    return f"{shorten(name, LONGEST_NAME, placeholder=' ...')}, ledcalc {version}"


def write_table(table: Any, path: str | os.PathLike[str]) -> None:
    """Write a pandas table as .csv or .xlsx.

    Raises
    ------
    FileProblem: another ending, or the place cannot be written
    """
    target = Path(path)
    rows = [list(table.columns), *table.astype(object).where(table.notna(), None).to_numpy().tolist()]
    if target.suffix.lower() == ".csv":
        write_file(target, lambda temporary: _csv_rows(temporary, rows))
    elif target.suffix.lower() == ".xlsx":
        _refuse_foreign(target)

        def fill(book: Any, formats: Formats) -> None:
            page = book.add_worksheet("Variants")
            for number, row in enumerate(rows):
                for column, value in enumerate(row):
                    look = formats.head if number == 0 else formats.line
                    if isinstance(value, str):
                        page.write_string(number, column, written_text(value), look)
                    elif value is not None:
                        page.write_number(number, column, value, look)
            page.set_column(0, len(rows[0]), 18)
            page.freeze_panes(1, 1)

        write_file(target, lambda temporary: open_book(temporary, fill, title=RESULTS_TITLE))
    else:
        raise FileProblem(f"{target}: give a name ending in .csv or .xlsx")


def _link_base(target: Path, input_path: str | os.PathLike[str] | None) -> str:
    """Return how a link starts that leads to the input workbook; empty where there is none to link to."""
    if input_path is None or Path(input_path).is_dir():
        return ""
    try:
        folder = os.path.dirname(os.path.realpath(target))
        relative = os.path.relpath(os.path.realpath(input_path), folder).translate(ESCAPES)
    except ValueError:  # on another drive: there is no relative way to it
        return ""
    return f"external:{relative}#" if len(relative) <= LONGEST_LINK else ""


def _refuse_foreign(target: Path) -> None:
    """Refuse to replace a workbook that does not carry the title of ledcalc's own results."""
    if not os.path.exists(target):
        return
    import zipfile

    try:
        with zipfile.ZipFile(target) as package:
            own = RESULTS_TITLE.encode() in package.read("docProps/core.xml")
    except (OSError, KeyError, zipfile.BadZipFile):
        own = False
    if not own:
        raise FileProblem(f"{target}: is there already and was not written as ledcalc results; choose another name")


def _refuse_foreign_folder(target: Path, names: Sequence[str]) -> None:
    if os.path.isdir(target):
        own = {*names, *(f"{title}.csv" for title in NOT_ALWAYS)}
        foreign = sorted(entry.name for entry in target.iterdir() if entry.name not in own)
        if foreign:
            raise FileProblem(f"{target}: holds {foreign[0]}, which is none of the result files; choose another name")


def _write_csv(folder: Path, pages: Sequence[Page]) -> None:
    for page in pages:
        rows: list[list[Shown]] = [[page.title], [page.lead]]
        for block in page.blocks:
            rows += block_rows(block)
            if isinstance(block, Image):
                write_bytes(folder / PICTURE_IN_FOLDER, block.png)
        _csv_rows(folder / f"{page.title}.csv", rows)


def _csv_rows(path: Path, rows: Sequence[Sequence[Shown]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows([csv_text(value) for value in row] for row in rows)
