"""Checks: what is impossible to compute (``trade_problems``), and what is computed but unwise (``findings_for``)."""

from ledcalc.checks.inputs import trade_problems
from ledcalc.checks.not_checked import not_checked
from ledcalc.checks.registry import RULES, Rule, findings_for

__all__ = ["RULES", "Rule", "findings_for", "not_checked", "trade_problems"]
