"""The commands of the command line, a module a group; each adds its own."""

from ledcalc.commands import beams, books, calibration, cells, choosing, finding, many, publishing, swaying, words

__all__ = ["GROUPS"]

GROUPS = (books, beams, many, choosing, finding, swaying, calibration, publishing, cells, words)
