"""Texts as every file takes them that results are written to, wherever they came from."""

from __future__ import annotations

from ledcalc.schema import UNWRITABLE
from ledcalc.workbook.grid import LONGEST_TEXT

__all__ = ["written_text"]

CUT = " ..."


def written_text(text: str) -> str:
    """Return a text without characters that XML and spreadsheets refuse, cut where a cell would not hold it.

    Examples
    --------
    >>> written_text("bell\\x07"), len(written_text("x" * 40_000))
    ('bell\ufffd', 32767)
    """
    clean = UNWRITABLE.sub(lambda found: " " if found.group() in "\t\n\r" else "\N{REPLACEMENT CHARACTER}", text)
    return clean if len(clean) <= LONGEST_TEXT else f"{clean[: LONGEST_TEXT - len(CUT)]}{CUT}"
