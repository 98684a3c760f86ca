"""Bad values: what was probably meant, names in other letters, the path that explain takes, what is checked later."""

import json

import pytest

from ledcalc.cli import main
from ledcalc.errors import ArgumentError, InputErrors
from ledcalc.explain import explain
from ledcalc.schema import Refusal, names_as_listed, parse, sheet, sheets
from ledcalc.workbook.reader import read_inputs, read_workbook

HEIGHT = sheet("fixture").field("height_m")
EFFICIENCY = sheet("drivers").field("efficiency_fraction")
RESOLUTION = sheet("meters").field("resolution")
INSULATION = sheet("cables").field("insulation_c")


@pytest.mark.parametrize(
    ("field", "typed", "unit", "hint"),
    [
        (EFFICIENCY, 0.93, "", "0.93 of 1 would be 93 %: write 93 %"),
        (EFFICIENCY, 93, "1", "93 % would be allowed: write 93 %"),
        (HEIGHT, 35, "m", "35 cm, 35 mm or 35 in would be allowed: write the unit that is meant"),
        (sheet("fixture").field("current_setting_a"), 700, "A", "700 mA would be allowed: write 700 mA"),
        (INSULATION, 105, "", "for a higher rating use 90: the ampacity tables end there"),
        (INSULATION, 20, "", ""),
        (HEIGHT, -1, "m", ""),
        (HEIGHT, 1e99, "m", ""),
        (RESOLUTION, "0.1 W", "", "write 0.1, without the unit"),
        (RESOLUTION, "1 mA", "", "write 0.001, in A, without the unit"),
        (RESOLUTION, "0.1 degF", "", "write the number in degC, without the unit"),
        (RESOLUTION, "0.1 clicks", "", "write 0.1, without the unit"),
        (sheet("fixture").field("rows_count"), "2 pcs", "", "write 2, without the unit"),
    ],
)
def test_a_refusal_says_what_was_probably_meant(field, typed, unit, hint):
    refused = parse(field, typed, unit)
    assert isinstance(refused, Refusal)
    assert refused.remedy == hint


def test_what_a_hint_says_to_write_is_taken():
    assert parse(EFFICIENCY, "93 %") == pytest.approx(0.93)
    assert parse(HEIGHT, "35 cm") == pytest.approx(0.35)
    assert parse(INSULATION, 90) == 90.0
    assert parse(RESOLUTION, 0.001) == 0.001


def test_every_field_with_units_refuses_with_an_honest_hint():
    for part in sheets():
        for field in part.fields:
            for unit in field.units:
                refused = parse(field, 1e5, unit)
                if isinstance(refused, Refusal) and ": write " in refused.remedy:
                    words = refused.remedy.rpartition(": write ")[2]
                    if "unit that is meant" not in words:
                        assert not isinstance(parse(field, words), Refusal), (field.path, words)


def changed(path, values):
    import openpyxl

    book = openpyxl.load_workbook("workbooks/seedling-bench.xlsx")
    for place, value in values.items():
        title, cell = place.split("!")
        book[title][cell] = value
    book.save(path)
    return path


def cell_of(path):
    return read_inputs("workbooks/seedling-bench.xlsx").origin.cells[path]


def spoiled(tmp_path, values):
    return changed(tmp_path / "bench.xlsx", {cell_of(path): value for path, value in values.items()})


def test_names_in_other_letters_are_understood(tmp_path):
    own = read_workbook("workbooks/seedling-bench.xlsx")
    names = {
        "cables[1].to_node": own.cables[1].to_node.lower(),
        "fixture.driver": own.driver.upper(),
        "fixture.board": own.board.upper(),
    }
    read = read_workbook(spoiled(tmp_path, names))
    assert (read.cables, read.driver, read.board) == (own.cables, own.driver, own.board)


@pytest.mark.parametrize(
    ("records", "found"),
    [
        ({"meters": [{"tag": "Clamp"}], "current_log": [{"meter": "CLAMP"}]}, [("current_log", 0, "meter", "Clamp")]),
        ({"meters": [{"tag": "Clamp"}], "current_log": [{"meter": "Clamp"}]}, []),
        ({"meters": [{"tag": "Clamp"}], "current_log": [{"meter": "Clump"}]}, []),
        # Two that differ in case only: neither is meant more than the other.
        ({"meters": [{"tag": "Clamp"}, {"tag": "clamp"}], "current_log": [{"meter": "CLAMP"}]}, []),
        ({"fixture": [{"columns_count": 2}], "cables": [{"to_node": "b2"}]}, [("cables", 0, "to_node", "B2")]),
        (
            {"fixture": [{"columns_count": 2, "arrangement": "single wires"}], "cables": [{"to_node": "b2 -"}]},
            [("cables", 0, "to_node", "B2 -")],
        ),
        # A joint may be called like a board.
        ({"fixture": [{"columns_count": 2, "arrangement": "single wires"}], "cables": [{"to_node": "b2"}]}, []),
    ],
)
def test_only_one_match_is_taken(records, found):
    assert list(names_as_listed(records)) == found


def test_a_bad_cell_names_the_path_that_explain_takes(tmp_path):
    with pytest.raises(InputErrors) as refused:
        read_workbook(spoiled(tmp_path, {"fixture.height_m": "high", "cables[1].to_node": "B22"}))
    assert {problem.path for problem in refused.value.problems} == {"fixture.height_m", "cables.to_node"}
    assert "(Height over canopy, fixture.height_m): text" in str(refused.value)
    for problem in refused.value.problems:
        assert problem.path in explain(problem.path)


def test_json_has_the_path(tmp_path, capsys):
    assert main(["check", str(spoiled(tmp_path, {"fixture.height_m": 35})), "--json"]) == 2
    problem = json.loads(capsys.readouterr().out)["problems"][0]
    assert problem["path"] == "fixture.height_m"
    assert "35 cm" in problem["remedy"]


def test_what_is_checked_later_is_said(tmp_path):
    later = "cells that depend on a bad cell are checked after it is mended"
    for path, value, is_said in (("fixture.height_m", "high", True), ("cables[1].to_node", "B22", False)):
        with pytest.raises(InputErrors) as refused:
            read_workbook(spoiled(tmp_path, {path: value}))
        assert (later in str(refused.value)) == is_said


def test_explain_by_label():
    assert explain("how it hangs") == explain("  How  it hangs ")
    assert "fixture.height_m" in explain("Height over canopy")
    several = explain("driver model")
    assert "fields have this label" in several
    for part in sheets():
        for field in part.fields:
            assert (field.path in several) == (field.label == "Driver model")


def test_explain_finds_every_label():
    titles = {part.title.casefold() for part in sheets()} | {part.key for part in sheets()}
    for part in sheets():
        for field in part.fields:
            if field.label.casefold() not in titles:
                assert field.path in explain(field.label.upper())


def test_explain_a_finding():
    from ledcalc.checks import RULES
    from ledcalc.findings import SEVERITIES

    for rule in RULES:
        said = explain(rule.code)
        assert rule.meaning in said
        assert all(f"{severity}: {SEVERITIES[severity]}" in said for severity in rule.severities)
    assert explain("cables[3].size") == explain("cables.size")


@pytest.mark.parametrize(
    ("name", "near"), [("reading-suspekt", "reading-suspect"), ("Hight over canopy", "Height over")]
)
def test_explain_names_the_nearest(name, near):
    with pytest.raises(ArgumentError, match=near):
        explain(name)
