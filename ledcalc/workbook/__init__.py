"""The workbook: input sheets in, result sheets out; a folder of CSV files does as well.

Templates are made by ``ledcalc.workbook.template``, result sheets written by ``ledcalc.workbook.results``; both load
when used.
"""

from ledcalc.workbook.reader import read_variants, read_workbook
from ledcalc.workbook.recalculate import default_results_path, recalculate

__all__ = ["default_results_path", "read_variants", "read_workbook", "recalculate"]
