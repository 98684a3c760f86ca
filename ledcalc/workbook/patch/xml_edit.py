"""Changes to an XML part that leave every other byte as it is: elements by where they stand, edits by offset."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from xml.sax.saxutils import quoteattr

__all__ = ["Edit", "Element", "applied", "attribute_edit", "children_of", "elements_of", "opened"]


@dataclass(slots=True)
class Element:
    """An element of a part: its name as written, its attributes, and the bytes that it spans.

    ``start``: of the opening tag; ``inside``: after it; ``close``: of the closing tag; ``end``: after it. Of an element
    that closes itself, ``close`` and ``inside`` are its end.
    """

    name: str
    attributes: dict[str, str]
    depth: int
    start: int
    inside: int = 0
    close: int = 0
    end: int = 0
    children: list[Element] = field(default_factory=list)

    @property
    def local(self) -> str:
        """The name without its prefix."""
        return self.name.rpartition(":")[2]

    @property
    def prefix(self) -> str:
        """The prefix with its colon, empty where there is none."""
        return self.name[: len(self.name) - len(self.local)]

    @property
    def closes_itself(self) -> bool:
        """Whether it has no closing tag of its own."""
        return self.close == self.end


@dataclass(frozen=True, slots=True)
class Edit:
    """Bytes from ``start`` to ``end`` become ``text``."""

    start: int
    end: int
    text: str


def elements_of(part: bytes) -> Element:
    """Return the root of a part, its descendants within; offsets are those of the bytes.

    Raises
    ------
    ValueError: the part is not well-formed, or not UTF-8
    """
    from xml.parsers import expat

    parser: Any = expat.ParserCreate()
    stack: list[Element] = []
    roots: list[Element] = []

    def begin(name: str, attributes: dict[str, str]) -> None:
        element = Element(name=name, attributes=attributes, depth=len(stack), start=parser.CurrentByteIndex)
        (stack[-1].children if stack else roots).append(element)
        stack.append(element)

    def finish(_name: str) -> None:
        element = stack.pop()
        element.inside = _tag_end(part, element.start)
        if part[element.inside - 2 : element.inside] == b"/>":
            element.close = element.end = element.inside
        else:
            element.close = parser.CurrentByteIndex
            element.end = part.index(b">", element.close) + 1

    parser.StartElementHandler, parser.EndElementHandler = begin, finish
    try:
        part.decode("utf-8")
        parser.Parse(part, True)
    except expat.ExpatError as problem:
        raise ValueError(f"is not well-formed: {problem}") from None
    return roots[0]


def _tag_end(part: bytes, start: int) -> int:
    """Return where an opening tag ends; a ">" within quotes does not end it."""
    quote = 0
    for place in range(start, len(part)):
        byte = part[place]
        if quote:
            quote = 0 if byte == quote else quote
        elif byte in b"\"'":
            quote = byte
        elif byte == 0x3E:
            return place + 1
    raise ValueError("a tag does not end")


def children_of(element: Element, local: str) -> list[Element]:
    """Return an element's children of a name, whatever their prefix."""
    return [child for child in element.children if child.local == local]


def opened(part: bytes, element: Element, inside: str) -> Edit:
    """Return the edit that puts text at the end of an element's content, whether or not it closes itself."""
    if not element.closes_itself:
        return Edit(element.close, element.close, inside)
    tag = part[element.start : element.end].decode("utf-8")
    return Edit(element.start, element.end, f"{tag[:-2].rstrip()}>{inside}</{element.name}>")


def attribute_edit(part: bytes, element: Element, changes: Mapping[str, str | None]) -> Edit:
    """Return the edit of an element's opening tag that sets attributes, or takes them out (None)."""
    tag = part[element.start : element.inside].decode("utf-8")
    for name, value in changes.items():
        written = "" if value is None else f" {name}={quoteattr(value)}"
        found = re.search(rf"""\s+{re.escape(name)}\s*=\s*("[^"]*"|'[^']*')""", tag)
        if found:
            tag = tag[: found.start()] + written + tag[found.end() :]
        else:
            at = len(tag) - (2 if tag.endswith("/>") else 1)
            tag = tag[:at].rstrip() + written + tag[at:]
    return Edit(element.start, element.inside, tag)


def applied(part: bytes, edits: Iterable[Edit]) -> bytes:
    """Return the part with edits made; they may not overlap, and those at one place keep their order."""
    pieces: list[bytes] = []
    at = 0
    ordered: Sequence[Edit] = sorted(edits, key=lambda edit: (edit.start, edit.end))
    for edit in ordered:
        if edit.start < at:
            raise ValueError("edits overlap")
        pieces += [part[at : edit.start], edit.text.encode("utf-8")]
        at = edit.end
    return b"".join([*pieces, part[at:]])
