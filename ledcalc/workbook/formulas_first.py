"""A workbook's formulas worked out by LibreOffice, on a copy and in a profile of its own; the file stays as it is."""

from __future__ import annotations

import os
import signal
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.workbook.calc_program import calc_environment, calc_program
from ledcalc.workbook.grid import Book, Cell, Grid
from ledcalc.workbook.package import checked_bytes
from ledcalc.workbook.xlsx_read import caution_about, read_xlsx, saved_values

__all__ = ["LONGEST_WAIT_S", "worked_out"]

LONGEST_WAIT_S = 120.0
BASIS = "worked out by LibreOffice"
# Work out everything on loading; never follow links, never run macros.
SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Content/Update"><prop oor:name="Link" oor:op="fuse">
<value>2</value></prop></item>
<item oor:path="/org.openoffice.Office.Common/Security/Scripting"><prop oor:name="MacroSecurityLevel" oor:op="fuse">
<value>3</value></prop><prop oor:name="DisableMacrosExecution" oor:op="fuse"><value>true</value></prop></item>
</oor:items>
"""


def worked_out(path: Path, *, longest_wait_s: float = LONGEST_WAIT_S) -> Book:
    """Return a workbook's cells as ``read_xlsx`` does, but formulas by the values that LibreOffice gives them now.

    Parameters
    ----------
    path : an .xlsx or .xlsm workbook; only a copy of it is opened. Name, hash and cells stay those of the file
    longest_wait_s : after so many seconds, above 0, LibreOffice is stopped

    Raises
    ------
    FileProblem: as ``read_xlsx``; LibreOffice is missing, too slow, or made nothing of the workbook
    """
    book = read_xlsx(path)
    if not any(cell.from_formula for grid in book.grids for row in grid.rows.values() for cell in row.values()):
        return book
    data, digest = checked_bytes(path)
    if digest != book.sha256:
        raise FileProblem(f"{path}: changed while it was read; run again")
    with tempfile.TemporaryDirectory(prefix="ledcalc-", ignore_cleanup_errors=True) as folder:
        copy = Path(folder) / f"copy{path.suffix.lower()}"
        copy.write_bytes(data)
        made = _calculated(path, copy, Path(folder), longest_wait_s)
        values = saved_values(made)
    lost = [grid.title for grid in book.grids if grid.title not in values]
    if lost:
        raise FileProblem(
            f"{path}: LibreOffice lost the sheet {lost[0]!r}; calculate it in the spreadsheet and save it"
        )
    return replace(book, grids=tuple(_with_values(grid, values[grid.title]) for grid in book.grids))


def _calculated(path: Path, copy: Path, folder: Path, longest_wait_s: float) -> Path:
    """Have LibreOffice calculate a copy; return the file that it saved."""
    profile, out = folder / "profile", folder / "out"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(SETTINGS, encoding="utf-8")
    words = [calc_program(), f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore", "--nolockcheck"]
    words += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", os.fspath(out), os.fspath(copy)]
    said = _run(words, path, longest_wait_s)
    made = out / "copy.xlsx"
    if not made.exists():
        raise FileProblem(
            f"{path}: LibreOffice cannot work its formulas out ({said or 'it said nothing'}); calculate and save "
            "the file in your spreadsheet and run without --formulas-first"
        )
    return made


def _run(words: Sequence[str], path: Path, longest_wait_s: float) -> str:
    """Run a program and what it starts; stop all of it when it takes too long. Return the last line that it said."""
    with subprocess.Popen(
        words,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        start_new_session=True,
        env=calc_environment(),
    ) as started:
        try:
            said, _ = started.communicate(timeout=longest_wait_s)
        except BaseException as stopped:
            _stop(started)
            if not isinstance(stopped, subprocess.TimeoutExpired):
                raise
            raise FileProblem(
                f"{path}: LibreOffice was stopped after {longest_wait_s:g} s without having worked its formulas out; "
                "calculate and save the file in your spreadsheet and run without --formulas-first"
            ) from None
    lines = said.decode(errors="replace").strip().splitlines()
    return lines[-1].strip() if lines else ""


def _stop(started: subprocess.Popen[bytes]) -> None:
    # The program is a script that starts others: where there are process groups, its whole group goes.
    if hasattr(os, "killpg"):
        os.killpg(started.pid, signal.SIGKILL)
    else:
        started.kill()
    started.wait()


def _with_values(written: Grid, calculated: Grid) -> Grid:
    """Return the cells as they were written, those with formulas by their calculated values."""
    rows: dict[int, dict[int, Cell]] = {}
    for number, row in written.rows.items():
        cells: dict[int, Cell] = {}
        for column, cell in row.items():
            if not cell.from_formula:
                cells[column] = cell
                continue
            value = calculated.rows.get(number, {}).get(column)
            # A formula that shows nothing leaves its cell blank.
            if value is not None:
                cells[column] = replace(value, formula=cell.formula, caution=caution_about(cell.formula), basis=BASIS)
        if cells:
            rows[number] = cells
    return replace(written, rows=rows)
