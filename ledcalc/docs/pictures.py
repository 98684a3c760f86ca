"""Makes the README's pictures: sheets of the example and of its results, as LibreOffice prints them.

python -m ledcalc.docs.pictures

Needs LibreOffice Calc and poppler (pdftoppm, pdftotext).
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

from ledcalc.demo import DEMO_FOLDER
from ledcalc.workbook import recalculate
from ledcalc.workbook.calc_program import calc_environment
from ledcalc.workbook.template import copy_inputs

__all__ = ["PICTURES", "make_pictures"]

FOLDER = Path(__file__).parent / "pictures"
# Name of the picture: (inputs or results, sheet, which of its pages from 0).
PICTURES = {
    "fixture.png": ("inputs", "Fixture", 0),
    "verdict.png": ("results", "Verdict", 0),
    "currents.png": ("results", "Currents", 0),
    "light-field.png": ("results", "Light field", 1),
}
DOTS_PER_INCH = 85
MARGIN_PIXELS = 12
# Fewer colours make smaller files; the eye hardly sees it.
COLOURS = 96
TIME_LIMIT_S = 180.0


def make_pictures(folder: Path = FOLDER) -> None:
    """Write every picture into a folder."""
    with tempfile.TemporaryDirectory(prefix="ledcalc-") as scratch:
        work = Path(scratch)
        copy_inputs(DEMO_FOLDER, work / "inputs.xlsx")
        recalculate(work / "inputs.xlsx", work / "results.xlsx")
        for kind in dict.fromkeys(kind for kind, _, _ in PICTURES.values()):
            _print(work / f"{kind}.xlsx")
        for name, (kind, title, place) in PICTURES.items():
            _draw(work / f"{kind}.pdf", title, place, folder / name)


def _print(book: Path) -> None:
    """Print a workbook as PDF beside it, LibreOffice working in a profile of its own."""
    profile = f"-env:UserInstallation={(book.parent / 'profile').as_uri()}"
    _run("soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(book.parent), str(book))


def _draw(pdf: Path, title: str, place: int, target: Path) -> None:
    """Draw a page of a sheet, its white margins cut off."""
    pages = _run("pdftotext", "-layout", str(pdf), "-").split("\f")
    first = next(number for number, text in enumerate(pages, start=1) if text.split("\n")[0].strip() == title)
    page = first + place
    stem = pdf.with_suffix("")
    options = ("-r", str(DOTS_PER_INCH), "-f", str(page), "-l", str(page), "-png", "-singlefile")
    _run("pdftoppm", *options, str(pdf), str(stem))
    _cut(stem.with_suffix(".png"), target)


def _cut(drawn: Path, target: Path) -> None:
    """Cut the white margins off, and the foot of the page with them."""
    import numpy as np
    from PIL import Image

    pixels = np.asarray(Image.open(drawn).convert("RGB"))
    inked = np.any(pixels < 255, axis=2)
    inked[int(0.93 * inked.shape[0]) :] = False
    rows, columns = (np.flatnonzero(inked.any(axis=axis)) for axis in (1, 0))
    top, left = (max(int(places[0]) - MARGIN_PIXELS, 0) for places in (rows, columns))
    bottom, right = (int(places[-1]) + MARGIN_PIXELS for places in (rows, columns))
    cut = Image.fromarray(np.ascontiguousarray(pixels[top:bottom, left:right]))
    cut.quantize(COLOURS, dither=Image.Dither.NONE).save(target, optimize=True)


def _run(*words: str) -> str:
    done = subprocess.run(
        words, capture_output=True, text=True, check=True, timeout=TIME_LIMIT_S, env=calc_environment()
    )
    return done.stdout


if __name__ == "__main__":
    make_pictures()
