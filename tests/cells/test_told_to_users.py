"""What users are told about cell functions: the list, the wizard, putting the add-in in and taking it out."""

import json
import subprocess
import zipfile

import pytest

from ledcalc.cells import addin, cell_functions
from ledcalc.cli import main
from ledcalc.docs.cells import cells_page


def test_the_list_shows_what_may_be_left_out_and_what_blank_means(capsys):
    assert main(["cells"]) == 0
    said = capsys.readouterr().out
    assert "LC_WIRE_OHM(size; length; [conductor_c]; [stranding]; [rule_set])" in said
    assert "    conductor_c: (optional) Conductor temperature, degC; blank: 20" in said
    assert "offsets: (optional) Voltage offset of each board, a range, V; blank: not used" in said
    assert "    size: Wire size" in said
    for words in ("square brackets", "ISERROR", "SUM skips text", "arrives as 0"):
        assert words in said


def test_the_page_says_what_spreadsheets_do_with_errors_and_blanks():
    page = cells_page()
    for words in ("`ISERROR`", "`SUM` skips text", "arrives as 0", "keep their last values until", "| not used |"):
        assert words in page
    assert "LC_BRANCH_AMPS(wire_ohm, point_amps, point_volts, driver_amps, driver_volts, [sink]" in page


def test_the_wizard_tells_optional_arguments_from_required_ones(tmp_path):
    addin.build_addin(tmp_path / "cells.oxt")
    with zipfile.ZipFile(tmp_path / "cells.oxt") as package:
        told = json.loads(package.read("functions.json"))
    for function, entry in zip(cell_functions(), told, strict=True):
        assert "Errors come as text" in entry["description"]
        assert "blank cell counts as 0" in entry["description"]
        assert len(entry["description"]) <= 255
        for argument, help_ in zip(function.arguments, entry["arguments"], strict=True):
            assert help_["description"].startswith("(optional) ") == argument.is_optional
            assert len(help_["description"]) <= 255


@pytest.fixture
def office(monkeypatch):
    """Return a function: status and words of a stand-in for LibreOffice's program, and who runs it."""

    def stands_in(status=0, words="", is_superuser=False):
        monkeypatch.setattr(addin.shutil, "which", lambda name: name)
        monkeypatch.setattr(
            addin.subprocess, "run", lambda call, **_: subprocess.CompletedProcess(call, status, "", words)
        )
        monkeypatch.setattr(addin.os, "geteuid", lambda: 0 if is_superuser else 1000, raising=False)

    return stands_in


@pytest.mark.parametrize(("is_superuser", "whose"), [(True, "for all users"), (False, "of this user")])
def test_taking_out_what_is_not_in_is_told_plainly(office, capsys, is_superuser, whose):
    # The words of LibreOffice 7 and later.
    office(1, "ERROR: Exception occurred: There is no such extension deployed: x at dp_manager.cxx:973", is_superuser)
    assert main(["cells", "--out-of-libreoffice"]) == 2
    said = capsys.readouterr().err
    assert f"LibreOffice {whose} does not have the functions" in said
    assert "ERROR" not in said


def test_another_refusal_of_libreoffice_is_handed_on(office, capsys):
    office(1, "ERROR: the lock file is there")
    assert main(["cells", "--out-of-libreoffice"]) == 2
    assert "LibreOffice: ERROR: the lock file is there" in capsys.readouterr().err


@pytest.mark.parametrize("where", ["--into-libreoffice", "--out-of-libreoffice"])
def test_the_superuser_is_told_that_it_holds_for_all(office, capsys, where):
    office(is_superuser=True)
    assert main(["cells", where]) == 0
    assert "for all users of this machine" in capsys.readouterr().out
    office()
    assert main(["cells", where]) == 0
    said = capsys.readouterr().out
    assert "all users" not in said
    assert ("keep their values until they are recalculated" in said) == where.startswith("--out")
