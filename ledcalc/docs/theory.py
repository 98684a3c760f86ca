"""The theory page: chapters written by hand, and under each every formula, method and source from the docstrings."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

from ledcalc.docs.formulas import formula_lines
from ledcalc.docs.public_names import exported
from ledcalc.docs.source_reading import Documented, documented, is_property, signature_text

__all__ = ["CHAPTERS", "chapter_of", "first_sentence", "theory_page"]

CHAPTER_FOLDER = Path(__file__).parent / "chapters"
# Which modules a chapter takes; the first pattern that fits counts, so narrow ones stand before wide ones.
PATTERNS = (
    ("wiring/protection*", "protection"),
    ("wiring/class_2", "protection"),
    ("wiring/devices", "protection"),
    ("wiring/earthing", "protection"),
    ("wiring/inrush", "protection"),
    ("wiring/residual_current", "protection"),
    ("wiring/circuit_load", "protection"),
    ("wiring/mains", "protection"),
    ("wiring/*", "wiring"),
    ("circuit/*", "circuits"),
    ("heat/*", "heat"),
    ("photons/ageing*", "ageing"),
    ("photons/schedule", "ageing"),
    ("ageing/*", "ageing"),
    ("photons/crops", "dose"),
    ("ppfd/dose", "dose"),
    ("photons/*", "light"),
    ("ppfd/*", "light"),
    ("bench/*", "bench"),
    ("calibrate/*", "calibration"),
    ("cost/*", "cost"),
    ("variants/*", "cost"),
    ("fabrication/*", "making"),
    ("building/*", "making"),
    ("*", "whole"),
)
# What a text or a table of figures is made from is no theory; nor is what carries it to and fro.
WITHOUT_THEORY = ("docs", "commands", "workbook", "cells", "live", "streams", "schema", "tables", "units", "arguments")
CHAPTERS = (
    "circuits",
    "heat",
    "wiring",
    "protection",
    "light",
    "dose",
    "ageing",
    "bench",
    "calibration",
    "cost",
    "making",
    "whole",
)
LABELS = {"Validity": "Holds for", "References": "Source", "Validity, References": "Holds for, and source"}
EQUATION = re.compile(r"\w\)? = [^=]")
HEAD = """# Theory: what is worked out, how, and what it rests on

Each chapter opens with what a builder needs to know of it. The entries below the opening are made from the functions
themselves: what each returns, its arithmetic where that is a few lines, where it holds, and its sources. Arithmetic is
written as the code has it: `^` raises to a power, `where(a, b, c)` is b where a holds and else c, and the ending of a
name is its unit (`_a` A, `_v` V, `_w` W, `_c` degC, `_k_per_w` K/W). Sources were read in public copies, quotes or
handbooks, or are from memory where that is said; no standard's official text was read, and no result claims conformity
with one.

> **Caution.** A formula is as good as the numbers put into it, and holds where its entry says so. Mains and DC above
> touch limits can kill, heat sinks burn, bright light harms eyes. These pages replace neither your local electrical
> code nor a licensed electrician.
"""


def theory_page() -> str:
    """Return the whole page."""
    by_chapter: dict[str, list[Documented]] = {chapter: [] for chapter in CHAPTERS}
    for found in documented():
        if _is_theory(found):
            by_chapter[chapter_of(found.place)].append(found)
    lines = [HEAD, "## Chapters", ""]
    opened = {chapter: (CHAPTER_FOLDER / f"{chapter}.md").read_text(encoding="utf-8").strip() for chapter in CHAPTERS}
    lines += [f"- [{_title(text)}](#{_anchor(_title(text))})" for text in opened.values()]
    for chapter, text in opened.items():
        lines += ["", text.replace("# ", "## ", 1), *(line for found in by_chapter[chapter] for line in _entry(found))]
    return "\n".join([*lines, ""])


def chapter_of(place: str) -> str:
    """Return the chapter of a module, given as folder/file."""
    return next(chapter for pattern, chapter in PATTERNS if fnmatch(place, pattern))


def _is_theory(found: Documented) -> bool:
    if found.place.split("/")[0] in WITHOUT_THEORY:
        return False
    if set(LABELS) & set(found.sections):
        return True
    if any(part.startswith("_") for part in found.name.split(".")):
        return False
    if EQUATION.search(found.sentence):
        return True
    offered = (found.place, found.name.split(".")[0]) in exported()
    return offered and not is_property(found) and bool(formula_lines(found))


def _title(text: str) -> str:
    return text.splitlines()[0].removeprefix("# ")


def _anchor(title: str) -> str:
    return re.sub(r"[^\w -]", "", title.lower()).replace(" ", "-")


def _entry(found: Documented) -> Iterator[str]:
    yield from ("", f"### {found.name.replace('.', ', ')}", "")
    yield _sentence(found.sentence)
    yield from ("", f"`ledcalc.{found.place.replace('/', '.')}`: `{signature_text(found)}`")
    lines = formula_lines(found)
    if lines:
        yield from ("", "```text", *lines, "```")
    for heading, label in LABELS.items():
        if heading in found.sections:
            yield from ("", f"*{label}:* {_flowing(found.sections[heading])}")


def _sentence(text: str) -> str:
    """Return a docstring's opening without its verb; a letter that stands for a quantity stays as it is."""
    said = _flowing(text).removeprefix("Return").lstrip(", ")
    is_symbol = re.match(r"[b-z] ", said) is not None
    return said if is_symbol else said[0].upper() + said[1:]


def first_sentence(found: Documented) -> str:
    """Return the first paragraph of a docstring, on one line."""
    return _sentence(found.sentence.split("\n\n")[0])


def _flowing(text: str) -> str:
    """Return the text on one line a paragraph, double backquotes as Markdown has them."""
    return re.sub(r"\n(?!\n)(?<!\n\n)", " ", text.strip()).replace("``", "`")
