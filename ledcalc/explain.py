"""What a sheet, a field or a finding means, in plain text, straight from the input schema and the rules."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches

from ledcalc.checks import RULES, Rule
from ledcalc.errors import ArgumentError
from ledcalc.findings import SEVERITIES
from ledcalc.schema import Field, Sheet, sheets

__all__ = ["explain"]

ROW = re.compile(r"\[\d+\]")


def explain(name: str = "") -> str:
    """Return help on a field (``fixture.height_m``, or by its label), a sheet (``fixture``), a finding
    (``fuse-above-wire``), or the list of sheets (empty name).

    Raises
    ------
    ArgumentError (a ValueError): nothing has that name; the text names the nearest one

    Examples
    --------
    >>> print(explain("drivers.efficiency_fraction"))
    Drivers: Efficiency (drivers.efficiency_fraction)
    Output power over mains power near the working point. The Driver points sheet, if filled, goes before.
    allowed: a number above 30 below 100 %
    units: %, 1
    required
    >>> explain("how it hangs") == explain("heat_sinks.orientation")
    True
    """
    # Findings name a field with its row: cables[3].size.
    words = " ".join(ROW.sub("", name).split())
    if not words:
        return "\n".join(f"{part.key:15} {part.help}" for part in sheets())
    asked = words.casefold()
    for part in sheets():
        if asked in {part.key, part.title.casefold()}:
            return _sheet(part)
    fields = [(part, field) for part in sheets() for field in part.fields]
    found = [(part, field) for part, field in fields if asked in {field.path, field.label.casefold()}]
    if found:
        return _field(*found[0]) if len(found) == 1 else _fields(found[0][1].label, found)
    rule = next((rule for rule in RULES if rule.code == asked), None)
    if rule is not None:
        return _finding(rule)
    known = [part.key for part in sheets()] + [field.path for _, field in fields] + [rule.code for rule in RULES]
    labels = {field.label.casefold(): field.label for _, field in fields}
    near = [labels.get(one, one) for one in get_close_matches(asked, [*known, *labels], n=3, cutoff=0.4)]
    nearest = f", such as {' or '.join(near)}" if near else ""
    raise ArgumentError("name", name, f"a sheet, sheet.field, a field's label or a finding's code{nearest}")


def _finding(rule: Rule) -> str:
    lines = [f"Finding {rule.code}: {rule.meaning}"]
    return "\n".join([*lines, *(f"{severity}: {SEVERITIES[severity]}" for severity in rule.severities)])


def _fields(label: str, found: Sequence[tuple[Sheet, Field]]) -> str:
    lines = [f"{label}: {len(found)} fields have this label"]
    return "\n".join([*lines, *(f"  {field.path:42} {part.title}: {field.help}" for part, field in found)])


def _sheet(part: Sheet) -> str:
    lines = [f"{part.title}: {part.help}"]
    lines += [f"  {field.path:42} {field.label}{' *' if field.required else ''}" for field in part.fields]
    return "\n".join([*lines, "  * required"])


def _field(part: Sheet, field: Field) -> str:
    lines = [f"{part.title}: {field.label} ({field.path})", field.help, f"allowed: {field.allowed}"]
    if field.units:
        lines.append(f"units: {', '.join(field.units)}")
    if field.required:
        lines.append("required")
    elif field.default is not None:
        lines.append(f"blank means {field.blank_means}")
    else:
        lines.append("may stay blank")
    return "\n".join(lines)
