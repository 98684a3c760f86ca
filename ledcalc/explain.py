"""What a sheet or field means, in plain text, straight from the input schema."""

from __future__ import annotations

from difflib import get_close_matches

from ledcalc.errors import ArgumentError
from ledcalc.schema import Field, Sheet, sheets

__all__ = ["explain"]


def explain(name: str = "") -> str:
    """Return help on a field (``fixture.height_m``), a sheet (``fixture``), or the list of sheets (empty name).

    Raises
    ------
    ArgumentError (a ValueError): no such sheet or field; the text names the nearest one

    Examples
    --------
    >>> print(explain("drivers.efficiency_fraction"))
    Drivers: Efficiency (drivers.efficiency_fraction)
    Output power over mains power near the working point. The Driver points sheet, if filled, goes before.
    allowed: a number above 30 below 100 %
    units: %, 1
    required
    """
    words = name.strip()
    if not words:
        return "\n".join(f"{part.key:15} {part.help}" for part in sheets())
    for part in sheets():
        if words in {part.key, part.title}:
            return _sheet(part)
        for field in part.fields:
            if words == field.path:
                return _field(part, field)
    known = [part.key for part in sheets()] + [field.path for part in sheets() for field in part.fields]
    near = get_close_matches(words, known, n=3, cutoff=0.4)
    nearest = f", such as {' or '.join(near)}" if near else ""
    raise ArgumentError("name", name, f"a sheet or sheet.field{nearest}")


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
