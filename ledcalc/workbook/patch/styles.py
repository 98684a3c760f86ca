"""Adds one workbook's cell styles to another's, and says which number each has there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from ledcalc.workbook.patch.xml_edit import Edit, Element, applied, attribute_edit, children_of, elements_of, opened

__all__ = ["MergedStyles", "merged_styles"]

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
# Lists of styles in the order that the standard asks for; each entry refers to earlier ones by number.
LISTS = ("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs")
FIRST_OWN_FORMAT = 164


@dataclass(frozen=True, slots=True, kw_only=True)
class MergedStyles:
    """The host's style part with what was missing, and the numbers of the donor's styles in it."""

    part: bytes
    cell_style: tuple[int, ...]
    differential_style: tuple[int, ...]


def merged_styles(host: bytes, donor: bytes) -> MergedStyles:
    """Return the host's styles with the donor's added; those that it has already are not added again.

    Raises
    ------
    ValueError: a style part that cannot be read
    """
    merge = _Merge(host, donor)
    fonts, fills, borders = merge.plain("fonts"), merge.plain("fills"), merge.plain("borders")
    formats = merge.number_formats()
    numbers = {"fontId": fonts, "fillId": fills, "borderId": borders}
    cells = merge.cell_styles(numbers, formats)
    return MergedStyles(cell_style=cells, differential_style=merge.plain("dxfs"), part=merge.part())


class _Merge:
    def __init__(self, host: bytes, donor: bytes) -> None:
        self._host, self._root = host, elements_of(host)
        # Its own writer made the donor: a tree is enough.
        self._donor = ElementTree.fromstring(donor)
        self._added: dict[str, list[str]] = {}
        self._prefix = self._root.prefix

    def _list(self, name: str) -> Element | None:
        found = children_of(self._root, name)
        return found[0] if found else None

    def _donors(self, name: str) -> list[Any]:
        found = self._donor.find(f"{{{MAIN}}}{name}")
        return [] if found is None else list(found)

    def _hosts(self, name: str) -> list[str]:
        """Return the host's entries of a list, each in a form that compares."""
        found = self._list(name)
        if found is None:
            return []
        tree = ElementTree.fromstring(self._host).find(f"{{{MAIN}}}{name}")
        return [] if tree is None else [_canonical(entry) for entry in tree]

    def plain(self, name: str) -> tuple[int, ...]:
        """Return the numbers of a list's entries that refer to no other list."""
        return tuple(self._place(name, known, entry) for known in [self._hosts(name)] for entry in self._donors(name))

    def _place(self, name: str, known: list[str], entry: Any) -> int:
        canonical = _canonical(entry)
        if canonical in known:
            return known.index(canonical)
        known.append(canonical)
        self._added.setdefault(name, []).append(self._written(entry))
        return len(known) - 1

    def number_formats(self) -> dict[str, str]:
        """Return the donor's own number formats, by number, as numbers of the host."""
        own = self._list("numFmts")
        known = {child.attributes["formatCode"]: child.attributes["numFmtId"] for child in own.children} if own else {}
        highest = max([FIRST_OWN_FORMAT - 1, *(int(number) for number in known.values())])
        numbers = {}
        for entry in self._donors("numFmts"):
            code = entry.attrib["formatCode"]
            if code not in known:
                highest += 1
                known[code] = str(highest)
                new = ElementTree.Element(entry.tag, {"numFmtId": known[code], "formatCode": code})
                self._added.setdefault("numFmts", []).append(self._written(new))
            numbers[entry.attrib["numFmtId"]] = known[code]
        return numbers

    def cell_styles(self, numbers: dict[str, tuple[int, ...]], formats: dict[str, str]) -> tuple[int, ...]:
        """Return the numbers of the donor's cell styles."""
        known, placed = self._hosts("cellXfs"), []
        for entry in self._donors("cellXfs"):
            new = ElementTree.fromstring(ElementTree.tostring(entry))
            for attribute, places in numbers.items():
                new.attrib[attribute] = str(places[int(new.attrib[attribute])])
            new.attrib["numFmtId"] = formats.get(new.attrib["numFmtId"], new.attrib["numFmtId"])
            new.attrib["xfId"] = "0"
            placed.append(self._place("cellXfs", known, new))
        return tuple(placed)

    def _written(self, entry: Any) -> str:
        """Return an entry as text in the host's own prefix."""
        return _text(entry, self._prefix)

    def part(self) -> bytes:
        """Return the host's part with what was added, and its counts put right."""
        edits: list[Edit] = []
        for name, texts in self._added.items():
            found = self._list(name)
            if found is None:
                tag = f"{self._prefix}{name}"
                text = f'<{tag} count="{len(texts)}">{"".join(texts)}</{tag}>'
                edits.append(self._new_list(name, text))
                continue
            count = attribute_edit(self._host, found, {"count": str(len(found.children) + len(texts))})
            if found.closes_itself:
                tag = count.text[:-2].rstrip()
                edits.append(Edit(found.start, found.end, f"{tag}>{''.join(texts)}</{found.name}>"))
            else:
                edits += [count, opened(self._host, found, "".join(texts))]
        return applied(self._host, edits)

    def _new_list(self, name: str, text: str) -> Edit:
        """Return the edit that puts a list the host does not have where the standard wants it."""
        before: Sequence[str] = LISTS[: LISTS.index(name)]
        earlier = [child for child in self._root.children if child.local in before]
        at = earlier[-1].end if earlier else self._root.inside
        return Edit(at, at, text)


def _canonical(entry: Any) -> str:
    """Return an entry in a form that is the same for the same style."""
    shallow = sorted((name, value) for name, value in entry.attrib.items() if not name.startswith("{"))
    return f"{entry.tag}{shallow}({''.join(_canonical(child) for child in entry)})"


def _text(entry: Any, prefix: str) -> str:
    from xml.sax.saxutils import quoteattr

    name = prefix + entry.tag.rpartition("}")[2]
    attributes = "".join(f" {key}={quoteattr(value)}" for key, value in entry.attrib.items())
    inside = "".join(_text(child, prefix) for child in entry)
    return f"<{name}{attributes}>{inside}</{name}>" if inside else f"<{name}{attributes}/>"
