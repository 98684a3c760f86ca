"""Result sheets in the user's own workbook: read, patched, kept a copy of, put in place at one stroke."""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from ledcalc.errors import FileProblem
from ledcalc.results import Evaluation
from ledcalc.variants import VariantRow
from ledcalc.workbook.package import checked_bytes
from ledcalc.workbook.patch.graft import grafted, result_titles
from ledcalc.workbook.patch.locks import held, refuse_if_open
from ledcalc.workbook.results.host import sheets_for_host
from ledcalc.workbook.results.pages import Image
from ledcalc.workbook.results.picture import picture_asked_for, picture_path, refuse_foreign_picture

__all__ = ["backup_path", "put_results_into"]

ENDINGS = (".xlsx", ".xlsm")


def put_results_into(
    results: Evaluation,
    path: str | os.PathLike[str],
    *,
    variants: Sequence[VariantRow] = (),
    with_picture: bool | None = None,
) -> bool:
    """Put the result sheets into the workbook that the inputs were read from, in place of earlier ones.

    All other parts of the file stay byte for byte. The file as it was before this run is kept beside it
    (``backup_path``), in place of the copy of the run before; result sheets keep the titles and places that the user
    gave them.

    Parameters
    ----------
    results : from ``evaluate``
    path : the workbook
    variants : evaluated rows of the Variants sheet
    with_picture : as ``write_results``

    Returns
    -------
    whether formulas of the user's read result sheets, and have to be worked out anew: Excel does so when it opens
    the file, LibreOffice when told to

    Raises
    ------
    FileProblem: it is read-only, open in a spreadsheet, was changed since it was read, cannot be patched, or cannot
        be written
    """
    target = Path(path)
    if target.suffix.lower() not in ENDINGS:
        raise FileProblem(f"{target}: result sheets go into a workbook (.xlsx, .xlsm) only")
    # A link is followed: what it leads to is what is replaced.
    target = target.resolve()
    _refuse_read_only(target)
    refuse_if_open(target)
    picture, beside = picture_asked_for(results, with_picture), picture_path(target)
    if isinstance(picture, Image):
        refuse_foreign_picture(beside)
    with held(target):
        host, digest = checked_bytes(target)
        if digest != results.stamp.input_sha256:
            raise FileProblem(f"{target}: was changed since it was read; run it again")
        try:
            made = grafted(host, sheets_for_host(results, variants, picture, result_titles(host)))
        except FileProblem as problem:
            raise FileProblem(f"{target}: {problem}") from None
        refuse_if_open(target)
        _refuse_changed(target, digest)
        _keep(target, host)
        _replace(target, made.package, digest)
        if isinstance(picture, Image):
            png = picture.png
            _written(beside, lambda stream: stream.write(png), like=target)
    return made.is_calculated_on_load


def backup_path(path: str | os.PathLike[str]) -> Path:
    """Return where the workbook as it was before the last run is kept.

    Examples
    --------
    >>> backup_path("bench.xlsx").name
    'bench.before.xlsx'
    """
    source = Path(path)
    return source.with_name(f"{source.stem}.before{source.suffix}")


def _refuse_read_only(target: Path) -> None:
    """Refuse a file that its owner has barred from writing: putting another in its place would pass that by."""
    if target.exists() and not target.stat().st_mode & stat.S_IWUSR:
        raise FileProblem(
            f"{target}: is read-only; make it writable first, or write results beside it: recalculate without --into"
        )


def _refuse_changed(target: Path, digest: str) -> None:
    if hashlib.sha256(target.read_bytes()).hexdigest() != digest:
        raise FileProblem(f"{target}: was changed while results were written; nothing was replaced; run it again")


def _keep(target: Path, host: bytes) -> None:
    """Keep the workbook as it is now; the copy of the run before is replaced."""
    _written(backup_path(target), lambda stream: stream.write(host), like=target)


def _replace(target: Path, package: bytes, digest: str) -> None:
    _written(target, lambda stream: stream.write(package), like=target, before=lambda: _refuse_changed(target, digest))


def _written(
    path: Path, write: Callable[[Any], object], *, like: Path, before: Callable[[], None] = lambda: None
) -> None:
    """Write a file beside its place, down to the disk, with the rights of another, and put it in place."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as stream:
                write(stream)
                stream.flush()
                os.fsync(stream.fileno())
            shutil.copymode(like, temporary)
            before()
            os.replace(temporary, path)
        finally:
            temporary.unlink(missing_ok=True)
    except OSError as problem:
        raise FileProblem(f"{path}: cannot be written ({problem.strerror or problem})") from None
