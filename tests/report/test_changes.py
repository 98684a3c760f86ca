"""What a report tells of the version before: every input, figure and finding that differs, and light read again."""

from dataclasses import replace

import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.demo import seedling_bench
from ledcalc.report import report_sections
from ledcalc.report.changes import changes_since
from ledcalc.workbook.results.pages import Table
from ledcalc.workbook.template import write_inputs

CHANGES = {"fixture.current_setting_a": 3.0, "fixture.height_m": 0.38}


@pytest.fixture(scope="module")
def earlier():
    return lc.evaluate(seedling_bench())


@pytest.fixture(scope="module")
def now():
    return lc.evaluate(lc.with_values(seedling_bench(), CHANGES))


def tables(blocks):
    return {block.heading: block.rows for block in blocks if isinstance(block, Table)}


def test_every_input_and_figure_that_differs_is_told(earlier, now):
    told = tables(changes_since(earlier, now))
    assert told["Inputs that differ"] == (
        ("Fixture: Current setting", "", "4.4 A", "3 A"),
        ("Fixture: Height over canopy", "", "0.28 m", "0.38 m"),
    )
    power = next(row for row in told["Figures that differ"] if row[0] == "Mains power")
    assert power[1:4] == (
        "W",
        pytest.approx(earlier.operating.mains_power_w, rel=1e-3),
        pytest.approx(now.operating.mains_power_w, rel=1e-3),
    )
    assert len(told["Figures that differ"]) > 20
    codes = {finding.code for finding in now.findings} ^ {finding.code for finding in earlier.findings}
    assert codes
    assert codes <= {row[0] for row in told["Findings that differ"]}


def test_light_read_at_the_same_height_is_set_side_by_side(earlier):
    brighter = replace(
        seedling_bench(),
        light_readings=tuple(
            replace(row, ppfd_umol_m2_s=1.1 * row.ppfd_umol_m2_s) for row in seedling_bench().light_readings
        ),
    )
    rows = tables(changes_since(earlier, lc.evaluate(brighter)))["Light read at the same heights"]
    assert rows
    assert all(row[3] == pytest.approx(1.1 * row[2]) for row in rows)


def test_light_read_at_other_heights_is_not(earlier):
    other = replace(
        seedling_bench(), light_readings=tuple(replace(row, height_m=0.5) for row in seedling_bench().light_readings)
    )
    assert "Light read at the same heights" not in tables(changes_since(earlier, lc.evaluate(other)))


def test_a_report_without_a_version_before_says_nothing_of_it(now):
    assert not any("last version" in section.heading for section in report_sections(now))


def test_command(tmp_path, capsys, now):
    write_inputs(seedling_bench(), tmp_path / "first.xlsx")
    write_inputs(now.fixture, tmp_path / "second.xlsx")
    out = tmp_path / "second.html"
    assert (
        main(["report", str(tmp_path / "second.xlsx"), "--out", str(out), "--since", str(tmp_path / "first.xlsx")]) == 0
    )
    capsys.readouterr()
    text = out.read_text(encoding="utf-8")
    assert "Changed since the last version" in text
    assert "first.xlsx against this one." in text
    assert "<td>4.4 A</td>" in text
