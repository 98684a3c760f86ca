"""The command line as a user meets it: words, files, exit status, JSON; never a traceback."""

import json
import subprocess
import sys

import pytest

from ledcalc.cli import main


@pytest.fixture
def example(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench.xlsx", "--example"]) == 0
    return tmp_path / "bench.xlsx"


def test_from_example_to_results(example, capsys):
    assert main(["check", "bench.xlsx"]) == 0
    assert main(["recalculate", "bench.xlsx"]) == 0
    said = capsys.readouterr().out
    assert "readable and complete" in said
    assert "light-uneven [Fixture!B18]" in said
    assert "wrote bench-results.xlsx" in said
    assert (example.parent / "bench-results.xlsx").stat().st_size > 10_000


def test_csv_folder_all_the_way(example, capsys):
    assert main(["blank", "folder", "--filled-from", "bench.xlsx"]) == 0
    assert main(["recalculate", "folder"]) == 0
    assert "wrote folder-results" in capsys.readouterr().out
    assert (example.parent / "folder-results" / "Verdict.csv").exists()


@pytest.mark.usefixtures("example")
def test_json_for_scripts(capsys):
    capsys.readouterr()
    assert main(["recalculate", "bench.xlsx", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["operating"]["mode"] == "constant current"
    assert main(["check", "bench.xlsx", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["problems"] == []
    assert main(["variants", "bench.xlsx", "--json"]) == 0
    assert [row["variant"] for row in json.loads(capsys.readouterr().out)] == [
        "softer",
        "harder",
        "higher",
        "wider rails",
    ]


def test_stop_findings_give_status_one(example, capsys):
    assert main(["blank", "hot", "--example"]) == 0
    path = example.parent / "hot" / "site.csv"
    path.write_text(path.read_text().replace("Other load on the circuit,300", "Other load on the circuit,1500"))
    assert main(["recalculate", "hot", "--json"]) == 1
    assert "circuit-overloaded" in capsys.readouterr().out


def test_bad_input_gives_status_two_and_no_results(example, capsys):
    assert main(["blank", "bad", "--example"]) == 0
    path = example.parent / "bad" / "fixture.csv"
    path.write_text(path.read_text().replace("Current setting,4.4", "Current setting,lots"))
    capsys.readouterr()
    assert main(["recalculate", "bad", "--json"]) == 2
    streams = capsys.readouterr()
    assert json.loads(streams.out)["problems"][0]["cell"] == "B5"
    assert "text where a number belongs" in streams.err
    assert not (example.parent / "bad-results").exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "absent.xlsx"],
        ["recalculate", "absent"],
        ["recalculate", "bench.xlsx", "--out", "bench.xlsx"],
        ["recalculate", "bench.xlsx", "--out", "no/such/folder/r.xlsx"],
        ["variants", "bench.xlsx", "--out", "table.doc"],
        ["blank", "bench.xlsx"],
        ["blank", "x", "--example", "--filled-from", "bench.xlsx"],
        ["explain", "fixture.hight_m"],
    ],
)
@pytest.mark.usefixtures("example")
def test_what_cannot_be_done_is_said_in_a_line(arguments, capsys):
    assert main(arguments) == 2
    said = capsys.readouterr().err
    assert said.startswith("ledcalc: ")
    assert "Traceback" not in said


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
@pytest.mark.usefixtures("example")
def test_variants_into_a_table(ending, tmp_path, capsys):
    assert main(["variants", "bench.xlsx", "--out", f"table.{ending}"]) == 0
    assert "4 variants, 0 not computed" in capsys.readouterr().out
    assert (tmp_path / f"table.{ending}").exists()


def test_a_variant_that_cannot_be_computed_gives_status_one(example):
    assert main(["blank", "v", "--example"]) == 0
    path = example.parent / "v" / "variants.csv"
    path.write_text("Variant,fixture.height_m\nodd,-3\n")
    assert main(["variants", "v"]) == 1


@pytest.mark.parametrize("command", [[], ["blank"], ["recalculate"], ["check"], ["variants"], ["explain"]])
def test_help_has_an_example_and_the_caution(command, capsys):
    with pytest.raises(SystemExit) as caught:
        main([*command, "--help"])
    assert caught.value.code == 0
    said = capsys.readouterr().out
    assert "example" in said
    assert "licensed electrician" in said


def test_explain(capsys):
    assert main(["explain"]) == 0
    assert main(["explain", "cables"]) == 0
    assert main(["explain", "cables.size"]) == 0
    said = capsys.readouterr().out
    assert "light_readings" in said
    assert "cables.one_way_length_m" in said
    assert "18 AWG or 0.75 mm2" in said


def test_no_command_is_bad_use():
    run = subprocess.run([sys.executable, "-m", "ledcalc"], capture_output=True, text=True, check=False)
    assert run.returncode == 2
    assert "Traceback" not in run.stderr
