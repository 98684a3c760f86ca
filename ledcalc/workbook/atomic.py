"""Writing so that a failure leaves what was there: to a temporary name beside it, then put in place."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from ledcalc.errors import FileProblem

__all__ = ["write_file", "write_folder"]

LONGEST_PREFIX = 40


def write_file(path: Path, write: Callable[[Path], None]) -> None:
    """Write one file by way of a temporary file beside it; ``write`` gets that file's path. A link is followed.

    Raises
    ------
    FileProblem: the folder is missing or read-only, the disk is full, or the name is a folder's
    """
    with _told(path) as place:
        if place.is_dir():
            raise FileProblem(f"{path}: is a folder; give a file name, or one without .xlsx for CSV files")
        handle, name = tempfile.mkstemp(prefix=_hidden(place), suffix=place.suffix, dir=place.parent)
        os.close(handle)
        temporary = Path(name)
        try:
            write(temporary)
            _usual_permissions(temporary)
            os.replace(temporary, place)
        finally:
            temporary.unlink(missing_ok=True)


def write_folder(path: Path, write: Callable[[Path], None]) -> None:
    """Write a folder of files by way of a temporary folder beside it; an older folder of that name is replaced whole.

    Raises
    ------
    FileProblem: the parent is missing or read-only, the disk is full, or the name is a file's
    """
    with _told(path) as place:
        if place.is_file():
            raise FileProblem(f"{path}: is a file; give a folder name, or a name ending in .xlsx")
        temporary = Path(tempfile.mkdtemp(prefix=_hidden(place), dir=place.parent))
        try:
            write(temporary)
            temporary.chmod(0o755)
            _swap(temporary, place)
        finally:
            shutil.rmtree(temporary, ignore_errors=True)


@contextmanager
def _told(path: Path) -> Iterator[Path]:
    """Yield where a path leads; turn an operating-system error into a FileProblem that names it and the way out."""
    try:
        place = Path(os.path.realpath(path))
    except ValueError as problem:
        raise FileProblem(f"{path}: is no name for a file ({problem})") from None
    try:
        if not place.parent.is_dir():
            raise FileProblem(f"{path}: there is no folder {path.parent}; make it first")
        yield place
    except OSError as problem:
        raise FileProblem(f"{path}: cannot be written ({problem.strerror or problem}); nothing was changed") from None


def _hidden(path: Path) -> str:
    """Return how the name of a temporary file begins: short, so that it fits wherever the name itself does."""
    return f".{path.stem[:LONGEST_PREFIX]}-"


def _swap(temporary: Path, path: Path) -> None:
    if not path.exists():
        os.replace(temporary, path)
        return
    older = Path(tempfile.mkdtemp(prefix=f"{_hidden(path)}older-", dir=path.parent)) / path.name
    try:
        os.replace(path, older)
        try:
            os.replace(temporary, path)
        except OSError:
            # Where another run has put its own there meanwhile, that one stays.
            if not path.exists():
                os.replace(older, path)
            raise
    finally:
        if path.exists():
            shutil.rmtree(older.parent, ignore_errors=True)


def _usual_permissions(path: Path) -> None:
    mask = os.umask(0)
    os.umask(mask)
    path.chmod(0o666 & ~mask)
