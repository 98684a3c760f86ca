"""The rules of ``ledcalc.checks`` for blocks: how often each fires in each variant, without words and remedies."""

from ledcalc.variants.rules.registry import Verdict, unknown_rules, verdict_of

__all__ = ["Verdict", "unknown_rules", "verdict_of"]
