"""What a workbook's package must be like before anything parses it: whole, not too large, no tricks."""

from __future__ import annotations

import hashlib
import zipfile
import zlib
from pathlib import Path

from ledcalc.errors import FileProblem

__all__ = ["OWN_NAME", "RESULT_MARK", "checked_bytes"]

# What the titles of result sheets in a user's own workbook end in, so that they keep apart from input sheets.
RESULT_MARK = " (result)"
# The hidden name, one a result sheet, by which results are found again whatever the user calls or moves the sheets.
OWN_NAME = "ledcalc_result_sheet"

MOST_FILE_BYTES = 100_000_000
MOST_UNPACKED_BYTES = 200_000_000
MOST_RATIO = 200.0
MOST_PARTS = 5_000
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"


def checked_bytes(path: Path) -> tuple[bytes, str]:
    """Return a workbook's bytes and their SHA-256, or say why it is not read.

    Raises
    ------
    FileProblem: missing, unreadable, not a workbook, encrypted, damaged, half-written or suspicious
    """
    data = _bytes(path)
    if data[:4] == OLD_WORKBOOK:
        raise FileProblem(f"{path}: is encrypted or an old .xls workbook; save it as .xlsx without a password")
    try:
        with zipfile.ZipFile(path) as package:
            _check(path, package, len(data))
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError) as problem:
        raise FileProblem(
            f"{path}: is no workbook, or only half of one ({problem}); open it in the spreadsheet and save it as .xlsx"
        ) from None
    return data, hashlib.sha256(data).hexdigest()


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_FILE_BYTES:
            raise FileProblem(f"{path}: larger than {MOST_FILE_BYTES // 1_000_000} MB; move what is no input elsewhere")
        return path.read_bytes()
    except FileNotFoundError:
        raise FileProblem(f"{path}: there is no such file or folder") from None
    except OSError as problem:
        raise FileProblem(
            f"{path}: cannot be read ({problem.strerror or problem}); close it elsewhere and try again"
        ) from None


def _check(path: Path, package: zipfile.ZipFile, packed: int) -> None:
    names = [part.filename for part in package.infolist()]
    unpacked = sum(part.file_size for part in package.infolist())
    if len(names) > MOST_PARTS or unpacked > MOST_UNPACKED_BYTES or unpacked > MOST_RATIO * packed + 1_000_000:
        raise FileProblem(
            f"{path}: unpacks to {unpacked / 1e6:.0f} MB in {len(names)} parts; not read, it may be a trap"
        )
    if len(set(names)) != len(names) or any(name.startswith("/") or ".." in name.split("/") for name in names):
        raise FileProblem(f"{path}: its package holds doubled or outward part names; not read, it may be a trap")
    if "xl/workbook.xml" not in names:
        raise FileProblem(f"{path}: is no .xlsx workbook; save it as .xlsx from the spreadsheet")
    broken = package.testzip()
    if broken is not None:
        raise FileProblem(f"{path}: its part {broken} is damaged; save it again from the spreadsheet")
    for name in names:
        if name.endswith((".xml", ".rels")) and _declares_a_type(package.read(name)):
            raise FileProblem(f"{path}: its part {name} declares a document type; not read, it may be a trap")


def _declares_a_type(part: bytes) -> bool:
    """Return whether an XML part has a document type, or an encoding that could hide one."""
    return b"<!DOCTYPE" in part.upper() or part.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in part[:200]
