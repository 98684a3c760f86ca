"""The workbook: input sheets in, result sheets out; a folder of CSV files does as well.

Templates are made by ``ledcalc.workbook.template``, result sheets written by ``ledcalc.workbook.results``; both load
when used.
"""

from typing import Any

from ledcalc.workbook.reader import read_variants, read_workbook
from ledcalc.workbook.recalculate import default_results_path, recalculate

# Those of the template.
LATER = ("copy_inputs", "write_blank", "write_inputs")

__all__ = [
    "copy_inputs",
    "default_results_path",
    "read_variants",
    "read_workbook",
    "recalculate",
    "write_blank",
    "write_inputs",
]


def __getattr__(name: str) -> Any:
    """Load what makes templates when it is asked for."""
    if name in LATER:
        from ledcalc.workbook import template

        return getattr(template, name)
    raise AttributeError(f"module 'ledcalc.workbook' has no attribute {name!r}")
