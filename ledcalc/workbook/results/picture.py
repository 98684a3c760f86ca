"""The picture of the light field on its result sheet, and where it stands as a file."""

from __future__ import annotations

from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Image, Lines

__all__ = [
    "PICTURE_IN_FOLDER",
    "picture_asked_for",
    "picture_block",
    "picture_path",
    "refuse_foreign_picture",
    "write_bytes",
]

PICTURE_IN_FOLDER = "Light field.png"
HEADING = "Picture"
BOOK_ENDINGS = (".xlsx", ".xlsm")
# What ledcalc's own pictures carry.
OWN_MARK = b"Software\0ledcalc "


def picture_block(results: Evaluation) -> Image | Lines:
    """Return the picture for the light field's page, or the line that says why there is none."""
    # It loads what draws, which takes as long as all the rest.
    from ledcalc.picture import drawn_picture

    drawn = drawn_picture(results)
    if drawn is None:
        return Lines(heading=HEADING, lines=("There is no light to show.",))
    return Image(
        heading=HEADING,
        png=drawn.png,
        width_in=drawn.width_in,
        height_in=drawn.height_in,
        description=drawn.description,
    )


def picture_asked_for(results: Evaluation, with_picture: bool | None) -> Image | Lines | None:
    """Return ``picture_block`` where it is wanted; ``with_picture`` None: as the Fixture sheet says."""
    wanted = results.fixture.picture == "yes" if with_picture is None else with_picture
    return picture_block(results) if wanted else None


def picture_path(target: Path) -> Path:
    """Return where the picture stands: beside a result workbook, within a result folder.

    Examples
    --------
    >>> picture_path(Path("bench-results.xlsx")).name
    'bench-results-light-field.png'
    """
    if target.suffix.lower() in BOOK_ENDINGS:
        return target.with_name(f"{target.stem}-light-field.png")
    return target / PICTURE_IN_FOLDER


def refuse_foreign_picture(path: Path) -> None:
    """Refuse to replace a picture that ledcalc did not draw."""
    try:
        own = not path.exists() or OWN_MARK in path.read_bytes()
    except OSError:
        own = False
    if not own:
        raise FileProblem(f"{path}: is there already and was not drawn by ledcalc; choose another name for the results")


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file."""
    path.write_bytes(content)
