"""Evaluates open workbooks for a spreadsheet that runs another Python: a JSON line in, a JSON line out."""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path
from typing import TextIO

from ledcalc.live.exchange import answer_for

__all__ = ["serve"]


def serve(asked: TextIO, answers: TextIO, folder: Path) -> None:
    """Answer every line, a workbook's cells, with a line that says where its result sheets are."""
    for line in asked:
        answers.write(json.dumps(answer_for(json.loads(line), folder)) + "\n")
        answers.flush()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="ledcalc-") as made:
        serve(sys.stdin, sys.stdout, Path(made))
