"""The add-in in LibreOffice Calc, in a fresh profile: each function gives what Python gives, to the last digit."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from ledcalc.cells import call_cell
from ledcalc.cells.addin import build_addin, install_addin, remove_addin
from ledcalc.workbook.calc_program import calc_environment

sys.path.insert(0, str(Path(__file__).parent))
from arguments import argument_sets

DRIVER = Path(__file__).with_name("calc_driver.py")
# LibreOffice's modules belong to the system's Python.
SYSTEM_PYTHON = "/usr/bin/python3"


def _has_uno():
    if shutil.which("soffice") is None or not Path(SYSTEM_PYTHON).exists():
        return False
    return subprocess.run([SYSTEM_PYTHON, "-E", "-c", "import uno"], capture_output=True, check=False).returncode == 0


pytestmark = [
    pytest.mark.slow,
    # The superuser's add-ins are shared by all profiles: tests that put one in come one after another.
    pytest.mark.xdist_group("add-in"),
    pytest.mark.skipif(not _has_uno(), reason="needs libreoffice-calc and python3-uno"),
]


@pytest.fixture
def profile(tmp_path):
    url = (tmp_path / "profile").as_uri()
    yield url
    remove_addin(profile=url)


def shown_in_calc(profile, cases):
    done = subprocess.run(
        [SYSTEM_PYTHON, str(DRIVER)],
        input=json.dumps({"profile": profile, "cases": cases}),
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        env=calc_environment(),
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def expected(name, arguments):
    answer = call_cell(name, arguments)
    return answer if isinstance(answer, list) else [[answer]]


@pytest.mark.parametrize("how", ["in LibreOffice's own process", "through a worker process"])
def test_every_function_gives_what_python_gives(how, profile, tmp_path):
    package = tmp_path / "cells.oxt"
    build_addin(package, version=None if how.startswith("in") else (2, 7))
    install_addin(package, profile=profile)
    cases = argument_sets(20 if how.startswith("in") else 3)
    shown = shown_in_calc(profile, cases)
    assert len(shown) == len(cases) >= (34 * 20 if how.startswith("in") else 34 * 3)
    for (name, arguments), cells in zip(cases, shown, strict=True):
        wanted = expected(name, arguments)
        part = [row[: len(wanted[0])] for row in cells[: len(wanted)]]
        assert part == wanted, (name, arguments)


def test_errors_are_told_in_the_cell(profile, tmp_path):
    package = tmp_path / "cells.oxt"
    build_addin(package)
    install_addin(package, profile=profile)
    cases = [["LC_DLI", [200.0]], ["LC_DLI", [[[100.0], ["many"]], 16.0]], ["LC_WIRE_DROP", [1.0, 2.0, "thick"]]]
    shown = shown_in_calc(profile, cases)
    assert shown[0][0][0] == "LC error: give hours (Photoperiod, h)"
    assert shown[1][0][0] == 5.76
    assert shown[1][1][0].startswith("LC error: ppfd is 'many', which is no number; write a plain number")
    assert shown[2][0][0].startswith("LC error: size is 'thick'")
