"""How wide words come out, and where their lines break."""

from __future__ import annotations

import warnings
from functools import lru_cache

__all__ = ["MISSING_LETTERS", "width_in", "wrapped"]

MISSING_LETTERS = "Glyph .* missing from"
POINTS_PER_INCH = 72.0
# Letters are set on whole pixels on the screen, and a little wider for it.
SLACK = 1.04


@lru_cache(maxsize=4096)
def width_in(words: str, size: float, *, is_bold: bool = False) -> float:
    """Return how wide words come out, in inches, for a size in points."""
    if not words:
        return 0.0
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextToPath

    font = FontProperties(weight="bold" if is_bold else "normal", size=size)
    with warnings.catch_warnings():
        # Letters that the font lacks come out as boxes, for all to see.
        warnings.filterwarnings("ignore", message=MISSING_LETTERS)
        width, _, _ = TextToPath().get_text_width_height_descent(words, font, ismath=False)
    return float(width) / POINTS_PER_INCH * SLACK


def wrapped(words: str, most_in: float, size: float, *, is_bold: bool = False, most_lines: int = 99) -> list[str]:
    """Return lines no wider than so many inches, broken at spaces; what is more than ``most_lines`` ends in dots."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if width_in(longer, size, is_bold=is_bold) <= most_in:
            lines[-1] = longer
            continue
        lines += [word] if lines[-1] else []
        lines[-1] = lines[-1] or word
        while len(lines[-1]) > 1 and width_in(lines[-1], size, is_bold=is_bold) > most_in:
            fits = _fitting(lines[-1], most_in, size, is_bold)
            lines[-1:] = [lines[-1][:fits], lines[-1][fits:]]
    if len(lines) > most_lines:
        lines = lines[:most_lines]
        while lines[-1] and width_in(f"{lines[-1]} ...", size, is_bold=is_bold) > most_in:
            lines[-1] = lines[-1][:-1]
        lines[-1] = f"{lines[-1].rstrip()} ..."
    return lines


def _fitting(word: str, most_in: float, size: float, is_bold: bool) -> int:
    """Return how many letters of a word fit, one at least."""
    fits = (n for n in range(len(word) - 1, 0, -1) if width_in(word[:n], size, is_bold=is_bold) <= most_in)
    return next(fits, 1)
