"""Makes the reference pages in this folder.

python -m ledcalc.docs.reference
"""

from __future__ import annotations

from pathlib import Path

from ledcalc.checks import RULES
from ledcalc.docs.cells import cells_page
from ledcalc.docs.commands import commands_page
from ledcalc.docs.functions import functions_page
from ledcalc.docs.theory import theory_page
from ledcalc.findings import SEVERITIES
from ledcalc.schema import Field, Sheet, sheets
from ledcalc.tables import table, table_names
from ledcalc.units import UNITS

__all__ = ["PAGES", "make_pages"]

FOLDER = Path(__file__).parent


def make_pages(folder: Path = FOLDER) -> None:
    """Write every reference page into a folder."""
    for name, make in PAGES.items():
        (folder / name).write_text(make(), encoding="utf-8")


def _inputs() -> str:
    lines = [
        "# Input sheets and fields",
        "",
        "Made from the input schema. A star marks what must be filled. A workbook and a folder of CSV files "
        "hold the same",
        "sheets; headers are found by label or by field name, in any order. Variants and Python name a field by "
        "its path.",
    ]
    for part in sheets():
        shape = "a field a row" if part.shape == "form" else "a field a column"
        lines += ["", f"## {part.title} (`{part.key}`, {shape})", "", part.help, ""]
        lines += ["| Field | Path | Allowed | Units | Blank means | What it means |", "|---|---|---|---|---|---|"]
        lines += [_field_row(part, field) for field in part.fields]
    return "\n".join([*lines, ""])


def _field_row(part: Sheet, field: Field) -> str:
    label = f"{field.label} *" if field.required else field.label
    units = ", ".join(field.units)
    blank = "" if field.required else field.blank_means or "nothing"
    cells = (label, f"`{part.key}.{field.name}`", field.allowed, units, blank, field.help)
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def _findings() -> str:
    lines = ["# Findings", "", "Made from the rules. Each finding names its place, value, limit, remedy and basis.", ""]
    lines += [f"- **{severity}**: {meaning}" for severity, meaning in SEVERITIES.items()]
    lines += ["", "| Finding | Severity | When |", "|---|---|---|"]
    lines += [f"| `{rule.code}` | {', '.join(rule.severities)} | {rule.meaning} |" for rule in RULES]
    return "\n".join([*lines, ""])


def _sources() -> str:
    lines = [
        "# Tables, their sources, and units",
        "",
        "Made from the tables that the package carries. No standard's official text was read: figures are as "
        "published in",
        "public copies or quotes, or from memory where that is said. No result claims conformity with a standard.",
        "",
        "| Table | Rows | Sources | Read from |",
        "|---|---|---|---|",
    ]
    for name in table_names():
        rows = table(name)
        sources = "<br>".join(dict.fromkeys(row["source"] for row in rows))
        read_from = "<br>".join(dict.fromkeys(row["read_from"] for row in rows))
        lines.append(f"| `{name}` | {len(rows)} | {sources} | {read_from} |")
    lines += ["", "## Units", "", "| Unit | Quantity | Also understood |", "|---|---|---|"]
    lines += [f"| {unit.symbol} | {unit.quantity} | {', '.join(unit.spellings)} |" for unit in UNITS.values()]
    return "\n".join([*lines, ""])


PAGES = {
    "inputs.md": _inputs,
    "findings.md": _findings,
    "sources.md": _sources,
    "functions.md": functions_page,
    "cells.md": cells_page,
    "commands.md": commands_page,
    "theory.md": theory_page,
}


if __name__ == "__main__":
    make_pages()
