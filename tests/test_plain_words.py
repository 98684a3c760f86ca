"""Words that a builder reads: which board drifts, which meters fit, what is not known."""

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.evaluation.log_compared import comparisons_of
from ledcalc.fixture import Meter
from ledcalc.workbook.results.pages import Facts
from ledcalc.workbook.results.protection import mains_page

sys.path.insert(0, str(Path(__file__).parent / "checks"))
from log_cases import RAMP, logged


def test_drifting_names_the_boards(bench_results):
    found = lc.evaluate(logged(bench_results, change=0.03 * RAMP)).log_verdict
    assert found.verdict == "drifting"
    assert found.sentences[0] == "drifting: B1"
    assert "drifting" not in lc.evaluate(logged(bench_results)).log_verdict.sentences[0]


def test_no_meter_and_several_meters_are_told_apart(bench_results):
    fixture = logged(bench_results)

    def verdict(*probes):
        found = comparisons_of(lc.evaluate(dataclasses.replace(fixture, meters=(*fixture.meters, *probes))))
        return next(each.verdict for each in found if each.quantity.startswith("sink"))

    one = Meter(tag="T1", quantity="temperature", accuracy_fraction=0.0, accuracy_digits_count=10, resolution=0.1)
    assert verdict() == "no meter listed: shown, not judged"
    assert verdict(one, dataclasses.replace(one, tag="T2")) == (
        "several temperature meters are listed: shown, not judged"
    )
    assert "chi-square" in verdict(one)


@pytest.mark.parametrize(
    ("log", "field", "fits"),
    [
        ("current_log", "meter", "Clamp 1"),
        ("supply_log", "power_meter", "Plug meter"),
        ("light_readings", "meter", "Sensor 1"),
    ],
)
def test_only_meters_of_the_quantity_are_offered(bench_results, log, field, fits):
    fixture = logged(bench_results)
    rows = getattr(fixture, log)
    wrong = dataclasses.replace(fixture, **{log: (dataclasses.replace(rows[0], **{field: "Clump 1"}), *rows[1:])})
    with pytest.raises(lc.InputErrors) as refused:
        lc.evaluate(wrong)
    (problem,) = refused.value.problems
    assert problem.allowed == fits


def test_drivers_that_may_switch_on_together_have_a_remark_that_fits(bench_results):
    def fact(results):
        blocks = mains_page(results).blocks
        facts = [one for block in blocks if isinstance(block, Facts) for one in block.facts]
        return next(one for one in facts if one.label == "Drivers that may switch on together")

    (driver,) = bench_results.fixture.drivers
    changed = {
        known: dataclasses.replace(driver, inrush_a=50.0 if known else None, inrush_ms=0.3 if known else None)
        for known in (True, False)
    }
    of = {
        known: fact(lc.evaluate(dataclasses.replace(bench_results.fixture, drivers=(model,))))
        for known, model in changed.items()
    }
    assert np.isfinite(of[True].value)
    assert of[True].remark.startswith("a cautious reading")
    assert (of[False].value, of[False].remark) == ("not known", "see Not known below")
