"""Light as it was read against what the site asks for: which surveys count, and where it is told."""

import dataclasses

import pytest

import ledcalc as lc
from ledcalc.checks.measured_light import surveys_as_it_runs
from ledcalc.fixture import SurveyCondition
from ledcalc.report import report_sections
from ledcalc.workbook.results.pages import Facts
from ledcalc.workbook.results.write import pages_of

CODE = "measured-light-off-target"


@pytest.fixture(scope="module")
def short(bench):
    """The example with twice its light wanted."""
    return dataclasses.replace(
        bench,
        site=dataclasses.replace(
            bench.site, target_dli_low_mol_m2_d=None, target_dli_high_mol_m2_d=None, target_ppfd_umol_m2_s=380.0
        ),
    )


def counted(fixture):
    results = lc.evaluate(fixture)
    surveys = surveys_as_it_runs(fixture, results)
    assert len([one for one in results.findings if one.code == CODE]) == len(surveys)
    return surveys


def test_the_finding_names_mean_target_and_setting(bench, bench_results):
    site = dataclasses.replace(bench.site, target_dli_low_mol_m2_d=None, target_ppfd_umol_m2_s=225.0)
    (driver,) = bench.drivers
    wide = (dataclasses.replace(driver, current_high_a=10.0, power_limit_w=500.0),)
    (found,) = [
        one for one in lc.evaluate(dataclasses.replace(bench, site=site, drivers=wide)).findings if one.code == CODE
    ]
    mean = bench_results.surveys[0].judgement.kept_means.fitted
    assert mean.text("umol m-2 s-1") in found.message
    assert "225 umol m-2 s-1 is wanted" in found.message
    # Light falls behind current a little, so the setting rises by more than the light has to.
    setting = float(found.remedy.removeprefix("set the driver's current to ").split(" A")[0])
    assert 1.0 < setting / bench.current_setting_a / (225.0 / mean.value) < 1.1


@pytest.mark.parametrize(
    ("taken", "counts"),
    [
        ({}, True),
        ({"warm_up_h": 0.6}, True),
        ({"warm_up_h": 0.4}, False),
        ({"current_a": 4.33}, True),
        ({"current_a": 4.2}, False),
    ],
)
def test_only_what_was_read_warm_and_at_the_setting_counts(short, taken, counts):
    name = short.light_readings[0].survey
    fixture = dataclasses.replace(short, surveys=(SurveyCondition(survey=name, **taken),))
    assert short.current_setting_a == 4.4
    assert bool(counted(fixture)) is counts


def test_neither_another_height_nor_an_unknown_sensor_nor_an_older_date_counts(short):
    def with_rows(**changes):
        rows = tuple(dataclasses.replace(row, **changes) for row in short.light_readings)
        return dataclasses.replace(short, light_readings=rows)

    assert len(counted(short)) == 1
    assert not counted(with_rows(height_m=short.height_m + 0.05))
    assert not counted(with_rows(meter=None))
    older = tuple(dataclasses.replace(row, survey="old", taken_on="2026-10-01") for row in short.light_readings)
    (found,) = counted(dataclasses.replace(short, light_readings=(*older, *short.light_readings)))
    assert found.survey == "first map"


def facts_of(blocks):
    return [fact for block in blocks if isinstance(block, Facts) for fact in block.facts]


def test_verdict_names_the_target_beside_the_mean(short, bench_results):
    def remark(results):
        page = next(page for page in pages_of(results) if page.title == "Verdict")
        return next(fact.remark for fact in facts_of(page.blocks) if fact.label == "Mean PPFD on the crop")

    assert remark(lc.evaluate(short)).startswith("wanted: 380; ")
    assert bench_results.light.basis in remark(bench_results)
    assert bench_results.light.basis in remark(lc.evaluate(short))


def test_the_report_in_short_shows_the_measured_mean_beside_the_predicted(bench, bench_results):
    def labels(results):
        return [fact.label for fact in facts_of(report_sections(results)[0].blocks)]

    assert labels(bench_results)[:2] == ["Mean PPFD on the crop", "Mean PPFD on the crop, measured"]
    facts = facts_of(report_sections(bench_results)[0].blocks)
    mean = bench_results.surveys[0].judgement.kept_means.fitted
    assert facts[1].value == pytest.approx(mean.value)
    assert facts[1].remark.startswith(f"+- {mean.half_width():.2g}; first map")
    assert labels(lc.evaluate(dataclasses.replace(bench, light_readings=())))[1] == "min/mean"
