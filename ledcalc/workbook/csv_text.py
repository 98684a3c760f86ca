"""Values as CSV text that no spreadsheet takes for a formula."""

from __future__ import annotations

import math

from ledcalc.schema import Value
from ledcalc.workbook.csv_folder import FORMULA_STARTS, is_quoted
from ledcalc.workbook.texts import written_text

__all__ = ["csv_text"]


def csv_text(value: Value | None) -> str:
    """Return a value as text for a CSV cell: numbers as numbers, NaN and None blank, an apostrophe before a
    formula's start, and before text that would lose its own when read.

    References
    ----------
    CWE-1236; OWASP ASVS on formula injection.

    Examples
    --------
    >>> csv_text("=1+1"), csv_text(-0.018), csv_text(None)
    ("'=1+1", '-0.018', '')
    """
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, float):
        return f"{value:.12g}"
    if not isinstance(value, str):
        return str(value)
    # Tabs and line ends are blanks from here on, as in all that is read.
    text = written_text(value)
    return f"'{text}" if text.startswith(FORMULA_STARTS) or is_quoted(text) else text
