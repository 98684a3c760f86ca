"""LibreOffice is started without the Python that starts it: with it, its own Python fails to load."""

import os
import sys
from pathlib import Path

from ledcalc.workbook.calc_program import calc_environment


def test_the_activated_environment_stays_out(monkeypatch, tmp_path):
    entries = [str(tmp_path / "venv" / "bin"), str(Path(sys.prefix, "bin")), "/usr/bin", str(tmp_path)]
    monkeypatch.setenv("PATH", os.pathsep.join(entries))
    monkeypatch.setenv("VIRTUAL_ENV", str(tmp_path / "venv"))
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr(sys, "base_prefix", "/elsewhere")
    given = calc_environment()
    assert given["PATH"] == os.pathsep.join(["/usr/bin", str(tmp_path)])
    assert given["HOME"] == str(tmp_path)
    assert not {"VIRTUAL_ENV", "PYTHONPATH"} & set(given)


def test_without_an_environment_the_search_path_stays(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", os.pathsep.join(["/usr/bin", str(tmp_path)]))
    monkeypatch.delenv("VIRTUAL_ENV", raising=False)
    monkeypatch.setattr(sys, "base_prefix", sys.prefix)
    assert calc_environment()["PATH"] == os.pathsep.join(["/usr/bin", str(tmp_path)])
