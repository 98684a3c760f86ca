"""The workbook: input sheets in, result sheets out; a folder of CSV files does as well.

Templates are made by ``ledcalc.workbook.template``, result sheets written by ``ledcalc.workbook.results``; both load
when used.
"""

from ledcalc.later import loading
from ledcalc.workbook.reader import read_variants, read_workbook
from ledcalc.workbook.recalculate import default_results_path, recalculate

# Module -> the names that it is loaded for.
LATER = {"template": ("copy_inputs", "write_blank", "write_inputs")}

__all__ = [
    "copy_inputs",
    "default_results_path",
    "read_variants",
    "read_workbook",
    "recalculate",
    "write_blank",
    "write_inputs",
]

__getattr__, __dir__ = loading(__name__, LATER)
