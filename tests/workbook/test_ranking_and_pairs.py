"""Result sheets that choose: variants ranked with filters and chart, two versions side by side; their commands."""

import csv
import dataclasses
import json

import openpyxl
import pandas as pd
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.variants import Variant
from ledcalc.variants.compare import compare_fixtures
from ledcalc.variants.full_rows import full_rows
from ledcalc.variants.ranking import frontier
from ledcalc.workbook.results.pages import Lines, PointChart, Table
from ledcalc.workbook.results.ranking import frontier_page, ranking_page
from ledcalc.workbook.results.side_by_side import side_by_side_pages
from ledcalc.workbook.template import write_inputs

SETTINGS = [Variant(name=f"{amps} A", changes={"fixture.current_setting_a": amps}) for amps in (3.0, 3.6, 4.8)]
HIGH = Variant(name="high", changes={"fixture.height_m": 0.5})
HOT = Variant(name="hot", changes={"site.air_temperature_c": 60.0, "fixture.current_setting_a": 9.0})
WRONG = Variant(name="wrong", changes={"fixture.height_m": -1})
BY = {"energy_cost": "lowest", "ppfd_mean_umol_m2_s": "highest"}


@pytest.fixture(scope="module")
def rows(bench):
    return list(full_rows(bench, [*SETTINGS, HIGH, HOT, WRONG]))


@pytest.fixture
def book(bench, tmp_path):
    write_inputs(bench, tmp_path / "bench.xlsx", variants=[*SETTINGS, HIGH])
    return tmp_path / "bench.xlsx"


def test_full_rows_are_those_of_evaluate_and_more(bench, rows):
    [plain] = lc.evaluate_many(bench, {"4.8 A": SETTINGS[2].changes}).to_dict("records")
    own = rows[2].figures
    for figure in ("mains_power_w", "ppfd_mean_umol_m2_s", "energy_cost"):
        assert own[figure] == pytest.approx(plain[figure], rel=1e-12)
    assert {"owning_cost", "purchase_cost", "least_margin_c"} <= set(own)
    assert rows[5].reason.startswith("fixture.height_m is -1")


def test_the_ranking_says_why(rows):
    found = frontier(rows, BY)
    page = ranking_page(found, [row.figures for row in rows], [row.name for row in rows], "EUR")
    [table] = page.blocks
    assert isinstance(table, Table)
    assert [row[0] for row in table.rows] == [1, 2, 3, 4, None, None]
    assert [row[1] for row in table.rows[:3]] == ["3.0 A", "3.6 A", "4.8 A"]
    by_name = {row[1]: row for row in table.rows}
    # Hung higher at the base's current: as dear as the base, with less light than 3.6 A gives.
    assert by_name["high"][-1].startswith("beaten by 3.6 A: ")
    assert by_name["hot"][-1].startswith("not ranked: do not energise: ")
    assert by_name["wrong"][-1].startswith("not ranked: fixture.height_m is -1")
    assert page.lead.startswith("4 of 6 variants ranked by energy cost a year (the lower the better)")


def test_the_chart_parts_the_frontier_from_the_beaten(rows):
    found = frontier(rows, BY)
    table, chart = frontier_page(found, [row.figures for row in rows], "EUR").blocks
    assert isinstance(chart, PointChart)
    assert chart.is_joined
    costs = [row[1] for row in table.rows if row[2] is not None]
    assert costs == sorted(costs)
    assert len(costs) == 3
    assert [row[0] for row in table.rows if row[3] is not None] == ["high"]
    assert chart.least[0] <= min(row[1] for row in table.rows)
    assert frontier_page(frontier(rows, {"energy_cost": "lowest"}), [row.figures for row in rows], "") is None
    three = frontier(rows, {**BY, "min_over_mean_fraction": "highest"})
    assert not frontier_page(three, [row.figures for row in rows], "EUR").blocks[1].is_joined


def test_two_variants_of_one_name_keep_their_own_figures():
    table = pd.DataFrame(
        {
            "variant": ["a", "a"],
            "energy_cost": [60.0, 50.0],
            "reason": [None, None],
            "stop": [0, 0],
            "findings": ["", ""],
        }
    )
    found = frontier(table, {"energy_cost": "lowest"})
    [block] = ranking_page(found, table.to_dict("records"), [], "EUR").blocks
    assert [(row[0], row[2]) for row in block.rows] == [(1, 50.0), (2, 60.0)]


def test_rank_writes_a_workbook_with_native_filters_and_a_chart(book, tmp_path, capsys):
    out = tmp_path / "ranking.xlsx"
    assert (
        main(
            ["rank", str(book), "--by", "energy_cost:lowest", "--by", "ppfd_mean_umol_m2_s:highest", "--out", str(out)]
        )
        == 0
    )
    assert "5 variants" in capsys.readouterr().out
    sheet = openpyxl.load_workbook(out)["Ranking"]
    first, last = sheet.auto_filter.ref.split(":")
    # The filters' row is the last of the header, so that sorting leaves it where it is.
    assert sheet[first].value in (None, "")
    assert sheet.cell(sheet[first].row + 1, 1).value == 1
    assert sheet[last].row == sheet[first].row + 5
    assert len(openpyxl.load_workbook(out)["Frontier"]._charts) == 1


def test_rank_takes_a_table_of_results_and_a_folder(book, tmp_path, capsys):
    table, out = tmp_path / "table.csv", tmp_path / "ranking"
    assert main(["variants", str(book), "--out", str(table)]) == 0
    assert main(["rank", str(table), "--out", str(out)]) == 0
    with (out / "Ranking.csv").open(encoding="utf-8") as stream:
        text = list(csv.reader(stream))
    assert text[0] == ["Ranking"]
    assert {row[1] for row in text[5:]} == {"3.0 A", "3.6 A", "4.8 A", "high"}
    capsys.readouterr()
    assert main(["rank", str(table), "--by", "energy_cots:lowest"]) == 2
    assert "nearest: energy_cost" in capsys.readouterr().err
    assert main(["rank", str(table), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["best"]


def test_side_by_side_tells_hard_against_soft_on_a_page(bench):
    def with_boards(columns, amps):
        pattern = dataclasses.replace(bench.cables[0], sleeve=None, gland=None)
        cables = tuple(dataclasses.replace(pattern, tag=f"W{n}", to_node=f"B{n}") for n in range(1, 2 * columns + 1))
        changed = {"build": dataclasses.replace(bench.build, rail_length_m=1.35)}
        changed |= {"columns_count": columns, "column_pitch_m": max(1.2 / columns, 0.25), "current_setting_a": amps}
        return lc.evaluate(
            dataclasses.replace(bench, cables=cables, current_log=(), light_readings=(), origin=None, **changed)
        )

    found = compare_fixtures(with_boards(3, 4.68), with_boards(5, 4.8), one_name="six hard", other_name="ten soft")
    page, others = side_by_side_pages(found)
    verdict, first, paid = page.blocks[:3]
    assert isinstance(verdict, Lines)
    assert verdict.lines[0].startswith("Six hard wins by ")
    assert "To act on at six hard: one-lost-over-current" in verdict.lines[0]
    said = {row[0]: row for row in first.rows}
    assert said["Boards"][2:4] == (6.0, 10.0)
    assert said["Highest board current over its rating"][2:4] == (97.5, 60.0)
    for figure in ("Photon efficacy on the crop", "Hottest board", "Bought, in all", "Running it, a year"):
        assert figure in said
    assert said["Hottest board"][4] == ""
    assert {row[0] for row in others.blocks[0].rows}.isdisjoint(said)
    assert any(line.startswith("For the same light: ten soft costs 62.80") for line in paid.lines)


def test_pair_of_variants_and_of_workbooks(book, bench, tmp_path, capsys):
    out = tmp_path / "pair.xlsx"
    assert main(["pair", str(book), "--versions", "3.0 A", "4.8 A", "--out", str(out)]) == 0
    assert openpyxl.load_workbook(out).sheetnames == ["Side by side", "Other figures"]
    assert main(["pair", str(book), "--versions", "high", "--json"]) == 0
    told = json.loads(capsys.readouterr().out.splitlines()[-1])
    assert (told["one"], told["other"]) == ("base", "high")
    assert [entry["field"] for entry in told["inputs"]] == ["Height over canopy"]
    write_inputs(dataclasses.replace(bench, height_m=0.5), tmp_path / "other.xlsx")
    assert main(["pair", str(book), str(tmp_path / "other.xlsx")]) == 0
    assert "(bench) wins" in capsys.readouterr().out
    assert main(["pair", str(book), "--versions", "nobody"]) == 2
    assert "no row of the Variants sheet has that name" in capsys.readouterr().err
    assert main(["pair", str(book)]) == 2


def test_find_writes_the_winner_as_filled_inputs(book, tmp_path, capsys):
    out = tmp_path / "winner.xlsx"
    asked = ["find", str(book), "--heights", "0.24", "0.3", "--boards", "6", "8", "--min-over-mean", "0.5"]
    assert main([*asked, "--dli", "8", "--out", str(out)]) == 0
    text = capsys.readouterr().out
    assert "1. 2 x 3 Bench bar 250" in text
    assert "held by " in text
    results = lc.evaluate(lc.read_workbook(out))
    assert results.light.dli_mean_mol_m2_d == pytest.approx(8.0, rel=0.01)
    assert results.light.dli_mean_mol_m2_d >= 8.0
    assert main([*asked, "--out", str(out)]) == 2
    assert main([*asked, "--ppfd", "2000", "--json"]) == 1
    told = json.loads(capsys.readouterr().out.splitlines()[-1])
    assert told["best"] == []
    assert {one["reason"] for one in told["refused"]} == {"boards give too little light"}
    assert main([*asked, "--least", "money"]) == 2
