"""From a file of rows to a file of results: the same as one by one, in order, whatever the file is like."""

import csv
import math
from concurrent.futures import ThreadPoolExecutor

import pandas as pd
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.records import with_values
from ledcalc.results import SUMMARY_NAMES
from ledcalc.streams import open_source, stream_variants
from ledcalc.variants.inputs import Base
from ledcalc.workbook import read_workbook

PATHS = ("fixture.current_setting_a", "fixture.dimming_fraction", "fixture.voltage_setting_v")


def read(path):
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def written(tmp_path, text, name="rows.csv"):
    (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path / name


def streamed(book, rows, out, **options):
    return stream_variants(read_workbook(book), open_source(rows), out, **options)


def electrical(path, count):
    rows = [f"v{number},{2 + number / 40},{0.4 + number / 200},24.5" for number in range(count)]
    path.write_text("\n".join([",".join(("Variant", *PATHS)), *rows, ""]))
    return path


def test_summary_names_are_those_of_the_summary(bench_results):
    assert tuple(bench_results.summary()) == SUMMARY_NAMES


@pytest.mark.usefixtures("small_blocks")
def test_results_are_those_of_evaluate(book, tmp_path):
    rows = electrical(tmp_path / "rows.csv", 40)
    found = streamed(book, rows, tmp_path / "out.csv")
    table = read(tmp_path / "out.csv")
    assert [row["variant"] for row in table] == [f"v{number}" for number in range(40)]
    assert found.variants_count == 40
    base = Base.of(read_workbook(book)).fixture  # without its bench readings
    for row in (table[0], table[17], table[39]):
        results = lc.evaluate(with_values(base, {path: float(row[path]) for path in PATHS}))
        for name, value in results.summary().items():
            assert row[name] == value if isinstance(value, str) else math.isclose(float(row[name]), value, rel_tol=1e-9)
        assert row["findings"] == ", ".join(dict.fromkeys(entry.code for entry in results.findings))


@pytest.mark.usefixtures("small_blocks")
def test_an_executor_changes_no_byte(book, tmp_path):
    rows = electrical(tmp_path / "rows.csv", 90)
    streamed(book, rows, tmp_path / "alone.csv")
    with ThreadPoolExecutor(2) as executor:
        streamed(book, rows, tmp_path / "shared.csv", executor=executor, ahead=3)
    assert (tmp_path / "shared.csv").read_bytes() == (tmp_path / "alone.csv").read_bytes()


def test_an_executor_gives_the_same_table(bench):
    changes = {f"v{number}": {PATHS[0]: 3.0 + number / 10} for number in range(5)}
    with ThreadPoolExecutor(2) as executor:
        pd.testing.assert_frame_equal(
            lc.evaluate_many(bench, changes, executor=executor), lc.evaluate_many(bench, changes)
        )


@pytest.mark.usefixtures("small_blocks")
def test_parquet_in_and_out(book, tmp_path):
    parquet = pytest.importorskip("pyarrow.parquet", reason="needs pyarrow")
    rows = electrical(tmp_path / "rows.csv", 40)
    pd.read_csv(rows).to_parquet(tmp_path / "rows.parquet")
    streamed(book, rows, tmp_path / "out.csv")
    streamed(book, tmp_path / "rows.parquet", tmp_path / "out.parquet")
    table = parquet.read_table(tmp_path / "out.parquet").to_pylist()
    for one, other in zip(table, read(tmp_path / "out.csv"), strict=True):
        assert list(one) == list(other)
        assert math.isclose(one["ppfd_mean_umol_m2_s"], float(other["ppfd_mean_umol_m2_s"]), rel_tol=1e-9)
        assert (one["variant"], one["findings"], one["act"]) == (other["variant"], other["findings"], int(other["act"]))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv", "out.parquet", "rows.csv", "rows.parquet"]


def test_lists_and_ranges_multiply_out(book, tmp_path):
    rows = written(
        tmp_path, "Variant,fixture.current_setting_a,cables.size\ns,3 to 4 by 0.5 A,18 AWG; 16 AWG\nt,3 A,\n"
    )
    found = streamed(book, rows, tmp_path / "out.csv")
    table = read(tmp_path / "out.csv")
    assert found.variants_count == 7
    assert [(row["variant"], row["fixture.current_setting_a"], row["cables.size"]) for row in table] == [
        ("s #1", "3", "18 AWG"),
        ("s #2", "3", "16 AWG"),
        ("s #3", "3.5", "18 AWG"),
        ("s #4", "3.5", "16 AWG"),
        ("s #5", "4", "18 AWG"),
        ("s #6", "4", "16 AWG"),
        ("t", "3", ""),
    ]
    assert table[0]["driver_voltage_v"] != table[1]["driver_voltage_v"]


def test_bad_rows_are_marked_and_the_rest_goes_on(book, tmp_path, capsys):
    rows = written(
        tmp_path,
        "Variant,fixture.hieght_m,fixture.current_setting_a,fixture.columns_count,fixture.map_columns_count\n"
        "good,,3,,\nunknown,0.4,,,\nlots,,lots,,\ngood,,4,,\n,,4,,\nback,,4 to 3 by 1,,\nfew,,,3,\n"
        '"=odd, ""named""",,4,,\n',
    )
    assert main(["variants", str(book), "--rows", str(rows), "--out", str(tmp_path / "out.csv")]) == 1
    said = capsys.readouterr()
    assert "unknown column 'fixture.hieght_m' (nearest: fixture.height_m)" in said.err
    assert "8 variants, 6 not computed" in said.out
    table = read(tmp_path / "out.csv")
    reasons = [row["reason"] for row in table]
    assert reasons[0] == reasons[7] == ""
    for reason, words in zip(
        reasons[1:7],
        (
            "nearest: fixture.height_m",
            "rows!C4: text where a number belongs",
            "the name 'good' stands twice",
            "rows!A6: the variant has no name",
            "allowed: LOW to HIGH by STEP",
            "there is no board 'B7' on the fixture",
        ),
        strict=True,
    ):
        assert words in reason
    assert table[7]["variant"] == '\'=odd, "named"'
    assert [row["stop"] for row in table[1:7]] == [""] * 6


def test_two_columns_of_one_input(book, tmp_path):
    rows = written(tmp_path, "Variant,fixture.current_setting_a,Fixture.Current setting\na,3,\nb,,4\n")
    streamed(book, rows, tmp_path / "out.csv")
    first, second = read(tmp_path / "out.csv")
    assert first["reason"] == ""
    assert second["reason"] == "column 'Fixture.Current setting' heads the same input as 'fixture.current_setting_a'"


def test_two_of_one_name_in_a_table(bench):
    given = pd.DataFrame({"variant": ["a", "a"], "fixture.current_setting_a": [3.0, 4.0]})
    assert list(lc.evaluate_many(bench, given)["reason"]) == ["", "the name 'a' stands twice"]


def test_a_million_blank_rows_are_passed_over(book, tmp_path):
    rows = written(tmp_path, "Variant,fixture.current_setting_a\na,3\n" + ",\n" * 1_000_000 + "b,4\n")
    assert streamed(book, rows, tmp_path / "out.csv").variants_count == 2
    assert [row["variant"] for row in read(tmp_path / "out.csv")] == ["a", "b"]


def test_ranges_past_a_million_are_asked_about_first(book, tmp_path, capsys, monkeypatch):
    rows = written(
        tmp_path, "Variant,fixture.current_setting_a,fixture.dimming_fraction\nx,1 to 4 by 0.001,0.1 to 1 by 1e-4\n"
    )
    command = ["variants", str(book), "--rows", str(rows), "--out", str(tmp_path / "out.csv")]
    assert main(command) == 2
    assert "27,012,001 variants; nothing was done; --yes" in capsys.readouterr().err
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    asked = []
    monkeypatch.setattr("builtins.input", lambda question: asked.append(question) or "n")
    assert main(command) == 2
    assert "multiplies out to 27,012,001" in asked[0]
    assert not (tmp_path / "out.csv").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--out", "/proc/none.csv"], "cannot be written"),
        (["--out", "no/folder/out.csv"], "there is no folder"),
        (["--out", "out.xlsx"], "ending in .csv or .parquet"),
        (["--out", "rows.csv"], "results never go into the input"),
        (["--out", "."], "ending in .csv or .parquet"),
        ([], "--rows needs --out"),
        (["--out", "out.csv", "--workers", "0"], "--workers is 0"),
    ],
)
def test_what_cannot_be_done_is_said_in_a_line(book, tmp_path, monkeypatch, capsys, arguments, words):
    monkeypatch.chdir(tmp_path)
    electrical(tmp_path / "rows.csv", 3)
    assert main(["variants", str(book), "--rows", "rows.csv", *arguments]) == 2
    said = capsys.readouterr().err
    assert words in said
    assert said.startswith("ledcalc: ")
    assert len(said.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["rows.csv"]


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("rows.csv", b"x,3\n", "no header row found"),
        ("rows.csv", b"Variant,fixture.height_m\n", "holds no variant"),
        ("rows.csv", b"", "no header row found"),
        ("rows.csv", b"Variant\n\xff\xfe", "not UTF-8"),
        ("rows.txt", b"Variant\nx\n", "ending in .csv or .parquet"),
        ("none.csv", None, "cannot be read"),
    ],
)
def test_files_that_are_none(tmp_path, name, data, words):
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(FileProblem, match=words):
        open_source(tmp_path / name)


def test_a_file_that_is_no_parquet(tmp_path):
    pytest.importorskip("pyarrow", reason="needs pyarrow")
    (tmp_path / "rows.parquet").write_bytes(b"no such thing")
    with pytest.raises(FileProblem, match="is no Parquet file"):
        open_source(tmp_path / "rows.parquet")


def test_a_scheduler_that_does_not_answer(book, tmp_path, monkeypatch, capsys):
    pytest.importorskip("distributed", reason="needs Dask distributed")
    monkeypatch.setattr("ledcalc.variants.executors.CONNECT_S", 0.5)
    rows = electrical(tmp_path / "rows.csv", 3)
    to_nobody = ["--out", str(tmp_path / "out.csv"), "--cluster", "tcp://127.0.0.1:9"]
    assert main(["variants", str(book), "--rows", str(rows), *to_nobody]) == 2
    assert "no scheduler answers" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["rows.csv"]
