"""Result sheets made for another workbook: texts within the cells, styles by that workbook's numbers, parts renamed."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from ledcalc.workbook.patch.parts import CONTENT_TYPES, relations_of, relations_part

__all__ = ["Donor", "donated"]

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
PACKAGE_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"


@dataclass(frozen=True, slots=True, kw_only=True)
class Donor:
    """Sheets ready to be put in: (title, part) in their order, all parts with what they lead to, their types.

    ``names``: (name, sheet number, text) of names that belong to a sheet, such as the rows that repeat in print.
    """

    sheets: tuple[tuple[str, str], ...]
    parts: Mapping[str, bytes]
    types: Mapping[str, str]
    endings: Mapping[str, str]
    names: tuple[tuple[str, int, str], ...]


def donated(
    parts: Mapping[str, bytes],
    cell_style: Sequence[int],
    differential_style: Sequence[int],
    taken: Callable[[str], bool],
) -> Donor:
    """Return the sheets of a workbook that xlsxwriter made, for a host that numbers styles otherwise.

    Parameters
    ----------
    parts : the donor's package
    cell_style, differential_style : its style numbers as the host's
    taken : whether the host has a part of that name already
    """
    book = ElementTree.fromstring(parts["xl/workbook.xml"])
    by_mark = {relation.mark: relation.target for relation in relations_of(parts, "xl/workbook.xml")}
    texts = _shared_texts(parts)
    listed = book.findall(f"{{{MAIN}}}sheets/{{{MAIN}}}sheet")
    sheets = [(sheet.attrib["name"], by_mark[sheet.attrib[f"{{{RELATIONS}}}id"]]) for sheet in listed]
    new_name = _renamed(parts, [part for _, part in sheets], taken)
    made: dict[str, bytes] = {}
    for old, new in new_name.items():
        content = parts[old]
        if old.startswith("xl/worksheets/"):
            content = _sheet(content, texts, cell_style, differential_style)
        made[new] = content
        relations = parts.get(relations_part(old))
        if relations is not None:
            made[relations_part(new)] = _retargeted(relations, old, new, new_name)
    types, endings = _types(parts, new_name)
    return Donor(
        sheets=tuple((title, new_name[part]) for title, part in sheets),
        parts=made,
        types=types,
        endings=endings,
        names=tuple(
            (name.attrib["name"], int(name.attrib["localSheetId"]), name.text or "")
            for name in book.findall(f"{{{MAIN}}}definedNames/{{{MAIN}}}definedName")
            if "localSheetId" in name.attrib
        ),
    )


def _shared_texts(parts: Mapping[str, bytes]) -> list[Any]:
    part = parts.get("xl/sharedStrings.xml")
    return [] if part is None else list(ElementTree.fromstring(part))


def _renamed(parts: Mapping[str, bytes], sheets: Sequence[str], taken: Callable[[str], bool]) -> dict[str, str]:
    """Return old -> new name of the sheets and all that they lead to."""
    found: dict[str, str] = {}
    waiting = list(sheets)
    while waiting:
        part = waiting.pop(0)
        if part in found:
            continue
        folder, name = posixpath.split(part)
        new, number = posixpath.join(folder, f"ledcalc-{name}"), 1
        while taken(new):
            number += 1
            new = posixpath.join(folder, f"ledcalc-{number}-{name}")
        found[part] = new
        waiting += [relation.target for relation in relations_of(parts, part) if relation.target]
    return found


def _retargeted(relations: bytes, old: str, new: str, new_name: Mapping[str, str]) -> bytes:
    tree = ElementTree.fromstring(relations)
    for relation in tree:
        if relation.attrib.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join(posixpath.dirname(old), relation.attrib["Target"]))
            relation.attrib["Target"] = posixpath.relpath(new_name[target], posixpath.dirname(new))
    return _bytes(tree, PACKAGE_RELATIONS)


def _sheet(part: bytes, texts: Sequence[Any], cell_style: Sequence[int], differential_style: Sequence[int]) -> bytes:
    """Return a sheet with its texts in its cells and the host's style numbers."""
    tree = ElementTree.fromstring(part)
    for view in tree.iter(f"{{{MAIN}}}sheetView"):
        view.attrib.pop("tabSelected", None)
    for attribute, tag in (("s", "c"), ("s", "row"), ("style", "col")):
        for element in tree.iter(f"{{{MAIN}}}{tag}"):
            if attribute in element.attrib:
                element.attrib[attribute] = str(cell_style[int(element.attrib[attribute])])
    for rule in tree.iter(f"{{{MAIN}}}cfRule"):
        if "dxfId" in rule.attrib:
            rule.attrib["dxfId"] = str(differential_style[int(rule.attrib["dxfId"])])
    for cell in tree.iter(f"{{{MAIN}}}c"):
        if cell.attrib.get("t") == "s":
            _write_text(cell, texts[int(cell[0].text or 0)])
    return _bytes(tree, MAIN)


def _write_text(cell: Any, shared: Any) -> None:
    cell.attrib["t"] = "inlineStr"
    for child in list(cell):
        cell.remove(child)
    inline = ElementTree.SubElement(cell, f"{{{MAIN}}}is")
    for child in shared:
        inline.append(child)


def _types(parts: Mapping[str, bytes], new_name: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    tree = ElementTree.fromstring(parts[CONTENT_TYPES])
    own = {
        entry.attrib["PartName"].lstrip("/"): entry.attrib["ContentType"] for entry in tree.iter(f"{{{TYPES}}}Override")
    }
    types = {new: own[old] for old, new in new_name.items() if old in own}
    used = {posixpath.splitext(new)[1].lstrip(".") for old, new in new_name.items() if old not in own}
    endings = {
        entry.attrib["Extension"]: entry.attrib["ContentType"]
        for entry in tree.iter(f"{{{TYPES}}}Default")
        if entry.attrib["Extension"] in used
    }
    return types, endings


def _bytes(tree: Any, own: str) -> bytes:
    """Return a tree as text, its own namespace without a prefix."""
    ElementTree.register_namespace("", own)
    ElementTree.register_namespace("r", RELATIONS)
    return bytes(ElementTree.tostring(tree, encoding="UTF-8", xml_declaration=True))
