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


def write_file(path: Path, write: Callable[[Path], None]) -> None:
    """Write one file by way of a temporary file beside it; ``write`` gets that file's path.

    Raises
    ------
    FileProblem: the folder is missing or read-only, the disk is full, or the name is a folder's
    """
    if path.is_dir():
        raise FileProblem(f"{path}: is a folder; give a file name, or one without .xlsx for CSV files")
    with _told(path):
        handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
        os.close(handle)
        temporary = Path(name)
        try:
            write(temporary)
            _usual_permissions(temporary)
            os.replace(temporary, path)
        finally:
            temporary.unlink(missing_ok=True)


def write_folder(path: Path, write: Callable[[Path], None]) -> None:
    """Write a folder of files by way of a temporary folder beside it; an older folder of that name is replaced whole.

    Raises
    ------
    FileProblem: the parent is missing or read-only, the disk is full, or the name is a file's
    """
    if path.is_file():
        raise FileProblem(f"{path}: is a file; give a folder name, or a name ending in .xlsx")
    with _told(path):
        temporary = Path(tempfile.mkdtemp(prefix=f".{path.name}-", dir=path.parent))
        try:
            write(temporary)
            temporary.chmod(0o755)
            _swap(temporary, path)
        finally:
            shutil.rmtree(temporary, ignore_errors=True)


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turn an operating-system error into a FileProblem that names the file and the way out."""
    if not path.parent.is_dir():
        raise FileProblem(f"{path}: there is no folder {path.parent}; make it first")
    try:
        yield
    except OSError as problem:
        raise FileProblem(f"{path}: cannot be written ({problem.strerror or problem}); nothing was changed") from None


def _swap(temporary: Path, path: Path) -> None:
    if not path.exists():
        os.replace(temporary, path)
        return
    older = Path(tempfile.mkdtemp(prefix=f".{path.name}-older-", dir=path.parent)) / path.name
    os.replace(path, older)
    try:
        os.replace(temporary, path)
    except OSError:
        os.replace(older, path)
        raise
    shutil.rmtree(older.parent, ignore_errors=True)


def _usual_permissions(path: Path) -> None:
    mask = os.umask(0)
    os.umask(mask)
    path.chmod(0o666 & ~mask)
