"""Writes a report to a file, whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.report.contents import Section, report_sections
from ledcalc.report.html import html_of
from ledcalc.report.pdf import write_pdf
from ledcalc.results import Evaluation
from ledcalc.workbook.atomic import write_file

__all__ = ["write_report"]

ENDINGS = (".html", ".pdf")


def write_report(results: Evaluation, path: str | os.PathLike[str], *, earlier: Evaluation | None = None) -> None:
    """Write a report of one fixture as HTML or PDF.

    Parameters
    ----------
    results : from ``evaluate``
    path : a name ending in .html or .pdf; a file there is replaced, whole or not at all
    earlier : the version before, whose differences the report tells

    Raises
    ------
    FileProblem: another ending, or the place cannot be written

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> write_report(evaluate(seedling_bench()), "report.txt")
    Traceback (most recent call last):
    ...
    ledcalc.errors.FileProblem: report.txt: give a name ending in .html or .pdf
    """
    target = Path(path)
    ending = target.suffix.lower()
    if ending not in ENDINGS:
        raise FileProblem(f"{target}: give a name ending in {' or '.join(ENDINGS)}")
    title, sections = results.fixture.name, report_sections(results, earlier)
    if ending == ".html":
        write_file(target, lambda temporary: _write_html(temporary, title, sections))
    else:
        write_file(target, lambda temporary: _write_pdf(temporary, title, sections))


def _write_pdf(path: Path, title: str, sections: tuple[Section, ...]) -> None:
    with path.open("wb") as stream:
        write_pdf(stream, title, sections)


def _write_html(path: Path, title: str, sections: tuple[Section, ...]) -> None:
    path.write_text(html_of(title, sections), encoding="utf-8")
