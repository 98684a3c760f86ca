"""Lines and numbers of a photometric file, each with its line number."""

from __future__ import annotations

import re

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import FileProblem

__all__ = ["NumberedLines"]

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


class NumberedLines:
    """The lines of a file, taken one after another.

    Parameters
    ----------
    content : text, or bytes in ASCII, UTF-8 or Latin-1
    name : what errors call the file

    Raises
    ------
    FileProblem : it is no text
    """

    def __init__(self, content: str | bytes, name: str) -> None:
        self.name = name
        # Old files end in the end-of-file sign of their time (hex 1A).
        whole = (content if isinstance(content, str) else _decoded(content)).lstrip("\ufeff")
        text = whole.rstrip("\x1a \t\r\n")
        if not text or "\0" in text:
            raise FileProblem(f"{name}: is {'no text file' if text else 'empty'}; a photometric file is plain text")
        self.lines = re.split(r"\r\n|\n|\r", text)
        self.taken_count = 0
        self.has_last_line_end = whole.rstrip(" \t").endswith(("\r", "\n", "\x1a"))

    @property
    def line(self) -> int:
        """The number of the line taken last, from 1."""
        return self.taken_count

    def problem(self, text: str, line: int | None = None) -> FileProblem:
        """Return the error for the line taken last, or for another."""
        return FileProblem(f"{self.name}: line {self.line if line is None else line}: {text}")

    def text(self, due: str) -> str:
        """Return the next line, or say what was due where the file ends."""
        if self.taken_count >= len(self.lines):
            raise self.problem(f"the file ends here, before {due}; it is cut short or its counts are wrong")
        self.taken_count += 1
        return self.lines[self.taken_count - 1]

    def values(self, due: str, count: int) -> FloatArray:
        """Return so many numbers, from as many lines as they fill; the last of these must end with them."""
        found: list[float] = []
        while len(found) < count:
            tokens = self._tokens(self.text(f"{due} ({len(found)} of {count} found)"))
            found += [self._number(token, due) for token in tokens]
        if len(found) > count:
            raise self.problem(
                f"{len(found)} numbers where {count} were due for {due}; correct the counts, "
                "or begin what follows on a line of its own"
            )
        return np.array(found)

    def nothing_left(self) -> None:
        """Say so if more than blank lines follows."""
        while self.taken_count < len(self.lines):
            left = self.text("nothing").strip()
            if left:
                raise self.problem(f"{left[:40]!r} after the last candela value due; the numbers of angles do not fit")

    def _tokens(self, line: str) -> list[str]:
        parts = line.strip(" \t,")
        if re.search(r",[ \t]*,", parts):
            raise self.problem("two commas with no number between them")
        return [token for token in re.split(r"[ \t,]+", parts) if token]

    def _number(self, token: str, due: str) -> float:
        if not NUMBER.fullmatch(token):
            raise self.problem(f"{token[:40]!r} is no number, among the values for {due}")
        value = float(token)
        if not np.isfinite(value):
            raise self.problem(f"{token[:40]} is too large to be meant, among the values for {due}")
        return value


def _decoded(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")
