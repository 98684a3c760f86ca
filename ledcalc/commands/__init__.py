"""The commands of the command line, a module a group; each adds its own."""

from ledcalc.commands import beams, books, calibration, cells, many, publishing, words

__all__ = ["GROUPS"]

GROUPS = (books, beams, many, calibration, publishing, cells, words)
