"""A workbook's package as parts by name: relations between them, content types, what one part reaches."""

from __future__ import annotations

import io
import posixpath
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

from ledcalc.workbook.patch.xml_edit import Edit, Element, applied, children_of, elements_of, opened

__all__ = [
    "CONTENT_TYPES",
    "Relation",
    "packed",
    "reached",
    "relations_of",
    "relations_part",
    "unpacked",
    "with_content_types",
    "with_relations",
    "without_relations",
]

CONTENT_TYPES = "[Content_Types].xml"
Parts = dict[str, bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """One relation of a part: its mark, its kind (a URI), and the part it leads to; empty for what lies outside."""

    mark: str
    kind: str
    target: str


def unpacked(package: bytes) -> Parts:
    """Return a package's parts in their order."""
    with zipfile.ZipFile(io.BytesIO(package)) as archive:
        return {entry.filename: archive.read(entry) for entry in archive.infolist() if not entry.is_dir()}


def packed(parts: Mapping[str, bytes]) -> bytes:
    """Return a package of parts, the content types first as readers expect."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(parts, key=lambda name: name != CONTENT_TYPES):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), parts[name], zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def relations_part(part: str) -> str:
    """Return the name of the part that holds a part's relations."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def relations_of(parts: Mapping[str, bytes], part: str) -> list[Relation]:
    """Return a part's relations; "" stands for the package itself."""
    text = parts.get(relations_part(part))
    if text is None:
        return []
    folder = posixpath.dirname(part)
    found = []
    for element in children_of(elements_of(text), "Relationship"):
        outside = element.attributes.get("TargetMode") == "External"
        target = element.attributes["Target"]
        inside = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
        found.append(
            Relation(mark=element.attributes["Id"], kind=element.attributes["Type"], target="" if outside else inside)
        )
    return found


def reached(parts: Mapping[str, bytes], starts: Iterable[str], *, around: Iterable[str] = ()) -> set[str]:
    """Return every part that parts lead to, themselves and their relations included; ``around``: not through these."""
    found: set[str] = set()
    waiting, barred = list(starts), set(around)
    while waiting:
        part = waiting.pop()
        if part in found or part in barred:
            continue
        found.add(part)
        found.add(relations_part(part))
        waiting += [relation.target for relation in relations_of(parts, part) if relation.target]
    return found


def with_relations(text: bytes, relations: Iterable[tuple[str, str, str]]) -> bytes:
    """Return a relations part with (mark, kind, target) added."""
    root = elements_of(text)
    new = "".join(
        f"<{root.prefix}Relationship Id={quoteattr(mark)} Type={quoteattr(kind)} Target={quoteattr(target)}/>"
        for mark, kind, target in relations
    )
    return applied(text, [opened(text, root, new)])


def without_relations(text: bytes, marks: Iterable[str]) -> bytes:
    """Return a relations part with some of its relations taken out."""
    gone = set(marks)
    root = elements_of(text)
    return applied(text, [_out(element) for element in root.children if element.attributes.get("Id") in gone])


def with_content_types(text: bytes, types: Mapping[str, str], endings: Mapping[str, str], gone: Iterable[str]) -> bytes:
    """Return the content types with those of new parts added and those of parts taken out removed.

    ``types``: part name -> type; ``endings``: file ending -> type, added where the ending has none yet.
    """
    root = elements_of(text)
    removed = {f"/{name}" for name in gone}
    listed = {element.attributes.get("PartName"): element for element in children_of(root, "Override")}
    known = {element.attributes["Extension"].lower() for element in children_of(root, "Default")}
    edits = [_out(element) for name, element in listed.items() if name in removed]
    # Defaults go before overrides, as writers put them.
    ahead = "".join(
        f"<{root.prefix}Default Extension={quoteattr(ending)} ContentType={quoteattr(kind)}/>"
        for ending, kind in endings.items()
        if ending.lower() not in known
    )
    behind = "".join(
        f"<{root.prefix}Override PartName={quoteattr(f'/{name}')} ContentType={quoteattr(kind)}/>"
        for name, kind in types.items()
    )
    edits += [Edit(root.inside, root.inside, ahead), opened(text, root, behind)]
    return applied(text, edits)


def _out(element: Element) -> Edit:
    return Edit(element.start, element.end, "")
