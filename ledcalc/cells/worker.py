"""Answers calls of cell functions over standard input and output, a JSON line each, until the input ends."""

from __future__ import annotations

import json
import sys
from typing import TextIO

from ledcalc.cells.calling import call_cell

__all__ = ["serve"]


def serve(calls: TextIO, answers: TextIO) -> None:
    """Answer every line ``[name, arguments]`` with a line that holds the answer."""
    for line in calls:
        name, arguments = json.loads(line)
        answers.write(json.dumps(call_cell(name, arguments)) + "\n")
        answers.flush()


if __name__ == "__main__":
    serve(sys.stdin, sys.stdout)
