"""Result sheets in a user's own workbook, without loss of anything else in it."""

from ledcalc.workbook.patch.into import backup_path, put_results_into

__all__ = ["backup_path", "put_results_into"]
