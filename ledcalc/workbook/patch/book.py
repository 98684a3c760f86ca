"""The workbook part of a user's own file: its sheets, which of them are earlier results, edits that swap those."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr, unescape

from ledcalc.workbook.package import CALCULATION_NAME, OWN_NAME, own_title, user_titles
from ledcalc.workbook.patch.xml_edit import (
    Edit,
    Element,
    applied,
    attribute_edit,
    children_of,
    elements_of,
    opened,
)

__all__ = ["Book", "BookSheet", "book_of", "edited_book"]

RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
STRICT = "http://purl.oclc.org/ooxml/"
# What follows the list of sheets in a workbook part, in the standard's order; names stand after the first two.
BEFORE_NAMES = ("sheets", "functionGroups", "externalReferences")
BEFORE_CALCULATION = (*BEFORE_NAMES, "definedNames")


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSheet:
    """One sheet as the workbook part lists it. ``page``: of a result sheet, the title of what it shows, if known."""

    title: str
    number: int
    mark: str
    is_result: bool
    page: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A workbook part as read: its text, its root, its sheets in their order."""

    text: bytes
    root: Element
    sheets: tuple[BookSheet, ...]

    @property
    def result_titles(self) -> dict[str, str]:
        """What the user calls result sheets, by the titles of their pages."""
        return user_titles((sheet.page, sheet.title) for sheet in self.sheets)

    @property
    def is_strict(self) -> bool:
        """Whether it is in the strict form of the standard, whose names differ."""
        return any(STRICT in value for value in self.root.attributes.values())

    @property
    def is_locked(self) -> bool:
        """Whether its structure is locked against new sheets."""
        return any(
            element.attributes.get("lockStructure") in {"1", "true"}
            for element in children_of(self.root, "workbookProtection")
        )


def book_of(text: bytes) -> Book:
    """Return a workbook part as read.

    Raises
    ------
    ValueError: it is not well-formed, or lists no sheets
    """
    root = elements_of(text)
    relation = _relation_prefix(root) or "r:"
    listed = children_of(root, "sheets")
    if not listed:
        raise ValueError("lists no sheets")
    own = {
        int(name.attributes["localSheetId"]): unescape(
            text[name.inside : name.close].decode("utf-8"), {"&quot;": '"', "&apos;": "'"}
        )
        for name in _names(root)
        if name.attributes.get("name") == OWN_NAME and "localSheetId" in name.attributes
    }
    sheets = tuple(
        BookSheet(
            title=sheet.attributes["name"],
            number=int(sheet.attributes["sheetId"]),
            mark=next(
                value for key, value in sheet.attributes.items() if key == f"{relation}id" or key.endswith(":id")
            ),
            is_result=place in own,
            page=own_title(own[place], sheet.attributes["name"]) if place in own else "",
        )
        for place, sheet in enumerate(listed[0].children)
    )
    return Book(text=text, root=root, sheets=sheets)


def _relation_prefix(root: Element) -> str:
    """Return the prefix that stands for relations, with its colon; empty where none is declared at the root."""
    for name, value in root.attributes.items():
        if name.startswith("xmlns:") and value == RELATIONS:
            return f"{name[6:]}:"
    return ""


def _names(root: Element) -> list[Element]:
    return [name for group in children_of(root, "definedNames") for name in group.children]


def edited_book(
    book: Book,
    new: Sequence[tuple[str, str]],
    names: Iterable[tuple[str, int, str]],
    *,
    calculate_on_load: bool,
) -> bytes:
    """Return the workbook part with new results where earlier ones stood; what had none follows the new one before it.

    Parameters
    ----------
    book : as read
    new : (title, mark of the relation) of each new sheet
    names : (name, number of the new sheet, text) of names that belong to one
    calculate_on_load : whether formulas of the user's refer to result sheets, and have to be worked out anew
    """
    root, text = book.root, book.text
    listed = children_of(root, "sheets")[0]
    groups = _grouped(book, [title for title, _ in new])
    order = [(place, number) for place in sorted(groups) for number in groups[place]]
    moved = {place: at for at, (place, number) in enumerate(order) if number is None}
    placed = {number: at for at, (_, number) in enumerate(order) if number is not None}
    lines = _sheet_lines(book, listed, new)
    edits = [
        Edit(element.start, element.end, "".join(lines[number] for number in groups[place] if number is not None))
        for place, element in enumerate(listed.children)
        if book.sheets[place].is_result
    ]
    edits.append(
        opened(text, listed, "".join(lines[number] for number in groups[len(book.sheets)] if number is not None))
    )
    local = [(name, placed[number], text) for name, number, text in names]
    edits += _name_edits(book, moved, local, marks=calculate_on_load and not _calculates(book))
    # Who had an earlier result in sight has the new one in sight.
    edits += _view_edits(book, {place: at for at, (place, _) in reversed(list(enumerate(order)))})
    if calculate_on_load and not _calculates(book):
        edits.append(_calculated(book))
    return applied(text, edits)


def _grouped(book: Book, titles: Sequence[str]) -> dict[int, list[int | None]]:
    """Return what stands where each sheet stood, and at the end: the sheet itself (None), or numbers of new sheets."""
    groups: dict[int, list[int | None]] = {
        place: [] if sheet.is_result else [None] for place, sheet in enumerate(book.sheets)
    }
    end = len(book.sheets)
    groups[end] = []
    old = {sheet.title.casefold(): place for place, sheet in enumerate(book.sheets) if sheet.is_result}
    place = end
    for number, title in enumerate(titles):
        place = old.get(title.casefold(), place)
        groups[place].append(number)
    return groups


def _sheet_lines(book: Book, listed: Element, new: Sequence[tuple[str, str]]) -> list[str]:
    prefix, relation = listed.prefix, _relation_prefix(book.root)
    declared = "" if relation else f" xmlns:r={quoteattr(RELATIONS)}"
    number = max((sheet.number for sheet in book.sheets if not sheet.is_result), default=0)
    return [
        f'<{prefix}sheet{declared} name={quoteattr(title)} sheetId="{number + place}" '
        f"{relation or 'r:'}id={quoteattr(mark)}/>"
        for place, (title, mark) in enumerate(new, start=1)
    ]


def _name_edits(
    book: Book, moved: Mapping[int, int], new: Iterable[tuple[str, int, str]], *, marks: bool
) -> list[Edit]:
    """Return edits of the defined names: those of earlier results out, moved sheets renumbered, new ones in.

    ``marks``: say in a hidden name that calculation at opening is ledcalc's own wish.
    """
    edits = []
    for name in _names(book.root):
        local = name.attributes.get("localSheetId")
        if local is None:
            continue
        if int(local) not in moved:
            edits.append(_gone(name))
        elif moved[int(local)] != int(local):
            edits.append(attribute_edit(book.text, name, {"localSheetId": str(moved[int(local)])}))
    prefix = book.root.prefix
    lines = "".join(
        f'<{prefix}definedName name={quoteattr(name)} localSheetId="{place}"{_hidden(name)}>'
        f"{escape(text)}</{prefix}definedName>"
        for name, place, text in new
    )
    if marks and not any(name.attributes.get("name") == CALCULATION_NAME for name in _names(book.root)):
        lines += f'<{prefix}definedName name="{CALCULATION_NAME}" hidden="1">TRUE</{prefix}definedName>'
    group = children_of(book.root, "definedNames")
    if group:
        edits.append(opened(book.text, group[0], lines))
    else:
        at = _after(book.root, BEFORE_NAMES)
        edits.append(Edit(at, at, f"<{prefix}definedNames>{lines}</{prefix}definedNames>"))
    return edits


def _hidden(name: str) -> str:
    return ' hidden="1"' if name == OWN_NAME else ""


def _view_edits(book: Book, moved: Mapping[int, int]) -> list[Edit]:
    """Return edits that keep the sheet in sight the one that the user left there."""
    edits = []
    for views in children_of(book.root, "bookViews"):
        for view in views.children:
            old = {name: int(view.attributes[name]) for name in ("activeTab", "firstSheet") if name in view.attributes}
            new: dict[str, str | None] = {
                name: str(moved.get(place, 0)) for name, place in old.items() if moved.get(place, 0) != place
            }
            if new:
                edits.append(attribute_edit(book.text, view, new))
    return edits


def _calculates(book: Book) -> bool:
    """Whether a spreadsheet calculates the workbook at opening already: a writer had it so, or the run before."""
    return any(
        element.attributes.get("fullCalcOnLoad") in {"1", "true"} for element in children_of(book.root, "calcPr")
    )


def _calculated(book: Book) -> Edit:
    found = children_of(book.root, "calcPr")
    if found:
        return attribute_edit(book.text, found[0], {"fullCalcOnLoad": "1"})
    at = _after(book.root, BEFORE_CALCULATION)
    return Edit(at, at, f'<{book.root.prefix}calcPr fullCalcOnLoad="1"/>')


def _after(root: Element, names: Sequence[str]) -> int:
    return max(child.end for child in root.children if child.local in names)


def _gone(element: Element) -> Edit:
    return Edit(element.start, element.end, "")
