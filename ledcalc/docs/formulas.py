"""The arithmetic of short functions as lines that read like the printed equation, taken from the source."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from ledcalc.docs.source_reading import Documented

__all__ = ["formula_lines"]

MOST_LINES = 7
LONGEST_LINE = 150
# These convert or check and leave the value as it is: (what they are called, which argument is the value).
PASSING = {
    "numbers": 1,
    "whole_numbers": 1,
    "answer": 0,
    "float": 0,
    "asarray": 0,
    "array": 0,
    "atleast_1d": 0,
    "_numbers": 0,
}
# These only refuse what cannot be.
CHECKS = {"choice", "numbers", "whole_numbers"}
# Look-ups, loops and texts are no arithmetic that a reader could follow.
NO_ARITHMETIC = (
    ast.GeneratorExp,
    ast.ListComp,
    ast.DictComp,
    ast.Dict,
    ast.JoinedStr,
    ast.Lambda,
    ast.MatMult,
    ast.Slice,
)


class _Plain(ast.NodeTransformer):
    """Takes checks and conversions out, and the library's name from before a function's; puts arguments' names in."""

    def __init__(self, names: dict[str, str]) -> None:
        self._names = names

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        name = _called(node)
        if name in PASSING and len(node.args) > PASSING[name]:
            return node.args[PASSING[name]]
        return node

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        self.generic_visit(node)
        is_library = isinstance(node.value, ast.Name) and node.value.id in {"np", "math"}
        return ast.Name(id=node.attr, ctx=ast.Load()) if is_library else node

    def visit_Name(self, node: ast.Name) -> ast.AST:
        return ast.Name(id=self._names.get(node.id, node.id), ctx=ast.Load())


def formula_lines(found: Documented) -> list[str]:
    """Return the function's arithmetic, one line a step, or nothing where it is more than a few steps.

    Constants of the module that stand in it follow with their values.
    """
    if isinstance(found.node, ast.ClassDef):
        return []
    body = [statement for statement in found.node.body[1:] if not _is_check(statement)]
    if not _is_arithmetic(body):
        return []
    lines: list[str] = []
    names: dict[str, str] = {}
    for statement in body:
        if isinstance(statement, ast.Return) and statement.value is not None:
            lines.append(f"{found.node.name} = {_text(statement.value, names)}")
        elif isinstance(statement, ast.Assign):
            lines += _steps(statement, names)
        else:
            return []
    if len(lines) > MOST_LINES or any(len(line) > LONGEST_LINE for line in lines):
        return []
    return lines + list(_constants(lines, found))


def _is_check(statement: ast.stmt) -> bool:
    called = statement.value if isinstance(statement, ast.Expr) else None
    return isinstance(called, ast.Call) and _called(called) in CHECKS


def _called(node: ast.Call) -> str:
    """Return the name of what is called, whoever's it is."""
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    return node.func.id if isinstance(node.func, ast.Name) else ""


def _is_arithmetic(body: list[ast.stmt]) -> bool:
    nodes = [node for statement in body for node in ast.walk(statement)]
    return any(isinstance(node, ast.BinOp) for node in nodes) and not any(_is_in_the_way(node) for node in nodes)


def _is_in_the_way(node: ast.AST) -> bool:
    """Return whether a part is more code than formula; so is a result that a call writes into an array at hand."""
    return isinstance(node, NO_ARITHMETIC) or (isinstance(node, ast.keyword) and node.arg == "out")


def _steps(statement: ast.Assign, names: dict[str, str]) -> Iterator[str]:
    """Yield what an assignment reads as; one that only renames an argument is kept in mind instead."""
    target, value = statement.targets[0], statement.value
    pairs = [(target, value)]
    if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        pairs = list(zip(target.elts, value.elts, strict=True))
    for name, given in pairs:
        own, text = ast.unparse(name), _text(given, names)
        if text.isidentifier():
            names[own] = text
        else:
            names.pop(own, None)
            yield f"{own} = {text}"


def _text(node: ast.expr, names: dict[str, str]) -> str:
    plain = _Plain(names).visit(ast.parse(ast.unparse(node), mode="eval"))
    return ast.unparse(plain).replace("**", "^")


def _constants(lines: list[str], found: Documented) -> Iterator[str]:
    words = set(re.findall(r"\w+", " ".join(lines)))
    for name, value in found.constants.items():
        if name in words:
            yield f"{name} = {value}"
