"""The verdict's key figures stand in the same rows whether or not anything was measured on the bench."""

from dataclasses import replace
from pathlib import Path

from ledcalc.evaluation.evaluate import evaluate
from ledcalc.workbook.reader import read_workbook
from ledcalc.workbook.results.pages import Facts, Lines
from ledcalc.workbook.results.verdict import verdict_page

EXAMPLE = Path(__file__).parents[2] / "workbooks" / "seedling-bench.xlsx"


def above_key_figures(results):
    blocks = list(verdict_page(results).blocks)
    place = next(n for n, block in enumerate(blocks) if isinstance(block, Facts) and block.heading == "Key figures")
    return [len(block.facts if isinstance(block, Facts) else block.lines) for block in blocks[: place + 1]], blocks


def test_key_figures_keep_their_rows():
    results = evaluate(read_workbook(EXAMPLE))
    with_it, blocks = above_key_figures(results)
    assert any(isinstance(block, Lines) and block.heading == "Measured on the bench" for block in blocks)
    bare, fewer = above_key_figures(replace(results, log_verdict=None, surveys=()))
    assert len(fewer) < len(blocks)
    assert bare == with_it
