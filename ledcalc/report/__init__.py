"""A report of one fixture, fit to publish: conditions, instruments, light, currents, temperatures, doubts."""

from ledcalc.report.contents import Section, report_sections
from ledcalc.report.writing import write_report

__all__ = ["Section", "report_sections", "write_report"]
