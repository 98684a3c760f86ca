"""Whether somebody has a workbook open, and a lock of our own while one is patched."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ledcalc.errors import FileProblem

__all__ = ["held", "refuse_if_open"]


def refuse_if_open(path: Path) -> None:
    """Refuse a workbook beside which a spreadsheet has left the file that says who has it open.

    Raises
    ------
    FileProblem: it is open, or a spreadsheet that crashed left its file behind
    """
    for owner in (path.with_name(f"~${path.name}"), path.with_name(f".~lock.{path.name}#")):
        if owner.exists():
            raise FileProblem(
                f"{path}: is open in a spreadsheet ({owner.name} lies beside it); close it there first. If it is open "
                "nowhere, delete that file"
            )


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Keep other runs off a workbook while it is patched.

    Raises
    ------
    FileProblem: another run is at it, or the folder cannot be written
    """
    lock = path.with_name(f".{path.name}.ledcalc")
    try:
        handle = _taken(lock)
    except FileExistsError:
        raise FileProblem(f"{path}: another run is writing into it ({lock.name}); wait for it") from None
    except OSError as problem:
        raise FileProblem(f"{path}: its folder cannot be written ({problem.strerror or problem})") from None
    try:
        os.write(handle, str(os.getpid()).encode())
        os.close(handle)
        yield
    finally:
        lock.unlink(missing_ok=True)


def _taken(lock: Path) -> int:
    """Return the lock's handle; one that a run left which is no more is taken over."""
    flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY
    try:
        return os.open(lock, flags)
    except FileExistsError:
        if _is_running(lock):
            raise
        lock.unlink(missing_ok=True)
        return os.open(lock, flags)


def _is_running(lock: Path) -> bool:
    try:
        number = int(lock.read_text(encoding="ascii"))
        os.kill(number, 0)
    except (ProcessLookupError, FileNotFoundError):
        return False
    except (OSError, ValueError):
        # Not ours to ask, or not written yet: somebody is at it.
        return True
    return True
