"""Result sheets: pages built from an evaluation, written as a workbook or as CSV files; or all of it as plain data."""

from ledcalc.workbook.results.as_dict import evaluation_as_dict
from ledcalc.workbook.results.picture import picture_path
from ledcalc.workbook.results.write import write_pages, write_results, write_table

__all__ = ["evaluation_as_dict", "picture_path", "write_pages", "write_results", "write_table"]
