"""Builds the LibreOffice Calc add-in (cell functions and a menu entry), puts it into LibreOffice, takes it out."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Sequence
from pathlib import Path

from ledcalc.cells.registry import cell_functions
from ledcalc.errors import FileProblem
from ledcalc.version import __version__
from ledcalc.workbook.calc_program import calc_environment
from ledcalc.workbook.package import OWN_NAME, RESULT_MARK

__all__ = ["IDENTIFIER", "build_addin", "install_addin", "is_shared", "remove_addin"]

IDENTIFIER = "ledcalc.cells"
ROOT = Path(__file__).parents[1]
COMPONENTS = (ROOT / "cells/calc_component.py", ROOT / "live/calc_menu.py", ROOT / "live/calc_book.py")
MANIFEST = """<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
  <manifest:file-entry manifest:full-path="functions.idl"
    manifest:media-type="application/vnd.sun.star.uno-typelibrary;type=RDB"/>
  <manifest:file-entry manifest:full-path="calc_component.py"
    manifest:media-type="application/vnd.sun.star.uno-component;type=Python"/>
  <manifest:file-entry manifest:full-path="calc_menu.py"
    manifest:media-type="application/vnd.sun.star.uno-component;type=Python"/>
  <manifest:file-entry manifest:full-path="menu.xcu"
    manifest:media-type="application/vnd.sun.star.configuration-data"/>
</manifest:manifest>
"""
DESCRIPTION = """<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006">
  <identifier value="{identifier}"/>
  <version value="{version}"/>
  <display-name><name lang="en">ledcalc: cell functions and recalculation</name></display-name>
</description>
"""
# A menu of its own in the menu bar, in Calc alone.
MENU = """<?xml version="1.0" encoding="UTF-8"?>
<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
    oor:name="Addons" oor:package="org.openoffice.Office">
  <node oor:name="AddonUI">
    <node oor:name="AddonMenu">
      <node oor:name="ledcalc.live.Recalculate" oor:op="replace">
        <prop oor:name="URL" oor:type="xs:string"><value>service:ledcalc.live.Recalculate?now</value></prop>
        <prop oor:name="Title" oor:type="xs:string">
          <value xml:lang="en-US">Recalculate plant light (ledcalc)</value>
        </prop>
        <prop oor:name="Target" oor:type="xs:string"><value>_self</value></prop>
        <prop oor:name="Context" oor:type="xs:string"><value>com.sun.star.sheet.SpreadsheetDocument</value></prop>
      </node>
    </node>
  </node>
</oor:component-data>
"""
# Under each function's help in the wizard, which shows up to 255 letters.
WIZARD_NOTE = "Errors come as text (ISERROR misses them, SUM skips them); a lone blank cell counts as 0"
NOT_THERE = "no such extension deployed"
# Fixed, so that the same library gives the same bytes.
MOMENT = (2026, 1, 1, 0, 0, 0)


def build_addin(
    path: str | os.PathLike[str], *, python: str | None = None, version: Sequence[int] | None = None
) -> None:
    """Write the add-in, tied to the environment that ledcalc runs in.

    Parameters
    ----------
    path : a name ending in .oxt; a file there is replaced
    python, version : the interpreter that a worker process starts with, and its version; default: this one

    Raises
    ------
    FileProblem: another ending, or the place cannot be written
    """
    target = Path(path)
    if target.suffix.lower() != ".oxt":
        raise FileProblem(f"{target}: give a name ending in .oxt")
    engine = {
        "python": python or sys.executable,
        "version": list(version or sys.version_info[:2]),
        "path": _search_path(),
        "own_name": OWN_NAME,
        "title_mark": RESULT_MARK,
    }
    files = {
        "META-INF/manifest.xml": MANIFEST,
        "description.xml": DESCRIPTION.format(identifier=IDENTIFIER, version=__version__),
        "functions.idl": _interface(),
        "functions.json": json.dumps(_help(), indent=1),
        "engine.json": json.dumps(engine, indent=1),
        "menu.xcu": MENU,
        **{path.name: path.read_text(encoding="utf-8") for path in COMPONENTS},
    }
    try:
        with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as package:
            for name, text in files.items():
                package.writestr(zipfile.ZipInfo(name, MOMENT), text)
    except OSError as problem:
        raise FileProblem(f"{target}: {problem.strerror or problem}") from problem


def _search_path() -> list[str]:
    """Return where this interpreter finds packages, its standard library left out."""
    standard = {Path(sysconfig.get_path(name)).resolve() for name in ("stdlib", "platstdlib")}
    own = Path(__file__).resolve().parents[2]
    found = [own, *(Path(entry).resolve() for entry in sys.path if entry)]
    kept = [entry for entry in found if entry.is_dir() and entry not in standard and entry.parent not in standard] + [
        Path(sysconfig.get_path("purelib")).resolve()
    ]
    return list(dict.fromkeys(map(str, kept)))


def _interface() -> str:
    """Return the interface of all functions: each argument may be a cell, a range, or left out; rows come back."""
    methods = "\n".join(
        f"    sequence< sequence<any> > {function.name}({_parameters(len(function.arguments))});"
        for function in cell_functions()
    )
    return f"module ledcalc {{ module cells {{ interface XFunctions {{\n{methods}\n}}; }}; }};\n"


def _parameters(count: int) -> str:
    return ", ".join(f"[in] any a{number}" for number in range(count))


def _help() -> list[dict[str, object]]:
    return [
        {
            "name": function.name,
            "description": f"{function.description}. {WIZARD_NOTE}",
            "arguments": [
                {"name": argument.name, "description": argument.description} for argument in function.arguments
            ],
        }
        for function in cell_functions()
    ]


def install_addin(path: str | os.PathLike[str], *, profile: str = "") -> None:
    """Put a built add-in into LibreOffice, in place of an older one; ``profile``: of another user installation (a URL).

    Raises
    ------
    FileProblem: no LibreOffice is found, or it refuses the add-in; its words are handed on
    """
    _unopkg(["add", "--force", *_shared(), os.fspath(path)], profile)


def remove_addin(*, profile: str = "") -> None:
    """Take the add-in out of LibreOffice.

    Raises
    ------
    FileProblem: no LibreOffice is found, or the add-in is not in it
    """
    _unopkg(["remove", *_shared(), IDENTIFIER], profile)


def is_shared() -> bool:
    """Whether the add-in goes to all users: LibreOffice wants that of the superuser, who has no installation."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _shared() -> list[str]:
    return ["--shared"] if is_shared() else []


def _unopkg(words: Sequence[str], profile: str) -> None:
    program = shutil.which("unopkg")
    if program is None:
        raise FileProblem("LibreOffice's program unopkg is not found; install LibreOffice Calc and its Python support")
    where = [f"-env:UserInstallation={profile}"] if profile else []
    done = subprocess.run(
        [program, *words, *where], capture_output=True, text=True, check=False, env=calc_environment()
    )
    if done.returncode != 0 and NOT_THERE in done.stderr + done.stdout:
        whose = "for all users" if is_shared() else "of this user"
        raise FileProblem(f"LibreOffice {whose} does not have the functions and the menu entry: nothing to take out")
    if done.returncode != 0:
        raise FileProblem(f"LibreOffice: {' '.join((done.stderr or done.stdout).split()) or 'refused without a word'}")
