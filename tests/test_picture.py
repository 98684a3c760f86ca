"""The picture of the light field: it is a picture, of this field, with its figures; bad names are refused."""

import dataclasses

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import FileProblem
from ledcalc.picture import save_picture


def test_picture_of_the_field(bench_results, tmp_path):
    from matplotlib.image import imread

    save_picture(bench_results, tmp_path / "field.png")
    picture = imread(tmp_path / "field.png")
    assert picture.shape[:2] == (960, 1350)
    # Brighter light is drawn warmer and darker: the picture has more than paper and ink.
    assert len(np.unique(picture.reshape(-1, picture.shape[2]), axis=0)) > 200


def test_words_of_the_picture(bench_results, tmp_path):
    save_picture(bench_results, tmp_path / "field.svg")
    from matplotlib import rcParams

    text = (tmp_path / "field.svg").read_text()
    assert text.lstrip().startswith("<?xml")
    # Text is drawn as outlines unless asked otherwise; its words stand in comments beside them.
    assert rcParams["svg.fonttype"] == "path"
    assert "predicted, not measured" in text
    assert f"mean {bench_results.light.statistics.mean:.0f}" in text


def test_refusals(bench, bench_results, tmp_path):
    with pytest.raises(FileProblem, match="ending in"):
        save_picture(bench_results, tmp_path / "field.txt")
    with pytest.raises(FileProblem):
        save_picture(bench_results, tmp_path / "no" / "field.png")
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=25.0)
    with pytest.raises(FileProblem, match="no light"):
        save_picture(lc.evaluate(dataclasses.replace(bench, drivers=(cut,))), tmp_path / "dark.png")


def test_command(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench", "--example"]) == 0
    assert main(["picture", "bench", "--out", "field.png"]) == 0
    assert (tmp_path / "field.png").stat().st_size > 10_000
