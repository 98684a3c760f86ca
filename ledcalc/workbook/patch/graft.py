"""Puts result sheets into a package, in place of earlier ones; every other part stays byte for byte."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from xml.sax.saxutils import escape

from ledcalc.errors import FileProblem
from ledcalc.workbook.patch.book import Book, book_of, edited_book
from ledcalc.workbook.patch.donor import Donor, donated
from ledcalc.workbook.patch.parts import (
    CONTENT_TYPES,
    packed,
    reached,
    relations_of,
    relations_part,
    unpacked,
    with_content_types,
    with_relations,
    without_relations,
)
from ledcalc.workbook.patch.styles import merged_styles

__all__ = ["Grafted", "grafted", "result_titles"]

SHEET_KIND = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"
STYLES_KIND = "/styles"
CHAIN_KIND = "/calcChain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Grafted:
    """A package with result sheets in it. ``is_calculated_on_load``: formulas of the user's read result sheets."""

    package: bytes
    is_calculated_on_load: bool


def grafted(host: bytes, donor: bytes) -> Grafted:
    """Return the host's package with the donor's sheets in place of earlier results.

    Parameters
    ----------
    host : a user's own workbook, checked before
    donor : a workbook of result sheets that xlsxwriter made

    Raises
    ------
    FileProblem: the host cannot be patched without loss or risk; its words say why
    """
    parts = unpacked(host)
    with _standard():
        return _grafted(parts, unpacked(donor))


def result_titles(host: bytes) -> dict[str, str]:
    """Return what the user calls the result sheets in a workbook, by the titles of their pages.

    Raises
    ------
    FileProblem: as ``grafted``
    """
    parts = unpacked(host)
    with _standard():
        return book_of(parts[_book_part(parts)]).result_titles


@contextmanager
def _standard() -> Iterator[None]:
    """Tell a package that is not built as the standard says from a fault of our own."""
    try:
        yield
    except (ValueError, KeyError, IndexError, StopIteration) as problem:
        raise FileProblem(
            f"its package is not built as the standard says ({problem}); save it again from the spreadsheet"
        ) from None


def _grafted(parts: dict[str, bytes], given: Mapping[str, bytes]) -> Grafted:
    place = _book_part(parts)
    book = book_of(parts[place])
    _refuse(parts, book)
    relations = {relation.mark: relation for relation in relations_of(parts, place)}
    styles = next(relation.target for relation in relations.values() if relation.kind.endswith(STYLES_KIND))
    old = {sheet.mark: relations[sheet.mark].target for sheet in book.sheets if sheet.is_result}
    own = [relations[sheet.mark].target for sheet in book.sheets if not sheet.is_result]
    chain = {
        mark: relation.target
        for mark, relation in relations.items()
        if relation.kind.endswith(CHAIN_KIND) and any(b"<f" in parts[part] for part in old.values())
    }
    leaving = set(old.values()) | set(chain.values())
    gone = (reached(parts, leaving) - reached(parts, [""], around=leaving)) & set(parts)
    kept = {name: text for name, text in parts.items() if name not in gone}
    merged = merged_styles(parts[styles], given["xl/styles.xml"])
    made = donated(given, merged.cell_style, merged.differential_style, taken=lambda name: name in kept)
    _refuse_clash(book, made)
    calculate = _reads_any(
        [parts[part] for part in own],
        {title for title, _ in made.sheets} | {sheet.title for sheet in book.sheets if sheet.is_result},
    )
    marks = _new_marks(relations.keys() - old.keys(), len(made.sheets))
    text = without_relations(parts[relations_part(place)], [*old, *chain])
    new_relations = [(mark, SHEET_KIND, f"/{part}") for mark, (_, part) in zip(marks, made.sheets, strict=True)]
    titles = [(title, mark) for mark, (title, _) in zip(marks, made.sheets, strict=True)]
    kept[place] = edited_book(book, titles, made.names, calculate_on_load=calculate)
    kept[relations_part(place)] = with_relations(text, new_relations)
    kept[styles] = merged.part
    kept[CONTENT_TYPES] = with_content_types(parts[CONTENT_TYPES], made.types, made.endings, gone)
    return Grafted(package=packed(kept | dict(made.parts)), is_calculated_on_load=calculate)


def _reads_any(sheets: Sequence[bytes], titles: Collection[str]) -> bool:
    """Return whether formulas of sheets read one of the sheets of these titles."""
    said = [escape(title.replace("'", "''")).encode() for title in titles]
    plain = [sheet.replace(b"&apos;", b"'") for sheet in sheets]
    return any(title + mark in sheet for sheet in plain for title in said for mark in (b"!", b"'!"))


def _book_part(parts: Mapping[str, bytes]) -> str:
    return next(relation.target for relation in relations_of(parts, "") if relation.kind.endswith("/officeDocument"))


def _refuse(parts: Mapping[str, bytes], book: Book) -> None:
    """Refuse what cannot be patched without loss or risk."""
    if book.is_strict:
        raise FileProblem("is in the strict form of the standard; save it as an ordinary .xlsx")
    if book.is_locked:
        raise FileProblem("its structure is protected against new sheets; take the protection off")
    if any(name.startswith("_xmlsignatures/") for name in parts):
        raise FileProblem("is signed, and a change would break the signature; save a copy without it")
    if any(name.startswith("xl/revisions/") for name in parts):
        raise FileProblem("is shared with a record of changes; stop sharing it first")


def _refuse_clash(book: Book, made: Donor) -> None:
    own = {sheet.title.casefold() for sheet in book.sheets if not sheet.is_result}
    for title, _ in made.sheets:
        if title.casefold() in own:
            raise FileProblem(f"has a sheet {title!r} of your own; rename it, results go into one of that name")


def _new_marks(taken: Collection[str], count: int) -> Sequence[str]:
    free = (mark for number in range(1, len(taken) + count + 1) if (mark := f"rIdLc{number}") not in taken)
    return list(islice(free, count))
