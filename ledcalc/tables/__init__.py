"""Published tables as CSV files, each row with its source; one loader for all of them."""

from ledcalc.tables.loader import table, table_names

__all__ = ["table", "table_names"]
