"""LibreOffice is started without the Python that starts it: with it, its own Python fails to load."""

import os
import sys
from pathlib import Path

from ledcalc.workbook.calc_program import SYSTEM_PROGRAMS, calc_environment

FIRST = SYSTEM_PROGRAMS if os.name == "posix" else ()


def test_the_activated_environment_stays_out(monkeypatch, tmp_path):
    entries = [str(tmp_path / "venv" / "bin"), str(Path(sys.prefix, "bin")), str(tmp_path)]
    monkeypatch.setenv("PATH", os.pathsep.join(entries))
    monkeypatch.setenv("VIRTUAL_ENV", str(tmp_path / "venv"))
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr(sys, "base_prefix", "/elsewhere")
    given = calc_environment()
    assert given["PATH"].split(os.pathsep) == [*FIRST, str(tmp_path)]
    assert given["HOME"] == str(tmp_path)
    assert not {"VIRTUAL_ENV", "PYTHONPATH"} & set(given)


def test_the_systems_python_comes_before_one_installed_elsewhere(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", os.pathsep.join([str(tmp_path), "/usr/bin", "/usr/local/bin"]))
    monkeypatch.delenv("VIRTUAL_ENV", raising=False)
    monkeypatch.setattr(sys, "base_prefix", sys.prefix)
    given = calc_environment()["PATH"].split(os.pathsep)
    assert given == list(dict.fromkeys([*FIRST, str(tmp_path), "/usr/bin", "/usr/local/bin"]))
