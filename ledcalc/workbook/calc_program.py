"""LibreOffice: where its program is, and the environment to start it in."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

from ledcalc.errors import FileProblem

__all__ = ["calc_environment", "calc_program"]

# Where installers put the program that the search path does not find.
USUAL_PLACES = (
    "/Applications/LibreOffice.app/Contents/MacOS/soffice",
    "C:/Program Files/LibreOffice/program/soffice.exe",
)

SYSTEM_PROGRAMS = ("/usr/bin", "/bin")


def calc_program() -> str:
    """Return the path of LibreOffice's program.

    Raises
    ------
    FileProblem: it is not found
    """
    found = shutil.which("soffice") or shutil.which("libreoffice")
    for place in USUAL_PLACES if found is None else ():
        if Path(place).exists():
            found = place
    if found is None:
        raise FileProblem(
            "LibreOffice is not found, so formulas cannot be worked out first; install LibreOffice Calc, or calculate "
            "and save the file in your spreadsheet and run without --formulas-first"
        )
    return found


def calc_environment() -> dict[str, str]:
    """Return this process's environment without the Python it runs in, the system's programs first.

    LibreOffice's own Python takes its library from the first Python on the search path: that of an activated virtual
    environment or of another installation, where it fits another version, stops it ("bad_alloc").
    """
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    roots = [os.environ["VIRTUAL_ENV"]] if os.environ.get("VIRTUAL_ENV") else []
    if sys.prefix != sys.base_prefix:
        roots.append(sys.prefix)
    own = {Path(root, folder).resolve() for root in roots for folder in ("bin", "Scripts")}
    others = (entry for entry in os.environ.get("PATH", "").split(os.pathsep) if Path(entry).resolve() not in own)
    first = SYSTEM_PROGRAMS if os.name == "posix" else ()
    kept["PATH"] = os.pathsep.join(dict.fromkeys((*first, *others)))
    return kept
