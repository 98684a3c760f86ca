"""Reads the package's own source: what is documented, with signature, sections of the docstring, and short formulas."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TypeAlias

from ledcalc.units import SUFFIX_UNITS, UNITS, name_unit

__all__ = ["Documented", "documented", "is_property", "parameter_units", "returned", "signature_text"]

ROOT = Path(__file__).parents[1]
Function: TypeAlias = ast.FunctionDef
_HEADING = re.compile(r"^([A-Z][A-Za-z, ]+)\n-{3,}\n", re.MULTILINE)
_PARAMETER = re.compile(r"^(\w+) : (.*)$", re.MULTILINE)
# The first words of a parameter's text, where they are a unit: "W, at least 0" has one, "any shape" has none.
_FIRST_WORDS = re.compile(r"[^,:;(]+")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Documented:
    """A function, method or class with its docstring taken apart.

    ``place`` is the module as folder/file, ``sentence`` the text before the first section, ``sections`` the rest by
    heading, ``constants`` the module's named numbers.
    """

    name: str
    place: str
    node: Function | ast.ClassDef
    sentence: str
    sections: Mapping[str, str]
    constants: Mapping[str, str]


@cache
def documented() -> tuple[Documented, ...]:
    """Return all that has a docstring, module by module in the order of their names, in the order of the source."""
    paths = sorted(path for path in ROOT.rglob("*.py") if "__pycache__" not in path.parts)
    return tuple(found for path in paths for found in _in_module(path))


def _in_module(path: Path) -> Iterator[Documented]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    place = path.relative_to(ROOT).with_suffix("").as_posix()
    constants = dict(_constants(tree))
    for node in tree.body:
        if isinstance(node, Function | ast.ClassDef):
            yield from _documented(node, node.name, place, constants)
        if isinstance(node, ast.ClassDef):
            for member in node.body:
                if isinstance(member, Function):
                    yield from _documented(member, f"{node.name}.{member.name}", place, constants)


def _documented(
    node: Function | ast.ClassDef, name: str, place: str, constants: Mapping[str, str]
) -> Iterator[Documented]:
    text = ast.get_docstring(node)
    if text:
        sentence, *rest = _HEADING.split(text)
        sections = {heading: body.strip() for heading, body in zip(rest[::2], rest[1::2], strict=True)}
        yield Documented(
            name=name, place=place, node=node, sentence=sentence.strip(), sections=sections, constants=constants
        )


def _constants(tree: ast.Module) -> Iterator[tuple[str, str]]:
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name = node.targets[0].id
            if name.isupper() and isinstance(node.value, ast.Constant) and isinstance(node.value.value, int | float):
                yield name, ast.unparse(node.value)


def is_property(found: Documented) -> bool:
    """Return whether it is read like a value, without a call."""
    marks = found.node.decorator_list
    return any(isinstance(mark, ast.Name) and mark.id in {"property", "cached_property"} for mark in marks)


def parameter_units(found: Documented) -> dict[str, str]:
    """Return argument -> unit, by the end of the name, else by the first words of its text in the docstring."""
    units = {name: _named_unit(name) for name in _argument_names(found)}
    for name, text in _PARAMETER.findall(found.sections.get("Parameters", "")):
        opening = _FIRST_WORDS.match(text)
        words = opening.group().strip() if opening else ""
        if words in UNITS and not units.get(name):
            units[name] = words
    return {name: unit for name, unit in units.items() if unit not in {"", "1"}}


def _named_unit(name: str) -> str:
    """Return the unit that a name ends in; none where it ends in what something is counted by (``ohm_per_m``)."""
    is_by = any(name.endswith(f"_per{ending}") for ending in SUFFIX_UNITS if not ending.startswith("_per"))
    is_named = any(name.endswith(ending) for ending in SUFFIX_UNITS if "_per_" in ending)
    return name_unit(name) or "" if is_named or not is_by else ""


def _argument_names(found: Documented) -> list[str]:
    if isinstance(found.node, ast.ClassDef):
        return []
    given = found.node.args
    return [argument.arg for argument in (*given.posonlyargs, *given.args, *given.kwonlyargs)]


def signature_text(found: Documented) -> str:
    """Return the call with units in brackets behind the arguments that have one."""
    if isinstance(found.node, ast.ClassDef):
        return found.name
    units, given = parameter_units(found), found.node.args
    plain = [argument.arg for argument in (*given.posonlyargs, *given.args) if argument.arg not in {"self", "cls"}]
    defaults = [""] * (len(plain) - len(given.defaults)) + [_default(found, value) for value in given.defaults]
    parts = list(zip(plain, defaults, strict=True))
    if given.vararg and not given.kwonlyargs:
        parts.append((f"*{given.vararg.arg}", ""))
    if given.kwonlyargs:
        named = ["" if value is None else _default(found, value) for value in given.kw_defaults]
        names = [argument.arg for argument in given.kwonlyargs]
        star = f"*{given.vararg.arg}" if given.vararg else "*"
        parts += [(star, ""), *zip(names, named, strict=True)]
    shown = (f"{name}{default}" + (f" [{units[name]}]" if name in units else "") for name, default in parts)
    answer = returned(found)
    return f"{found.name}({', '.join(shown)})" + (f" -> {answer}" if answer else "")


def _default(found: Documented, value: ast.expr) -> str:
    """Return a default as it is written, a constant of the module by its value."""
    text = ast.unparse(value)
    return f"={found.constants.get(text, text)}"


def returned(found: Documented) -> str:
    """Return what comes back: the first words of Returns' first sentence, else the annotation."""
    opening = _FIRST_WORDS.match(re.split(r"\.\s", found.sections.get("Returns", ""))[0])
    if opening:
        return " ".join(opening.group().split())
    node = found.node
    return ast.unparse(node.returns) if isinstance(node, Function) and node.returns is not None else ""
