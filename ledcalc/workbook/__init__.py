"""The workbook: input sheets in, result sheets out; a folder of CSV files does as well."""

from ledcalc.workbook.reader import read_variants, read_workbook
from ledcalc.workbook.recalculate import default_results_path, recalculate
from ledcalc.workbook.results import evaluation_as_dict, write_results, write_table
from ledcalc.workbook.template import copy_inputs, write_blank

__all__ = [
    "copy_inputs",
    "default_results_path",
    "evaluation_as_dict",
    "read_variants",
    "read_workbook",
    "recalculate",
    "write_blank",
    "write_results",
    "write_table",
]
