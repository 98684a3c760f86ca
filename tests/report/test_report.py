"""The published report: what it says, and that nothing in it is fetched, run, or set on two scales."""

import base64
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from ledcalc.demo import seedling_bench
from ledcalc.errors import FileProblem
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.report import report_sections, write_report
from ledcalc.report.flow import _width, _wrapped
from ledcalc.report.html import html_of


@pytest.fixture(scope="module")
def results():
    return evaluate(seedling_bench())


@pytest.fixture(scope="module")
def html(results, tmp_path_factory):
    path = tmp_path_factory.mktemp("report") / "bench.html"
    write_report(results, path)
    return path.read_text(encoding="utf-8")


class Balance(HTMLParser):
    """Every tag that opens closes, in order."""

    VOID = ("meta", "br", "img")

    def __init__(self):
        super().__init__()
        self.open = []

    def handle_starttag(self, tag, _attrs):
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_html_is_balanced_and_whole(html):
    parser = Balance()
    parser.feed(html)
    assert parser.open == []
    assert html.startswith("<!DOCTYPE html>")


def test_nothing_is_fetched_and_nothing_runs(html):
    assert "<script" not in html
    assert "<link" not in html
    assert "http" not in html
    assert set(re.findall(r'src="(\w+):', html)) == {"data"}
    for data in re.findall(r"base64,([^\"]+)", html):
        assert base64.b64decode(data).startswith(b"\x89PNG")


def test_figures_are_those_of_the_evaluation(html, results):
    for value in (
        f"{results.light.statistics.mean:.0f}",
        f"{results.light.ac_efficacy_umol_per_j:.2f}",
        f"{results.operating.mains_power_w:.1f}",
    ):
        assert f'<td class="number">{value}</td>' in html
    assert results.stamp.ledcalc_version in html


def test_efficacies_name_their_basis(results):
    short = report_sections(results)[0].blocks[0]
    named = {fact.label: fact.remark for fact in short.facts if "fficacy" in fact.label}
    assert len(named) == 3
    assert all("/" in remark for remark in named.values())


def test_every_finding_and_every_gap_is_told(html, results):
    from html import escape

    for found in results.findings:
        assert escape(found.message) in html
    for text in results.not_checked:
        assert escape(text) in html


def test_text_of_a_user_is_never_markup(results):
    sections = report_sections(replace(results, fixture=replace(results.fixture, name="<b>&x")))
    text = html_of("<b>&x", sections)
    assert "<b>" not in text
    assert "&lt;b&gt;&amp;x" in text


def test_same_input_gives_the_same_bytes(results, tmp_path):
    for ending in ("html", "pdf"):
        first, second = tmp_path / f"1.{ending}", tmp_path / f"2.{ending}"
        write_report(results, first)
        write_report(results, second)
        assert first.read_bytes() == second.read_bytes()


def test_pdf_has_pages(results, tmp_path):
    path = tmp_path / "bench.pdf"
    write_report(results, path)
    data = path.read_bytes()
    assert data.startswith(b"%PDF")
    assert data.rstrip().endswith(b"%%EOF")
    assert 3 <= len(re.findall(rb"/Type /Page\b", data)) <= 12


def test_wrapped_lines_fit_and_lose_nothing():
    words = "a driver of 24 V feeds averyveryverylongcabletagwithoutaspace and others"
    lines = _wrapped(words, 60.0, 8.5, False)
    assert all(_width(line, 8.5, False) <= 60.0 for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")


def test_other_endings_and_places_are_refused(results, tmp_path):
    with pytest.raises(FileProblem, match=r"\.html or \.pdf"):
        write_report(results, tmp_path / "bench.docx")
    with pytest.raises(FileProblem, match="missing"):
        write_report(results, tmp_path / "missing" / "bench.html")


def test_command(tmp_path):
    out = tmp_path / "bench.html"
    made = subprocess.run(
        [sys.executable, "-m", "ledcalc", "report", "workbooks/seedling-bench.xlsx", "--out", str(out)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert made.stdout == f"wrote {out}\n"
    assert out.stat().st_size > 50_000
