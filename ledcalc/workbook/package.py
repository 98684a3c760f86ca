"""What a workbook's package must be like before anything parses it: whole, not too large, no tricks."""

from __future__ import annotations

import hashlib
import io
import os
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path

from ledcalc.errors import FileProblem

__all__ = ["CALCULATION_NAME", "OWN_NAME", "RESULT_MARK", "checked_bytes", "file_bytes", "own_title", "user_titles"]

# What the titles of result sheets in a user's own workbook end in, so that they keep apart from input sheets.
RESULT_MARK = " (result)"
# The hidden name, one a result sheet, by which results are found again whatever the user calls or moves the sheets. It
# holds the title of the page as text, ="Currents"; sheets of older versions hold TRUE.
OWN_NAME = "ledcalc_result_sheet"
# The hidden name by which it is known that ledcalc itself had a spreadsheet calculate at opening, for its result sheets
# alone: whatever does not read those was calculated before.
CALCULATION_NAME = "ledcalc_calculates_on_load"

MOST_FILE_BYTES = 100_000_000
MOST_UNPACKED_BYTES = 200_000_000
MOST_RATIO = 200.0
MOST_PARTS = 5_000
# Elements cost memory and time, however small they are: a cell takes two.
MOST_ELEMENTS = 1_000_000
# Formats, names and relations are held as objects; spreadsheets allow 65,490 formats.
MOST_ELEMENTS_OF_A_TREE = 250_000
CHUNK_BYTES = 1_000_000
HEAD_BYTES = 4_000
METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_TREES = re.compile(r"xl/(?:workbook|styles)\.xml|.*\.rels|\[Content_Types\]\.xml|docProps/.*|xl/theme/.*")
_XML = re.compile(rb"(?:\xef\xbb\xbf)?\s*<")
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"


def own_title(held: str, title: str) -> str:
    """Return the title of the page that a result sheet shows, empty where nobody can tell.

    Parameters
    ----------
    held : what the sheet's hidden name (``OWN_NAME``) holds, with or without its equals sign
    title : what the sheet is called now

    Examples
    --------
    >>> own_title('="Currents"', "my amps"), own_title("TRUE", "Currents (result)"), own_title("TRUE", "my amps")
    ('Currents', 'Currents', '')
    """
    text = held.strip().removeprefix("=")
    if len(text) > 1 and text[0] == text[-1] == '"':
        return text[1:-1].replace('""', '"')
    return title.removesuffix(RESULT_MARK) if title.endswith(RESULT_MARK) else ""


def user_titles(sheets: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return what result sheets are called by the titles of their pages; of a sheet and its copies, the sheet.

    Parameters
    ----------
    sheets : (title of the page or nothing, what the sheet is called) in their order

    Examples
    --------
    >>> user_titles([("Currents", "Currents (result) (2)"), ("Currents", "Currents (result)"), ("Heat", "my heat")])
    {'Currents': 'Currents (result)', 'Heat': 'my heat'}
    """
    found: dict[str, str] = {}
    for page, title in sheets:
        if page and (page not in found or title == f"{page}{RESULT_MARK}"):
            found[page] = title
    return found


def checked_bytes(path: Path) -> tuple[bytes, str]:
    """Return a workbook's bytes and their SHA-256, or say why it is not read.

    Raises
    ------
    FileProblem: missing, unreadable, not a workbook, encrypted, damaged, half-written or suspicious
    """
    data = file_bytes(path, MOST_FILE_BYTES)
    if data[:4] == OLD_WORKBOOK:
        raise FileProblem(f"{path}: is encrypted or an old .xls workbook; save it as .xlsx without a password")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            _check(path, package, len(data))
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        LookupError,
        OSError,
        RuntimeError,
        ValueError,
        struct.error,
    ) as bad:
        raise FileProblem(
            f"{path}: is no workbook, or only half of one ({bad}); open it in the spreadsheet and save it as .xlsx"
        ) from None
    return data, hashlib.sha256(data).hexdigest()


def file_bytes(path: Path, most_bytes: int) -> bytes:
    """Return a file's bytes; a pipe or a device is not waited for.

    Raises
    ------
    FileProblem: missing, unreadable, too large, or no file
    """
    try:
        # A pipe without a writer would not even open: not to wait is no matter for files.
        with open(
            os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)), "rb"
        ) as stream:
            if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
                raise FileProblem(f"{path}: is no file, but a pipe or a device; save the input as a file")
            data = stream.read(most_bytes + 1)
    except FileNotFoundError:
        raise FileProblem(f"{path}: there is no such file or folder") from None
    except PermissionError as problem:
        # Windows says the same of a file that another program holds.
        held = "close it elsewhere, or " if os.name == "nt" else ""
        raise FileProblem(
            f"{path}: may not be read by this user ({problem.strerror}); {held}give yourself the right to read it"
        ) from None
    except (OSError, ValueError) as problem:
        words = getattr(problem, "strerror", None) or problem
        raise FileProblem(f"{path}: cannot be read ({words}); close it elsewhere and try again") from None
    if len(data) > most_bytes:
        raise FileProblem(f"{path}: larger than {most_bytes // 1_000_000} MB; move what is no input elsewhere")
    return data


def _check(path: Path, package: zipfile.ZipFile, packed: int) -> None:
    entries = package.infolist()
    names = [entry.filename for entry in entries]
    unpacked = sum(entry.file_size for entry in entries)
    if len(names) > MOST_PARTS or unpacked > MOST_UNPACKED_BYTES or unpacked > MOST_RATIO * packed + 1_000_000:
        raise FileProblem(
            f"{path}: unpacks to {unpacked / 1e6:.0f} MB in {len(names)} parts; not read, it may be a trap"
        )
    # Spreadsheets know no difference between large and small letters in names of parts.
    known = {name.casefold() for name in names}
    if len(known) != len(names) or any(name.startswith("/") or ".." in name.split("/") for name in names):
        raise FileProblem(f"{path}: its package holds doubled or outward part names; not read, it may be a trap")
    if "xl/workbook.xml" not in names:
        raise FileProblem(f"{path}: is no .xlsx workbook; save it as .xlsx from the spreadsheet")
    odd = next((entry.filename for entry in entries if entry.compress_type not in METHODS), None)
    if odd is not None:
        raise FileProblem(
            f"{path}: its part {odd} is packed as no spreadsheet does; save it again from the spreadsheet"
        )
    _check_parts(path, package)


def _check_parts(path: Path, package: zipfile.ZipFile) -> None:
    """Read every part through once: its checksum, its document type, how many elements it has."""
    total = 0
    for entry in package.infolist():
        name = entry.filename
        try:
            count = _elements_count(package, entry)
        except zipfile.BadZipFile as bad:
            raise FileProblem(
                f"{path}: its part {name} is damaged ({bad}); save it again from the spreadsheet"
            ) from None
        if count is None:
            raise FileProblem(f"{path}: its part {name} declares a document type; not read, it may be a trap")
        total += count
        if total > MOST_ELEMENTS or (count > MOST_ELEMENTS_OF_A_TREE and _TREES.fullmatch(name)):
            raise FileProblem(
                f"{path}: its part {name} has {count:,} elements; delete formats and rows that hold no input, or move "
                "other sheets elsewhere"
            )


def _elements_count(package: zipfile.ZipFile, entry: zipfile.ZipInfo) -> int | None:
    """Return how many elements an XML part has, None where it declares a document type or hides it by its encoding.

    A sheet that does not say how far it goes counts twice: it is parsed once more to find that out.
    """
    count, last, is_xml, times = 0, b"", entry.filename.endswith((".xml", ".rels")), 1
    for chunk in _chunks(package, entry):
        if not last:
            is_xml = is_xml or _XML.match(chunk) is not None
            if is_xml and (chunk.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in chunk[:200]):
                return None
            times = 2 if entry.filename.startswith("xl/worksheets/") and b"dimension" not in chunk[:HEAD_BYTES] else 1
        if is_xml and b"<!DOCTYPE" in (last + chunk).upper():
            return None
        count += chunk.count(b"<") - chunk.count(b"</") if is_xml else 0
        last = chunk[-len(b"<!DOCTYPE") :]
    return count * times


def _chunks(package: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    with package.open(entry) as stream:
        while chunk := stream.read(CHUNK_BYTES):
            yield chunk
